"""Addresses of the feeds room."""

from django.urls import path

from kitchen.feeds import views, withdrawing

urlpatterns = [
    path("larder/import/", views.choose_file, name="log_import"),
    path("larder/imports/<uuid:pk>/withdraw/", withdrawing.withdraw, name="import_withdraw"),
    path("larder/import/<str:digest>/", views.read_file, name="log_file"),
]
