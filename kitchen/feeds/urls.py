"""Addresses of the feeds room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
