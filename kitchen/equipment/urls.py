"""Addresses of the equipment room."""

from django.urls import path

from kitchen.equipment import views

urlpatterns = [
    path("larder/baths/new/", views.add_bath, name="bath_new"),
    path("larder/chillers/new/", views.add_chiller, name="chiller_new"),
    path("larder/fridges/new/", views.add_fridge, name="fridge_new"),
    path("larder/probes/new/", views.add_probe, name="probe_new"),
    path("larder/probes/check/", views.choose_probe, name="probe_choose"),
    path("larder/probes/<int:pk>/check/", views.check_probe, name="probe_check"),
    path("larder/probes/<int:pk>/retire/", views.retire_probe, name="probe_retire"),
    path("larder/probes/<int:pk>/return/", views.return_probe, name="probe_return"),
]
