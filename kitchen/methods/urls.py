"""Addresses of the methods room."""

from django.urls import path

from kitchen.methods import approval_views, views

urlpatterns = [
    path("larder/methods/", views.methods, name="methods"),
    path("larder/methods/new/", views.new_method, name="method_new"),
    path("larder/methods/<int:pk>/", views.method, name="method"),
    path("larder/methods/<int:pk>/sign/", views.sign, name="method_sign"),
    path("larder/methods/<int:pk>/approvals/new/", approval_views.new, name="approval_new"),
    path("larder/approvals/<int:pk>/end/", approval_views.end, name="approval_end"),
    path("larder/approvals/<int:pk>/withdraw/", approval_views.withdraw, name="approval_withdraw"),
    path("larder/approvals/<int:pk>/paper/", approval_views.paper, name="approval_paper"),
]
