"""Addresses of the larder room."""

from django.urls import path

from kitchen.larder import views

urlpatterns = [
    path("larder/", views.larder, name="larder"),
    path("larder/lots/new/", views.receive, name="lot_new"),
    path("larder/lots/<int:pk>/", views.lot, name="lot"),
    path("larder/lots/<int:pk>/thaw/", views.thaw, name="lot_thaw"),
    path("larder/lots/<int:pk>/frozen/", views.freezing_paper, name="lot_frozen"),
    path("larder/lots/<int:pk>/close/", views.close, name="lot_close"),
    path("larder/lots/<int:pk>/open/", views.reopen, name="lot_open"),
]
