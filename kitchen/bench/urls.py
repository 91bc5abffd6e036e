"""Addresses of the bench room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
