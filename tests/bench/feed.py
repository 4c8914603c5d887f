"""How long a feed of 500 events takes: `python -m tests.bench.feed`. Its database is in memory."""

# isort: off
from tests.bench import memory  # noqa: F401  sets up the database
# isort: on

import datetime as dt
import statistics
import time

from django.core.cache import cache
from django.test import Client

from crewjobs.actions import links
from crewjobs.models import Purpose
from tests import rows

EVENTS = 500
COLD_GOAL_S = 0.3


def fill(count: int) -> str:
    """The address of a feed with so many events."""
    first = dt.datetime.now(tz=dt.UTC)
    for number in range(count):
        starts_at = first + dt.timedelta(hours=6 * number)
        hours = {"starts_at": starts_at, "ends_at": starts_at + dt.timedelta(hours=4)}
        rows.placement(rows.visit(rows.job(str(number), title="Kitchen and island")), **hours)
    _, token = links.make(
        purpose=Purpose.CREW_FEED, crew=rows.crew(), by=rows.dispatcher(), now=first
    )
    return f"/cal/{token}.ics"


def timed(ask, times: int) -> tuple[float, float]:
    """The middle of the times that a request takes, and of the processor's share, in seconds."""
    walls, works = [], []
    for _ in range(times):
        wall, work = time.perf_counter(), time.process_time()
        ask()
        walls.append(time.perf_counter() - wall)
        works.append(time.process_time() - work)
    return statistics.median(walls), statistics.median(works)


def main() -> None:
    where, client = fill(EVENTS), Client()

    def cold() -> None:
        cache.clear()
        assert client.get(where).status_code == 200

    cold_s, work_s = timed(cold, 7)
    etag = client.get(where)["ETag"]
    same_s, same_work_s = timed(lambda: client.get(where, headers={"If-None-Match": etag}), 50)
    size = len(client.get(where).content)
    print(f"{EVENTS} events, {size / 1000:.0f} kB; goal {COLD_GOAL_S} s on an idle core")
    print(f"cold: {cold_s:.3f} s, of it the processor {work_s:.3f} s")
    print(f"304:  {same_s * 1000:.1f} ms, of it the processor {same_work_s * 1000:.1f} ms")


if __name__ == "__main__":
    main()
