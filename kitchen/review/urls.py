"""Addresses of the review room: the Pass."""

from django.urls import path

from kitchen.review import probe_page, views

urlpatterns = [
    path("larder/probes/<int:pk>/", probe_page.probe, name="probe"),
    path("pass/", views.pass_page, name="pass"),
    path("pass/<str:code>/", views.pass_batch, name="pass_batch"),
    path("pass/<str:code>/decide/", views.decide_bags, name="pass_decide"),
    path("pass/<str:code>/act/", views.act, name="pass_act"),
    path("pass/<str:code>/sign/", views.sign, name="pass_sign"),
    path("pass/<str:code>/again/", views.judge_again, name="pass_again"),
]
