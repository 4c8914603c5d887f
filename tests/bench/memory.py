"""Import this first: a bench run by itself works on an empty database in memory.

Under pytest, which imports every module for its doctests, it changes nothing.
"""

import os

import django
from django.apps import apps
from django.core.management import call_command

if not apps.ready:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    os.environ["DATABASE_URL"] = "sqlite:///:memory:"
    os.environ["ALLOWED_HOSTS"] = "testserver"
    django.setup()
    call_command("migrate", verbosity=0)
