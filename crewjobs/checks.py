"""What `manage.py check` says of wrong settings: an id, what is wrong, what to do.

Looks at settings alone: not at the database, and not at what the network can reach.
"""

from collections.abc import Iterator
from urllib.parse import urlsplit

from django.conf import settings
from django.core.checks import CheckMessage, Error, Warning  # noqa: A004 (Django's own words)
from django.db import connection
from django.http.request import validate_host

HERE = frozenset({"localhost", "127.0.0.1", "::1"})
"""Names under which only this machine reaches the service."""
FILE_MAIL = "django.core.mail.backends.filebased.EmailBackend"


def settings_make_sense(**_kwargs: object) -> list[CheckMessage]:
    """Every complaint about the settings, all at once."""
    if host := public_host():
        found = [*of_address(host), *of_outside(host), *of_gateway(), *of_sqlite()]
    else:
        found = [bad_address(), *of_gateway(), *of_sqlite()]
    return found


def public_host() -> str:
    """The host of PUBLIC_URL; empty where that is not an address of ours."""
    try:
        parts = urlsplit(settings.PUBLIC_URL)
        port = parts.port
    except ValueError:
        return ""
    plain = not (parts.path or parts.query or parts.fragment or parts.username)
    fits = parts.scheme in {"http", "https"} and plain and port != 0
    return (parts.hostname or "") if fits else ""


def bad_address() -> CheckMessage:
    """E001: links in mails and feeds would lead nowhere."""
    return Error(
        f"PUBLIC_URL is {settings.PUBLIC_URL!r}, which is not an address people can open.",
        hint="Use scheme and host alone, such as https://jobs.example.com",
        id="crewjobs.E001",
    )


def of_address(host: str) -> Iterator[CheckMessage]:
    """E004: every page would be refused with 400."""
    shown = f"[{host}]" if ":" in host else host
    if not validate_host(shown, settings.ALLOWED_HOSTS):
        yield Error(
            f"PUBLIC_URL names {host}, but ALLOWED_HOSTS does not.",
            hint=f"Add {host} to ALLOWED_HOSTS, or leave ALLOWED_HOSTS out.",
            id="crewjobs.E004",
        )


def of_outside(host: str) -> Iterator[CheckMessage]:
    """W005, E006, W007: what is fine on this machine alone, and not beyond."""
    if host in HERE:
        return
    if settings.EMAIL_BACKEND == FILE_MAIL:
        yield Warning(
            "Mails are written to a folder, so customers get none.",
            hint="Set EMAIL_BACKEND=django.core.mail.backends.smtp.EmailBackend and EMAIL_HOST.",
            id="crewjobs.W005",
        )
    if settings.DEBUG:
        yield Error(
            "DEBUG shows settings and customer data to strangers when something fails.",
            hint="Leave DEBUG out, except on localhost.",
            id="crewjobs.E006",
        )
    if not settings.IS_HTTPS:
        yield Warning(
            "PUBLIC_URL is not https: passwords and feed links cross the network readable.",
            hint="Put a server with a certificate in front, and set PUBLIC_URL=https://...",
            id="crewjobs.W007",
        )


def of_gateway() -> Iterator[CheckMessage]:
    """E003: texts would leave unsigned, or readable by others."""
    if not settings.TEXT_GATEWAY_URL:
        return
    parts = urlsplit(settings.TEXT_GATEWAY_URL)
    if parts.scheme != "https" and parts.hostname not in HERE:
        yield Error(
            "TEXT_GATEWAY_URL is not https: phone numbers would cross the network readable.",
            hint="Use the https address of the gateway.",
            id="crewjobs.E003",
        )
    if not settings.TEXT_GATEWAY_SECRET:
        yield Error(
            "TEXT_GATEWAY_URL is set without TEXT_GATEWAY_SECRET, so texts cannot be signed.",
            hint="Set TEXT_GATEWAY_SECRET to the whsec_... key that the gateway checks.",
            id="crewjobs.E003",
        )


def of_sqlite() -> Iterator[CheckMessage]:
    """W002: this SQLite may not keep a write-ahead log; see config/sqlite.py."""
    if connection.vendor == "sqlite" and settings.SQLITE_JOURNAL != "WAL":
        version = ".".join(str(part) for part in settings.SQLITE_VERSION)
        yield Warning(
            f"SQLite {version} can corrupt a database with a write-ahead log, so a rollback "
            "journal is kept: safe, and slower.",
            hint="Install pysqlite3, or SQLite 3.51.3 or newer.",
            id="crewjobs.W002",
        )
