"""Addresses of the Bench."""

from django.urls import path

from kitchen.bench import entries, views

urlpatterns = [
    path("bench/", views.bench, name="bench"),
    path("bench/new/", views.methods, name="batch_new"),
    path("bench/new/<int:pk>/", views.new_batch, name="batch_begin"),
    path("bench/brines/new/", entries.make_brine, name="brine_new"),
    path("bench/baths/<int:pk>/start/", entries.start_bath, name="bath_start"),
    path("bench/logs/<int:pk>/read/", entries.read_bath, name="bath_read"),
    path("bench/logs/<int:pk>/end/", entries.end_bath, name="bath_end"),
    path("bench/chillers/<int:pk>/read/", entries.read_chiller, name="chiller_read"),
    path("bench/fridges/<int:pk>/read/", entries.read_fridge, name="fridge_read"),
    path("bench/<slug:code>/", views.batch, name="batch"),
    path("bench/<slug:code>/<int:number>/", views.bag, name="bag"),
    path("bench/<slug:code>/entry/<uuid:pk>/", entries.correct, name="correct"),
    path("bench/<slug:code>/<slug:slug>/", entries.step, name="step"),
]
