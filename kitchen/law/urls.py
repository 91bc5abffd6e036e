"""Addresses of the law room."""

from django.urls import path

from kitchen.law import views

urlpatterns = [
    path("law/", views.limits, name="limits"),
    path("law/<slug:key>/", views.limit, name="limit"),
    path("law/<slug:key>/choose/", views.choose, name="limit_choose"),
    path("larder/site/regime/", views.regime, name="regime_change"),
]
