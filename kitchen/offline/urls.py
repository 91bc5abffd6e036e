"""Addresses of the tablet without network."""

from django.urls import path

from kitchen.offline import settling, views

urlpatterns = [
    path("worker.js", views.worker, name="worker"),
    path("manifest.webmanifest", views.manifest, name="manifest"),
    path("font.woff2", views.font, name="font"),
    path("no-network/", views.no_network, name="no_network"),
    path("outbox/here/", views.here, name="here"),
    path("outbox/kit/", views.keep, name="kit"),
    path("outbox/", views.outbox, name="outbox"),
    path("outbox/file/", views.read_file, name="outbox_file"),
    path("held/", settling.held_page, name="held"),
    path("held/<uuid:pk>/", settling.settle, name="held_settle"),
    path("held/<uuid:pk>/aside/", settling.set_aside, name="held_aside"),
]
