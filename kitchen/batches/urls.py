"""Addresses of the batches room."""

from django.urls import path

from kitchen.batches import views

urlpatterns = [path("larder/measure/", views.measure, name="batch_measure")]
