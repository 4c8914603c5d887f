"""Drives by road, asked of a routing server that has the usual table service.

Knows HTTP and the cache. A server that does not answer is no error: drives are then reckoned by
great circle, all of them, so that a plan is never made of two ways to measure. Decides nothing.

References
----------
The table service of OSRM 5: ``GET {server}/table/v1/driving/{lon},{lat};...`` with ``sources``
and ``destinations`` answers ``durations`` in seconds, null where there is no way.
"""

import json
import logging
from collections.abc import Iterator, Sequence
from hashlib import sha256
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from itertools import product
from math import ceil
from urllib.parse import urlsplit

from django.conf import settings
from django.core.cache import cache

from crewjobs.domain.scheduling import GreatCircle, Place, Travel
from crewjobs.domain.scheduling.travel import UNKNOWN_MIN, Table

TIMEOUT_S = 5.0
BLOCK = 50
"""Places on either side of one question: servers usually answer 100 together."""
MOST_PLACES = 600
"""More would take hundreds of questions: those boards are planned by great circle."""
DIGITS = 4
"""Of a degree: about 11 m. Places that are closer share what is remembered."""
KEPT_S = 30 * 24 * 3600
"""Roads change slowly."""
LEFT_ALONE_S = 60
"""A server that did not answer is not asked again so long."""
ANSWER_BYTES = 4_000_000

Point = tuple[float, float]
Known = dict[Point, int]
"""Whole minutes of road to each point; unknown ones too."""

log = logging.getLogger(__name__)


class RoadsError(Exception):
    """The server said nothing that could be used."""


def travel(places: Sequence[Place], otherwise: GreatCircle) -> Travel:
    """How long drives take by road, where a routing server is set and answers; else as given."""
    different = tuple(dict.fromkeys(places))
    if not settings.ROADS_URL or not 2 <= len(different) <= MOST_PLACES:
        return otherwise
    if cache.get(_key("down")):
        return otherwise
    try:
        known = _known(list(dict.fromkeys(_point(place) for place in different)))
    except RoadsError as error:
        log.warning("drives are reckoned by great circle: %s", error)
        cache.set(_key("down"), str(error), LEFT_ALONE_S)
        return otherwise
    rows_min = tuple(
        tuple(_minutes(known, here, there, otherwise) for there in different) for here in different
    )
    return Table(places=different, rows_min=rows_min, otherwise=otherwise)


def _minutes(known: dict[Point, Known], here: Place, there: Place, otherwise: GreatCircle) -> int:
    if here == there:
        return 0
    minutes = known[_point(here)][_point(there)]
    return minutes if minutes == UNKNOWN_MIN else minutes + otherwise.fixed_min


def _point(place: Place) -> Point:
    return round(place.at_lat, DIGITS), round(place.at_lon, DIGITS)


def _known(points: list[Point]) -> dict[Point, Known]:
    """The minutes from each point to each, remembered or asked for."""
    keys = {point: _key(*map(str, point)) for point in points}
    kept = cache.get_many(keys.values())
    known: dict[Point, Known] = {point: kept.get(keys[point], {}) for point in points}
    stale = [point for point in points if not known[point].keys() >= set(points)]
    for sources, destinations in product(_blocks(stale), _blocks(points)):
        for source, row in zip(sources, _asked(sources, destinations), strict=True):
            known[source] |= dict(zip(destinations, row, strict=True))
    cache.set_many({keys[point]: known[point] for point in stale}, KEPT_S)
    return known


def _key(*words: str) -> str:
    told = " ".join([settings.ROADS_URL, *words])
    return f"roads-{sha256(told.encode()).hexdigest()}"


def _blocks(points: Sequence[Point]) -> Iterator[Sequence[Point]]:
    return (points[n : n + BLOCK] for n in range(0, len(points), BLOCK))


def _asked(sources: Sequence[Point], destinations: Sequence[Point]) -> list[list[int]]:
    """Whole minutes from each source to each destination, as the server says."""
    points = ";".join(
        f"{lon:.{DIGITS}f},{lat:.{DIGITS}f}" for lat, lon in [*sources, *destinations]
    )
    first = ";".join(str(n) for n in range(len(sources)))
    last = ";".join(str(len(sources) + n) for n in range(len(destinations)))
    path = f"/table/v1/driving/{points}?annotations=duration&sources={first}&destinations={last}"
    try:
        durations = json.loads(_answer(path))["durations"]
        rows = [[_whole_minutes(seconds) for seconds in row] for row in durations]
    except (ValueError, KeyError, TypeError, OverflowError) as error:
        raise RoadsError(f"the routing server answered no table: {error!r}") from error
    if [len(row) for row in rows] != [len(destinations)] * len(sources):
        raise RoadsError("the routing server answered another table than was asked for")
    return rows


def _whole_minutes(seconds: float | None) -> int:
    if seconds is None:
        return UNKNOWN_MIN
    if seconds < 0:
        raise ValueError(f"a drive of {seconds} seconds")
    return ceil(seconds / 60)


def _answer(path: str) -> bytes:
    server = urlsplit(settings.ROADS_URL)
    connect = HTTPSConnection if server.scheme == "https" else HTTPConnection
    try:
        connection = connect(server.hostname or "", server.port, timeout=TIMEOUT_S)
        try:
            connection.request("GET", server.path.rstrip("/") + path)
            with connection.getresponse() as answer:
                if answer.status != 200:
                    raise RoadsError(f"the routing server answered {answer.status}")
                return answer.read(ANSWER_BYTES)
        finally:
            connection.close()
    except (OSError, HTTPException, ValueError) as error:
        raise RoadsError(f"the routing server: {error!r}") from error
