"""Workers are killed with -9 while they send: nothing is lost, and little is said twice."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
import pytest

ROOT = Path(__file__).parents[2]
MESSAGES = 300
MORE = 100
WORKERS = 3
KILLS = 5
PATIENCE_S = 60.0


def sqlite(tmp_path: Path) -> Iterator[str]:
    yield f"sqlite:///{tmp_path}/outbox.sqlite3"


def postgresql(_tmp_path: Path) -> Iterator[str]:
    """A database of its own beside the one that DATABASE_URL names."""
    url = os.environ.get("DATABASE_URL", "")
    if not url.startswith("postgres"):
        pytest.skip("NOT KILLED ON POSTGRESQL: set DATABASE_URL=postgres://...")
    name = f"outbox_kill_{os.getpid()}"
    with closing(psycopg.connect(url, autocommit=True)) as server:
        server.execute(f"CREATE DATABASE {name}")
        try:
            yield urlsplit(url)._replace(path=f"/{name}").geturl()
        finally:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")


class Office:
    """An outbox in a database of its own, and the workers that empty it."""

    def __init__(self, url: str, folder: Path) -> None:
        self.counted = folder / "sent"
        self.counted.touch()
        self.env = os.environ | {
            "DATABASE_URL": url,
            "CREWJOBS_DATA": str(folder),
            "DJANGO_SETTINGS_MODULE": "config.settings",
            "EMAIL_BACKEND": "tests.app.mailboxes.Counting",
            "COUNTED_MAIL": str(self.counted),
            "PYTHONPATH": str(ROOT),
        }
        self.workers: list[subprocess.Popen[bytes]] = []

    def run(self, *words: str) -> str:
        command = [sys.executable, "-m", "tests.app.outbox_filled", *words]
        done = subprocess.run(command, env=self.env, check=True, capture_output=True, text=True)
        return done.stdout

    def start(self) -> None:
        command = [sys.executable, "manage.py", "work", "--limit", "50"]
        self.workers.append(subprocess.Popen(command, env=self.env, cwd=ROOT))

    def sent(self) -> list[str]:
        return self.counted.read_text().splitlines()

    def stop(self, number: int = signal.SIGTERM) -> list[int]:
        for worker in self.workers:
            worker.send_signal(number)
        return [worker.wait(PATIENCE_S) for worker in self.workers]


@pytest.fixture(params=[sqlite, postgresql], ids=["sqlite", "postgresql"])
def office(request, tmp_path) -> Iterator[Office]:
    for url in request.param(tmp_path):
        office = Office(url, tmp_path)
        office.run("fill", "0", str(MESSAGES))
        yield office
        office.stop(signal.SIGKILL)


def wait_until(is_so: Callable[[], bool]) -> None:
    last_s = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < last_s, "the workers stand still"
        time.sleep(0.005)


def kill_while_sending(office: Office) -> None:
    """Kill the oldest worker as often as agreed, spread over the messages, and start another."""
    for kill in range(1, KILLS + 1):
        enough = kill * MESSAGES // (KILLS + 2)
        wait_until(lambda: len(office.sent()) >= enough)  # noqa: B023 - called at once
        victim = office.workers.pop(0)
        victim.kill()
        victim.wait()
        office.start()
    wait_until(lambda: len(set(office.sent())) >= MESSAGES - KILLS)


def test_killed_workers_lose_nothing_and_repeat_little(office) -> None:
    for _ in range(WORKERS):
        office.start()
    kill_while_sending(office)
    killed = office.sent()
    office.run("fill", str(MESSAGES), str(MESSAGES + MORE))
    wait_until(lambda: len(office.sent()) >= len(killed) + MORE)
    office.stop()
    calm = office.sent()[len(killed) :]
    told = json.loads(office.run("empty"))
    sent = office.sent()
    repeats = len(sent) - len(set(sent))
    print(f"\n{KILLS} kills, {len(set(sent))} messages: 0 lost, {repeats} repeated")
    assert len(set(sent)) == told["sent"] == MESSAGES + MORE
    assert repeats <= KILLS
    assert len(set(calm)) == len(calm) >= MORE, "none is repeated while nobody is killed"
    assert told.get("integrity", "ok") == "ok"


def test_a_worker_that_is_asked_to_stop_ends_well(office) -> None:
    office.start()
    wait_until(lambda: len(office.sent()) > 0)
    assert office.stop() == [0]
    assert len(office.sent()) < MESSAGES, "it did not send on"
