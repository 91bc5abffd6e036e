"""Addresses of the day plan."""

from django.urls import path

from kitchen.dayplan import views

urlpatterns = [
    path("bench/plan/", views.day_plan, name="day_plan"),
    path("bench/plan/add/", views.want, name="day_plan_add"),
    path("bench/plan/<int:pk>/drop/", views.drop, name="day_plan_drop"),
]
