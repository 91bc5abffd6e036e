"""Addresses of the papers room: the File."""

from django.urls import path

from kitchen.papers import day_plan, views

urlpatterns = [
    path("file/", views.file_page, name="file"),
    path("file/verify/", views.verify_chain, name="file_verify"),
    path("file/day-plan/", day_plan.print_day_plan, name="day_plan_print"),
    path("file/<str:code>/", views.file_batch, name="file_batch"),
    path("file/<str:code>/print/", views.print_batch, name="print_batch"),
]
