"""The one Django app."""

from django.apps import AppConfig


class CrewjobsConfig(AppConfig):
    """Names the app."""

    name = "crewjobs"
    verbose_name = "crewjobs"
    default_auto_field = "django.db.models.BigAutoField"
