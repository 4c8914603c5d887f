"""PostgreSQL and Redis for a test: the ones that the environment names, or a loud skip."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from uuid import uuid4

import psycopg
import pytest

MISSING = {
    "DATABASE_URL": "NOT TESTED AGAINST POSTGRESQL: set DATABASE_URL=postgres://...",
    "REDIS_URL": "NOT TESTED AGAINST REDIS: set REDIS_URL=redis://...",
}


def has_postgres() -> bool:
    return os.environ.get("DATABASE_URL", "").startswith("postgres")


def not_tested() -> list[str]:
    """What this run leaves out, said loudly at its end."""
    found = {"DATABASE_URL": has_postgres(), "REDIS_URL": bool(os.environ.get("REDIS_URL"))}
    return [text for name, text in MISSING.items() if not found[name]]


def redis_url() -> str:
    """The address of a Redis, or a skip."""
    return os.environ.get("REDIS_URL") or pytest.skip(MISSING["REDIS_URL"])


@contextmanager
def database_url() -> Iterator[str]:
    """A database that is there for one test, or a skip."""
    if not has_postgres():
        pytest.skip(MISSING["DATABASE_URL"])
    server = os.environ["DATABASE_URL"].rpartition("/")[0]
    name = f"crewjobs_{uuid4().hex[:12]}"
    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
        try:
            yield f"{server}/{name}"
        finally:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
