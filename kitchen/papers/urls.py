"""Addresses of the papers room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
