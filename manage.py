#!/usr/bin/env python
"""Django's command line for Bathbook."""

import os
import sys

if __name__ == "__main__":
    # One thread: the arrays are small, and on a busy two-core machine a second one only gets in the way.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kitchen.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
