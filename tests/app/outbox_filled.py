"""Run on its own, in a database of its own: fills an outbox, empties it, tells how it went."""

import json
import sys
import time
from collections import Counter
from datetime import UTC, datetime, timedelta

import django

django.setup()

from django.core.management import call_command  # noqa: E402 - after the set-up
from django.db import connection  # noqa: E402

from crewjobs.actions import outbox, queueing  # noqa: E402
from crewjobs.domain.reminding import MessageKind  # noqa: E402
from crewjobs.models import Channel, Job, OutboxMessage  # noqa: E402
from tests import rows  # noqa: E402

LOOKS = 100


def fill(first: int, last: int) -> None:
    """Messages with these numbers, every tenth of them written twice."""
    call_command("migrate", verbosity=0)
    rows.shop()
    job = Job.objects.first() or rows.job(stage="signed off")
    queueing.enqueue(
        OutboxMessage(
            created_at=rows.NOW,
            kind=MessageKind.SIGNED_OFF,
            channel=Channel.EMAIL,
            dedupe_key=str(number),
            job=job,
            due_at=rows.NOW,
            next_at=rows.NOW,
        )
        for number in [*range(first, last), *range(first, last, 10)]
    )


def empty() -> None:
    """Send what is left once the leases of dead workers have ended, and tell how that went."""
    started_s = time.perf_counter()
    outbox.work(now=lambda: datetime.now(UTC) + timedelta(seconds=61), limit=10_000)
    sent_s = time.perf_counter()
    for _ in range(LOOKS):
        outbox.work(now=lambda: datetime.now(UTC), limit=1)
    told: dict[str, object] = dict(Counter(OutboxMessage.objects.values_list("status", flat=True)))
    told["took_s"] = sent_s - started_s
    told["empty_look_s"] = (time.perf_counter() - sent_s) / LOOKS
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            told["integrity"] = cursor.execute("PRAGMA integrity_check").fetchone()[0]
    print(json.dumps(told))


if __name__ == "__main__":
    if sys.argv[1] == "fill":
        fill(int(sys.argv[2]), int(sys.argv[3]))
    else:
        empty()
