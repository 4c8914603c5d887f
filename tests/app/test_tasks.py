"""Celery wakes the same outbox; with a broker at hand, a real worker and a real beat do."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings as django_settings
from django.core import mail

from crewjobs import models, tasks
from crewjobs.actions import messages
from crewjobs.models import OutboxMessage
from tests import rows
from tests.app.test_outbox_kill import Office, wait_until


@pytest.mark.django_db
def test_the_task_sends_what_is_due_and_says_that_it_lives() -> None:
    rows.shop()
    messages.signed_off(job=rows.job(stage="signed off"), now=rows.NOW)
    assert tasks.work_the_outbox() == 1
    assert len(mail.outbox) == 1
    assert OutboxMessage.objects.get().status == "sent"
    assert models.Heartbeat.objects.get().worker.startswith("celery on ")


def test_beat_wakes_the_task_that_there_is() -> None:
    schedule: Any = django_settings.CELERY_BEAT_SCHEDULE
    (wake_up,) = schedule.values()
    assert wake_up["task"] == tasks.work_outbox.name
    assert wake_up["options"]["expires"] <= wake_up["schedule"]
    assert tasks.LONGEST_S + 20 < django_settings.CELERY_TASK_TIME_LIMIT


class Broker(Office):
    """An outbox that is worked by Celery."""

    def celery(self, *words: str) -> None:
        command = [sys.executable, "-m", "celery", "-A", "config.celery", *words]
        self.workers.append(
            subprocess.Popen(
                command, env=self.env, cwd=django_settings.BASE_DIR, start_new_session=True
            )
        )


@pytest.fixture
def broker(tmp_path) -> Iterator[Broker]:
    url = os.environ.get("REDIS_URL", "")
    if not url:
        pytest.skip("NOT RUN WITH A BROKER: set REDIS_URL=redis://...")
    broker = Broker(f"sqlite:///{tmp_path}/outbox.sqlite3", tmp_path)
    broker.env["REDIS_URL"] = urlsplit(url)._replace(path="/11").geturl()
    broker.run("fill", "0", "5")
    yield broker
    for process in broker.workers:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()


def test_a_real_worker_and_two_beats_deliver_each_message_once(broker) -> None:
    broker.celery("worker", "--concurrency", "2", "--loglevel", "ERROR")
    for number in range(2):
        schedule = str(broker.counted.with_name(f"beat{number}"))
        broker.celery("beat", "--schedule", schedule, "--pidfile", "", "--loglevel", "ERROR")
    wait_until(lambda: len(broker.sent()) >= 5)
    broker.run("fill", "5", "9")
    wait_until(lambda: len(broker.sent()) >= 9)
    broker.stop()
    assert len(set(broker.sent())) == len(broker.sent()) == 9
    assert json.loads(broker.run("empty"))["sent"] == 9
