"""Addresses of the review room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
