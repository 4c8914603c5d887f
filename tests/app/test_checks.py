"""A wrong setting is named, explained, and told how to mend."""

import subprocess
import sys

import pytest
from django.db import connection

from crewjobs import checks
from tests import serving

SHOP = {"PUBLIC_URL": "https://jobs.example.test", "IS_HTTPS": True, "EMAIL_BACKEND": "smtp"}


def complaints(settings, **changed) -> list[str | None]:
    settings.ALLOWED_HOSTS = ["localhost", "jobs.example.test"]
    for name, value in (SHOP | changed).items():
        setattr(settings, name, value)
    found = checks.settings_make_sense()
    assert all(message.hint for message in found)
    return [message.id for message in found]


def test_good_settings_say_nothing(settings) -> None:
    assert complaints(settings, SQLITE_JOURNAL="WAL") == []


@pytest.mark.parametrize(
    "address",
    [
        "", "jobs.example.test", "ftp://jobs.example.test", "https://", "https://a.test/path",
        "https://[::1", "https://a.test:port", "https://me@a.test", "https://a.test?x=1",
    ],
)  # fmt: skip
def test_an_address_that_nobody_can_open(settings, address) -> None:
    assert complaints(settings, PUBLIC_URL=address, SQLITE_JOURNAL="WAL") == ["crewjobs.E001"]


@pytest.mark.parametrize(
    ("changed", "ids"),
    [
        ({"ALLOWED_HOSTS": ["localhost"]}, ["E004"]),
        ({"ALLOWED_HOSTS": [".example.test"]}, []),
        ({"EMAIL_BACKEND": checks.FILE_MAIL}, ["W005"]),
        ({"DEBUG": True}, ["E006"]),
        ({"IS_HTTPS": False}, ["W007"]),
        ({"DEBUG": True, "PUBLIC_URL": "http://localhost:8000", "IS_HTTPS": False}, []),
        ({"TEXT_GATEWAY_URL": "http://texts.test", "TEXT_GATEWAY_SECRET": "s"}, ["E003"]),
        ({"TEXT_GATEWAY_URL": "https://texts.test"}, ["E003"]),
        ({"TEXT_GATEWAY_URL": "http://texts.test"}, ["E003", "E003"]),
        ({"TEXT_GATEWAY_URL": "http://localhost:9", "TEXT_GATEWAY_SECRET": "s"}, []),
    ],
)
def test_each_wrong_setting_has_an_id(settings, changed, ids) -> None:
    changed = {"SQLITE_JOURNAL": "WAL"} | changed
    assert complaints(settings, **changed) == [f"crewjobs.{short}" for short in ids]


def test_a_sqlite_that_loses_data_is_named_where_it_runs(settings) -> None:
    found = complaints(settings, SQLITE_JOURNAL="TRUNCATE", SQLITE_VERSION=(3, 40, 1))
    assert found == (["crewjobs.W002"] if connection.vendor == "sqlite" else [])


def check(folder, **environment) -> subprocess.CompletedProcess:
    command = [sys.executable, str(serving.ROOT / "manage.py"), "check"]
    return subprocess.run(
        [*command, "--deploy", "--fail-level", "WARNING"],
        env=serving.environment(folder, **environment), capture_output=True, text=True,
    )  # fmt: skip


def test_a_shop_behind_https_is_clean(tmp_path) -> None:
    done = check(
        tmp_path,
        PUBLIC_URL="https://jobs.example.test",
        EMAIL_BACKEND="django.core.mail.backends.smtp.EmailBackend",
    )
    assert done.returncode == 0, done.stderr


def test_the_command_explains(tmp_path) -> None:
    done = check(tmp_path, PUBLIC_URL="http://jobs.example.test", DEBUG="yes")
    assert done.returncode == 1
    assert "crewjobs.E006" in done.stderr
    assert "HINT: Leave DEBUG out" in done.stderr
