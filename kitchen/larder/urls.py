"""Addresses of the larder room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
