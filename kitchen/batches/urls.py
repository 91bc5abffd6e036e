"""Addresses of the batches room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
