"""What every test shares."""

import os

import pytest


@pytest.fixture(autouse=True)
def files(settings, tmp_path):
    """Files and mails go to a folder of the test's own."""
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def pytest_terminal_summary(terminalreporter):
    """Say loudly what was not tested."""
    if "postgres" not in os.environ.get("DATABASE_URL", ""):
        terminalreporter.write_line(
            "NOT TESTED AGAINST POSTGRESQL: set DATABASE_URL=postgres://...", bold=True
        )
    if not os.environ.get("REDIS_URL"):
        terminalreporter.write_line(
            "NOT TESTED AGAINST REDIS: set REDIS_URL=redis://...", bold=True
        )
