"""Addresses of the HACCP plan."""

from django.urls import path

from kitchen.plan import views

urlpatterns = [
    path("plan/", views.plan, name="plan"),
    path("plan/print/", views.print_draft, name="plan_print_draft"),
    path("plan/sign/", views.issue, name="plan_issue"),
    path("plan/walk/", views.walk, name="plan_walk"),
    path("plan/competence/", views.competence, name="plan_competence"),
    path("plan/packet/<int:pk>/", views.packet, name="plan_packet"),
    path("plan/<int:version>/", views.version, name="plan_version"),
    path("plan/<int:version>/print/", views.print_version, name="plan_print"),
    path("plan/<int:older>/<int:newer>/", views.differences, name="plan_differences"),
]
