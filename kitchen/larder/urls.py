"""Addresses of the larder room."""

from django.urls import path

from kitchen.larder import views

urlpatterns = [
    path("larder/", views.larder, name="larder"),
    path("larder/lots/new/", views.receive, name="lot_new"),
    path("larder/lots/<int:pk>/close/", views.close, name="lot_close"),
    path("larder/lots/<int:pk>/open/", views.reopen, name="lot_open"),
]
