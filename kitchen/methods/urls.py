"""Addresses of the methods room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
