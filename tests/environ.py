"""Loaded before Django's settings are: the tests run as if to try out, whatever the shell says."""

import os

os.environ["BATHBOOK_DEBUG"] = "on"
# Playwright keeps a loop running in the thread of the tests; Django would refuse the database there.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
