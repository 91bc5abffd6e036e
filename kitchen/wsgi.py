"""The door for a WSGI server such as gunicorn."""

import os

from django.core.wsgi import get_wsgi_application

# One thread: the arrays are small, and on a busy two-core machine a second one only gets in the way.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kitchen.settings")
application = get_wsgi_application()

from kitchen.checks import refuse_without_guards  # noqa: E402  (models can be imported only now)

refuse_without_guards()
