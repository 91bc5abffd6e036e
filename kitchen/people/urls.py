"""Addresses of the people room."""

from django.urls import path

from kitchen.people import site_page, staff, views

urlpatterns = [
    path("sign-in/", views.sign_in_page, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("larder/site/", site_page.site_page, name="site"),
    path("larder/people/", staff.people, name="people"),
    path("larder/people/new/", staff.add, name="person_new"),
    path("larder/people/<int:pk>/code/", staff.change_code, name="person_code"),
    path("larder/people/<int:pk>/leave/", staff.leave, name="person_leave"),
    path("larder/tablets/", views.tablets, name="tablets"),
    path("larder/tablets/<uuid:pk>/revoke/", views.revoke, name="tablet_revoke"),
]
