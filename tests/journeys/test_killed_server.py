"""The server is killed with -9 while people work: what was acknowledged is there, and once.

Two phones report and the office books jobs, over real HTTP. Meanwhile web workers, the web server
and at last `serve` itself are killed. Whoever got no answer sends the same again, under the same
client id or job number.
"""

import json
import os
import signal
import urllib.error
import urllib.request
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from tests import servers, serving
from tests.app.api.asking import order

WHO = {"email": "dana@example.test", "password": "a quartz counter top"}
FOUND = (
    "first_person", "--shop", "Alder Bay Stone", "--time-zone", "America/Chicago",
    "--name", "Dana Office", "--email", WHO["email"],
)  # fmt: skip
REPORTS = 30
"""By each of two phones."""
JOBS = 12


@contextmanager
def sqlite(_folder: Path) -> Iterator[dict[str, str]]:
    yield {}


@contextmanager
def postgresql(_folder: Path) -> Iterator[dict[str, str]]:
    with servers.database_url() as url:
        yield {"DATABASE_URL": url}


class Client:
    """Asks until there is an answer, and counts how often it had to ask again."""

    def __init__(self, server: serving.Server) -> None:
        self.server = server
        self.token = ""
        self.again = 0

    def ask(self, method: str, path: str, body: object = None) -> tuple[int, Any]:
        """Status and answer, after as many attempts as it takes."""
        answers: list[tuple[int, Any]] = []
        serving.until(lambda: self._try(answers, method, path, body), f"an answer to {path}")
        return answers[0]

    def _try(self, answers: list[Any], method: str, path: str, body: object) -> bool:
        headers = {"Content-Type": "application/json"}
        if self.token:
            headers["Authorization"] = f"Bearer {self.token}"
        request = urllib.request.Request(  # noqa: S310 (http, ours)
            f"{self.server.url}/api/v1/{path}", method=method, headers=headers,
            data=None if body is None else json.dumps(body).encode(),
        )  # fmt: skip
        try:
            with urllib.request.urlopen(request, timeout=20) as response:  # noqa: S310
                answers.append((response.status, json.load(response)))
        except urllib.error.HTTPError as error:
            if error.code < 500:
                answers.append((error.code, json.load(error)))
        except (OSError, EOFError, ValueError, urllib.error.URLError):
            pass
        self.again += not answers
        return bool(answers)


def phone(client: Client, visit: str, number: int, told: list[UUID]) -> None:
    """Report, one after the other, and note what was acknowledged."""
    for each in range(REPORTS):
        body = {
            "client_id": str(UUID(int=number * 1000 + each)),
            "kind": "cleaned",
            "happened_at": datetime.now(UTC).isoformat(),
        }
        status, answer = client.ask("POST", f"visits/{visit}/reports/", body)
        assert status == 200, answer
        assert answer["problem"] is None
        told.append(UUID(answer["client_id"]))


def office(client: Client, booked: list[str]) -> None:
    """Book jobs; a number that is taken when the same is sent again was booked before."""
    for each in range(JOBS):
        number = f"K-{each}"
        before = client.again
        status, answer = client.ask("POST", "jobs/", order(number=number))
        assert status == 201 or (client.again > before and number in json.dumps(answer)), answer
        booked.append(number)


def kill_meanwhile(
    server: serving.Server, done: Callable[[], int], people: list[Future[None]]
) -> None:
    """Kill a web worker, the web server, and a web worker, while work goes on."""
    whole = 2 * REPORTS + JOBS
    for fifth in (1, 2, 3):
        mark = whole * fifth // 5

        def far_enough(mark: int = mark) -> bool:
            return done() >= mark or _failed(people)

        serving.until(far_enough, "work done")
        master = server.child("gunicorn")
        workers = [pid for pid, parent in serving.parents().items() if parent == master]
        os.kill(master if fifth == 2 else workers[0], signal.SIGKILL)


def _failed(people: list[Future[None]]) -> bool:
    return any(each.done() and each.exception() for each in people)


def everything(client: Client, path: str) -> list[Any]:
    """Every page of a list."""
    found: list[Any] = []
    while path:
        answer = client.ask("GET", path)[1]
        if isinstance(answer, list):
            return answer
        found += answer["results"]
        path = (answer["next"] or "").partition("/api/v1/")[2]
    return found


@pytest.mark.parametrize("database", [sqlite, postgresql])
def test_what_was_acknowledged_is_there_and_once(tmp_path, database) -> None:
    with database(tmp_path) as env:
        serving.manage(tmp_path, "migrate", "--verbosity", "0", **env)
        serving.manage(tmp_path, *FOUND, FIRST_PASSWORD=WHO["password"], **env)
        journey(tmp_path, env)


def journey(folder: Path, env: dict[str, str]) -> None:
    told: tuple[list[UUID], list[UUID]] = ([], [])
    booked: list[str] = []
    with serving.served(folder, **env) as server:
        clients = [Client(server) for _ in range(3)]
        token = clients[0].ask("POST", "tokens/", {"name": "trial", **WHO})[1]["token"]
        for client in clients:
            client.token = token
        job = clients[0].ask("POST", "jobs/", order(holds=[]))[1]
        visit = job["visits"][0]["id"]
        with ThreadPoolExecutor(3) as pool:
            people = [pool.submit(phone, clients[n], visit, n, told[n]) for n in (0, 1)]
            people.append(pool.submit(office, clients[2], booked))
            kill_meanwhile(server, lambda: sum(map(len, (*told, booked))), people)
            server.process.kill()
            server.process.wait()
            with serving.served(folder, port=server.port, **env):
                for each in people:
                    each.result()
                judge(clients[0], job["id"], visit, told, booked)
    again = sum(client.again for client in clients)
    print(f"4 kills, {again} requests sent again, 0 lost, 0 twice")


def judge(
    client: Client, job: str, visit: str, told: tuple[list[UUID], list[UUID]], booked: list[str]
) -> None:
    """Every report and job stands once, and so does its line in the log."""
    kept = [UUID(report["client_id"]) for report in everything(client, f"visits/{visit}/reports/")]
    assert sorted(kept) == sorted((*told[0], *told[1]))
    assert len(kept) == 2 * REPORTS
    verbs = Counter(line["verb"] for line in everything(client, f"jobs/{job}/log/"))
    assert verbs["visit.report"] == 2 * REPORTS
    numbers = [row["number"] for row in everything(client, "jobs/?page_size=200")]
    assert sorted(n for n in numbers if n.startswith("K-")) == sorted(booked)
    assert len(set(booked)) == JOBS
