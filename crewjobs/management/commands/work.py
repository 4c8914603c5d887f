"""`manage.py work`: sends what is due, until it is told to stop or its parent is gone."""

import logging
import signal
import socket
import time
from argparse import ArgumentParser
from datetime import UTC, datetime, timedelta

from django.core.management import BaseCommand
from django.db import close_old_connections

from crewjobs.actions import outbox
from crewjobs.management import running

logger = logging.getLogger(__name__)

PAUSE_S = 0.5
BEAT_S = 10.0
JUMP = timedelta(minutes=5)


class Command(BaseCommand):
    help = "Send the messages that are due. Any number of these may run beside each other."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--once", action="store_true", help="end when nothing is due")
        parser.add_argument("--limit", type=int, default=100, help="messages between two glances")

    def handle(self, *, once: bool, limit: int, **_: object) -> None:
        stops: list[int] = []
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda number, _frame: stops.append(number))
        running.leash()
        worker = Worker(limit, stops)
        while not stops:
            done = worker.turn()
            if once and not done:
                break
            if done < limit:
                time.sleep(PAUSE_S)


class Worker:
    """One turn after the other, whatever goes wrong in one."""

    def __init__(self, limit: int, stops: list[int]) -> None:
        self.limit = limit
        self.stops = stops
        self.clocks = Clocks(clock(), time.monotonic())
        self.name = f"work on {socket.gethostname()}"
        self.beaten_s = -BEAT_S

    def turn(self) -> int:
        """The number of messages worked; none where the clock was set meanwhile."""
        if jump := self.clocks.jump(clock(), time.monotonic()):
            logger.warning("The clock was set by %s; this turn is left out.", jump)
            return 0
        try:
            return self.work()
        except Exception:
            logger.exception("A turn failed; the next one goes on.")
            return 0

    def work(self) -> int:
        """Say that we live, now and then, and send what is due."""
        close_old_connections()
        if time.monotonic() - self.beaten_s >= BEAT_S:
            outbox.beat(worker=self.name, now=clock())
            self.beaten_s = time.monotonic()
        return outbox.work(now=clock, limit=self.limit, stop=lambda: bool(self.stops))


class Clocks:
    """Compares the clock on the wall with the one that cannot be set."""

    def __init__(self, wall: datetime, steady_s: float) -> None:
        self.wall = wall
        self.steady_s = steady_s

    def jump(self, wall: datetime, steady_s: float) -> timedelta | None:
        """By how much the wall clock went astray since the last look, if by more than 5 minutes."""
        astray = (wall - self.wall) - timedelta(seconds=steady_s - self.steady_s)
        self.wall, self.steady_s = wall, steady_s
        return astray if abs(astray) > JUMP else None


def clock() -> datetime:
    """The hour, in UTC."""
    return datetime.now(UTC)
