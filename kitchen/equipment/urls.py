"""Addresses of the equipment room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
