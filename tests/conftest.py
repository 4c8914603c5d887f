"""What every test shares."""

import os

import pytest

from tests import servers

MUST_RUN = "SERVERS_MUST_RUN"
"""Set where PostgreSQL and Redis are there: what is not tested against them is then a failure."""


@pytest.fixture(autouse=True)
def files(settings, tmp_path):
    """Files and mails go to a folder of the test's own."""
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport():
    """Fail where a test leaves a server out that must be there."""
    report = yield
    if report.skipped and os.environ.get(MUST_RUN):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else ""
        if "NOT TESTED AGAINST" in reason:
            report.outcome, report.longrepr = "failed", reason
    return report


def pytest_sessionfinish(session):
    """Fail where the whole run left a server out that must be there."""
    if os.environ.get(MUST_RUN) and servers.not_tested():
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter):
    """Say loudly what was not tested."""
    for line in servers.not_tested():
        terminalreporter.write_line(line, bold=True)
