"""Addresses of the methods room."""

from django.urls import path

from kitchen.methods import views

urlpatterns = [
    path("larder/methods/", views.methods, name="methods"),
    path("larder/methods/new/", views.new_method, name="method_new"),
    path("larder/methods/<int:pk>/", views.method, name="method"),
    path("larder/methods/<int:pk>/sign/", views.sign, name="method_sign"),
]
