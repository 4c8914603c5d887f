"""What a load balancer and whoever is on call are told."""

from datetime import timedelta

import pytest
from django.db import connection
from django.utils import timezone

from crewjobs.models import Heartbeat
from crewjobs.web.health import LATE_S

pytestmark = pytest.mark.django_db


def beaten(seconds_ago: float) -> None:
    seen_at = timezone.now() - timedelta(seconds=seconds_ago)
    Heartbeat.objects.create(worker=f"worker {seconds_ago}", seen_at=seen_at)


def test_a_process_that_answers_is_alive(client) -> None:
    assert client.get("/healthz").json() == {"status": "alive"}
    assert client.post("/healthz").status_code == 405


def test_nobody_works_yet(client) -> None:
    answer = client.get("/readyz")
    assert answer.json() == {"status": "ready", "worker": "not seen", "worker_seen_s": None}
    assert "no-store" in answer["Cache-Control"]


def test_the_worker_that_was_seen_last_counts(client) -> None:
    beaten(LATE_S + 60)
    assert client.get("/readyz").json()["worker"] == "late"
    beaten(3)
    assert client.get("/readyz").json()["worker"] == "working"


def test_a_database_that_does_not_answer_is_said(client) -> None:
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE crewjobs_heartbeat RENAME TO away")
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer["Retry-After"] == "5"


def test_health_is_told_without_https(client, settings) -> None:
    settings.SECURE_SSL_REDIRECT = True
    assert client.get("/healthz").status_code == 200
    assert client.get("/").status_code == 301
