"""Addresses of the feeds room."""

from django.urls import path

from kitchen.feeds import views

urlpatterns = [
    path("larder/import/", views.choose_file, name="log_import"),
    path("larder/import/<str:digest>/", views.read_file, name="log_file"),
]
