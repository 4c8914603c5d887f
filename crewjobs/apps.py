"""The one Django app."""

from django.apps import AppConfig
from django.core.checks import register

from crewjobs import checks


class CrewjobsConfig(AppConfig):
    """Names the app, and has its settings checked."""

    name = "crewjobs"
    verbose_name = "crewjobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Let `manage.py check` explain wrong settings."""
        register(checks.settings_make_sense)
