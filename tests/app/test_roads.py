"""Drives by road from a routing server of our own, that may be slow, wrong or gone."""

import json
import re
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest
from django.core.cache import cache

from crewjobs import roads
from crewjobs.domain.facts import Stage
from crewjobs.domain.scheduling import GreatCircle, Place
from crewjobs.domain.scheduling.travel import Table
from crewjobs.snapshots import week
from tests import rows
from tests.app.test_plans import FRIDAY, TUESDAY, crew_of

HERE, THERE, FAR = (Place(at_lat=44.9 + n / 10, at_lon=-91.9) for n in range(3))
CROW = GreatCircle(fixed_min=4)


def seconds(here: tuple[float, float], there: tuple[float, float]) -> float | None:
    """A tenth of a degree takes a quarter of an hour, to the north ten seconds more."""
    away = there[1] - here[1]
    return round(abs(away) * 9000) + (10 if away > 1e-6 else 0)


@dataclass
class Router:
    """A server with the table service, and what it was asked."""

    takes: Callable[..., float | None] = seconds
    status: int = 200
    answer: bytes | None = None
    asked: list[str] = field(default_factory=list)

    def table(self, path: str) -> bytes:
        found = re.fullmatch(
            r"/car/table/v1/driving/([-0-9.,;]+)\?annotations=duration"
            r"&sources=([0-9;]+)&destinations=([0-9;]+)",
            path,
        )
        assert found, path
        places = [tuple(map(float, each.split(","))) for each in found[1].split(";")]
        assert len(places) <= 100
        sources, targets = ([int(n) for n in found[g].split(";")] for g in (2, 3))
        table = [[self.takes(places[a], places[b]) for b in targets] for a in sources]
        return json.dumps({"code": "Ok", "durations": table}).encode()


@contextmanager
def serving(router: Router, settings) -> Iterator[None]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            router.asked.append(self.path)
            body = router.table(self.path) if router.answer is None else router.answer
            self.send_response(router.status)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    with HTTPServer(("127.0.0.1", 0), Handler) as server:
        settings.ROADS_URL = f"http://127.0.0.1:{server.server_port}/car/"
        thread = threading.Thread(target=server.serve_forever, args=(0.01,))
        thread.start()
        try:
            yield
        finally:
            server.shutdown()
            thread.join()


@pytest.fixture(autouse=True)
def forgotten():
    cache.clear()
    yield
    cache.clear()


def minutes(*places: Place) -> list[list[int]]:
    table: list[list[int]] = roads.travel(places, CROW).minutes(places).tolist()
    return table


def test_drives_are_those_of_the_server_rounded_up_with_the_fixed_minutes(settings) -> None:
    with serving(Router(), settings):
        assert minutes(HERE, THERE, FAR) == [[0, 20, 35], [19, 0, 20], [34, 19, 0]]


def test_without_a_server_they_are_as_given(settings) -> None:
    settings.ROADS_URL = ""
    assert roads.travel([HERE, THERE], CROW) is CROW


def test_what_was_asked_once_is_remembered_and_only_new_places_are_asked(settings) -> None:
    router = Router()
    with serving(router, settings):
        first = minutes(HERE, THERE)
        assert minutes(THERE, HERE) == [list(reversed(row)) for row in reversed(first)]
        near = Place(at_lat=HERE.at_lat + 0.00002, at_lon=HERE.at_lon)
        assert minutes(near, THERE) == first
        assert len(router.asked) == 1
        minutes(HERE, THERE, FAR)
        assert len(router.asked) == 2


def test_many_places_are_asked_in_blocks(settings) -> None:
    router = Router()
    places = [Place(at_lat=44 + n / 1000, at_lon=-91.9) for n in range(120)]
    with serving(router, settings):
        table = minutes(*places)
    assert len(router.asked) == 9
    assert table[0][119] == 4 + 18 + 1 - (0.119 * 9000 + 10 <= 18 * 60)
    assert table[119][0] == 4 + 18


def test_where_no_way_is_known_it_is_reckoned_by_great_circle(settings) -> None:
    def takes(here, there) -> float | None:
        return None if round(there[1], 1) == 45.1 else seconds(here, there)

    with serving(Router(takes=takes), settings):
        table = minutes(HERE, THERE, FAR)
    crow = CROW.minutes([HERE, THERE, FAR]).tolist()
    assert table[0] == [0, 20, crow[0][2]]
    assert table[2] == [34, 19, 0]


@pytest.mark.parametrize(
    "router",
    [
        Router(status=500),
        Router(answer=b"no table"),
        Router(answer=b"{}"),
        Router(answer=b'{"durations": null}'),
        Router(answer=b'{"durations": [[0, 60]]}'),
        Router(answer=b'{"durations": [[0, 60], [60]]}'),
        Router(answer=b'{"durations": [[0, -60], [60, 0]]}'),
        Router(answer=b'{"durations": [[0, NaN], [60, 0]]}'),
        Router(answer=b'{"durations": [[0, "x"], [60, 0]]}'),
    ],
)
def test_a_server_that_fails_is_left_alone_for_a_while(settings, router) -> None:
    router.asked.clear()
    with serving(router, settings):
        assert roads.travel([HERE, THERE], CROW) is CROW
        assert roads.travel([HERE, THERE], CROW) is CROW
    assert len(router.asked) == 1


def test_a_server_that_is_gone_does_no_harm(settings) -> None:
    with socket.socket() as unused:
        unused.bind(("127.0.0.1", 0))
        settings.ROADS_URL = f"http://127.0.0.1:{unused.getsockname()[1]}"
    assert roads.travel([HERE, THERE], CROW) is CROW


@pytest.mark.parametrize("url", ["", "nowhere", "http://", "http://[", "ftp://x:y"])
def test_an_address_that_is_none_does_no_harm(settings, url) -> None:
    settings.ROADS_URL = url
    assert roads.travel([HERE, THERE], CROW) is CROW


def test_one_place_and_very_many_are_not_asked_for(settings) -> None:
    router = Router()
    with serving(router, settings):
        many = [Place(at_lat=n / 100, at_lon=0) for n in range(roads.MOST_PLACES + 1)]
        assert roads.travel([HERE, HERE], CROW) is CROW
        assert roads.travel(many, CROW) is CROW
    assert router.asked == []


def test_a_table_is_square() -> None:
    for rows_min in [((0, 1),), ((0, 1), (0,)), ()]:
        with pytest.raises(ValueError, match="rows_min"):
            Table(places=(HERE, THERE), rows_min=rows_min, otherwise=CROW)
    known = Table(places=(HERE,), rows_min=((0,),), otherwise=CROW)
    assert known.minutes([HERE, FAR]).tolist() == CROW.minutes([HERE, FAR]).tolist()


@pytest.mark.django_db
def test_a_plan_is_made_with_the_drives_of_the_server(settings) -> None:
    rows.shop()
    crew_of(2)
    rows.visit(rows.job(stage=Stage.READY))
    with serving(Router(), settings):
        problem = week(TUESDAY, FRIDAY).problem
    depot, site = problem.crew_days[0].depot, Place(at_lat=44.95, at_lon=-91.85)
    # The way north is 0.05 of a degree: 460 seconds, 8 minutes, and 4 for every drive.
    assert problem.travel.minutes([depot, site])[0, 1] == 12
