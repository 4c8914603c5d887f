"""What Celery wakes up: the outbox, every few seconds. A message is never inside a task.

Losing the broker delays messages until it is back and loses none.
"""

import socket
import time
from datetime import UTC, datetime

from celery import shared_task

from crewjobs.actions import outbox

LIMIT = 500
LONGEST_S = 30.0
"""Well below the time limit of a task, so that no message is cut off while it is sent."""


def work_the_outbox() -> int:
    """Send what is due; what is left over is for the next wake-up."""
    last_s = time.monotonic() + LONGEST_S
    outbox.beat(worker=f"celery on {socket.gethostname()}", now=_clock())
    return outbox.work(now=_clock, limit=LIMIT, stop=lambda: time.monotonic() > last_s)


work_outbox = shared_task(work_the_outbox, name="crewjobs.work_outbox", ignore_result=True)


def _clock() -> datetime:
    return datetime.now(UTC)
