"""Addresses of the people room."""

from django.urls import path

from kitchen.people import views

urlpatterns = [
    path("sign-in/", views.sign_in_page, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("larder/tablets/", views.tablets, name="tablets"),
    path("larder/tablets/<uuid:pk>/revoke/", views.revoke, name="tablet_revoke"),
]
