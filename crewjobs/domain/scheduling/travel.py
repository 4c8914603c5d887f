"""How long a drive takes. It knows the globe, a speed and how it changes by the hour, no roads.

Whatever fills a table of minutes can stand in for it by implementing :class:`Travel`; what a
routing service said is a :class:`Table`.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, cos, radians, sin, sqrt
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.facts import at_least, more_than_zero

EARTH_RADIUS_M = 6_371_008.8
"""The mean radius (2a + b) / 3 of the ellipsoid (Moritz 1980, Geodetic Reference System).

On a sphere of this radius a distance is off by at most 0.6 % of the geodesic."""

CIRCUITY_FACTOR = 1.2
"""Road over great circle: about 1.2 in the United States (Ballou, Rahardja, Sakai 2002,
Transportation Research Part A 36(9), 843-848) and in cities (Newell 1980). Other countries run
up to 1.65: the shop sets its own."""

SPEED_KMH = 48.0
"""Common practice, not measured: a loaded truck through towns; the shop sets its own."""

FIXED_MIN = 4
"""Common practice, not measured: getting in, out of the yard, finding where to stand."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """A point on the globe, in degrees."""

    at_lat: float
    at_lon: float

    def __post_init__(self) -> None:
        if not -90 <= self.at_lat <= 90:
            raise ValueError(f"at_lat is {self.at_lat:g}, it must lie between -90 and 90")
        if not -180 <= self.at_lon <= 360:
            raise ValueError(f"at_lon is {self.at_lon:g}, it must lie between -180 and 360")


@dataclass(frozen=True, kw_only=True, slots=True)
class Traffic:
    """How fast the roads are by the hour: from each minute of the clock, percent of the usual.

    A drive goes as far in each minute as that minute lets it, so who leaves later never arrives
    earlier. A factor on the whole drive by when it leaves would not have that.

    References
    ----------
    Ichoua, Gendreau, Potvin 2003, European Journal of Operational Research 144(2), 379-396.
    """

    steps: tuple[tuple[int, int], ...] = ((0, 100),)
    """Minute of the day and percent, in order; the first at minute 0."""

    def __post_init__(self) -> None:
        starts = [start for start, _ in self.steps]
        if not starts or starts[0] != 0 or starts != sorted(set(starts)) or starts[-1] >= 1440:
            raise ValueError(f"steps begin at {starts}, they must rise from minute 0 within a day")
        for _, percent in self.steps:
            at_least("percent", percent, 1)

    @property
    def is_even(self) -> bool:
        """Whether every hour is as the usual one."""
        return all(percent == 100 for _, percent in self.steps)

    def percent(self, minute: int) -> int:
        """The speed in one minute of the clock.

        Examples
        --------
        >>> rush = Traffic(steps=((0, 100), (420, 70), (540, 100)))
        >>> [rush.percent(minute) for minute in (419, 420, 539, 540, 1440 + 420)]
        [100, 70, 70, 100, 70]
        """
        starts = [start for start, _ in self.steps]
        return self.steps[bisect_right(starts, minute % 1440) - 1][1]


EVEN = Traffic()
"""The same speed at every hour."""


class Travel(Protocol):
    """Whatever knows how long drives take."""

    def minutes(self, places: Sequence[Place]) -> NDArray[np.int64]:
        """Whole minutes of driving from each place (row) to each place (column).

        No way by a third place may be shorter than the direct one, or routes are overlooked.
        """
        ...


def great_circle_m(here: Place, there: Place) -> float:
    """The distance over a sphere, within 0.6 % of the geodesic.

    References
    ----------
    The haversine formula; see :data:`EARTH_RADIUS_M` for the sphere.

    Examples
    --------
    >>> round(great_circle_m(Place(at_lat=40, at_lon=-75), Place(at_lat=41, at_lon=-75)))
    111195
    """
    north, south = radians(here.at_lat), radians(there.at_lat)
    turn = radians(there.at_lon - here.at_lon)
    h = sin((south - north) / 2) ** 2 + cos(north) * cos(south) * sin(turn / 2) ** 2
    return 2 * EARTH_RADIUS_M * asin(min(1.0, sqrt(h)))


@dataclass(frozen=True, kw_only=True, slots=True)
class GreatCircle:
    """Driving by great circle, circuity and speed, and some minutes for every drive.

    Two visits at the same place have no drive between them.
    """

    circuity_factor: float = CIRCUITY_FACTOR
    speed_kmh: float = SPEED_KMH
    fixed_min: int = FIXED_MIN

    def __post_init__(self) -> None:
        at_least("circuity_factor", self.circuity_factor, 1)
        more_than_zero("speed_kmh", self.speed_kmh)
        at_least("fixed_min", self.fixed_min, 0)

    def minutes(self, places: Sequence[Place]) -> NDArray[np.int64]:
        """Whole minutes of driving, rounded up, from each place to each place.

        Examples
        --------
        50 km of great circle are 60 km of road, 75 minutes at 48 km/h, and 4 for the start.

        >>> there = Place(at_lat=50_000 / 111_195.08, at_lon=0)
        >>> GreatCircle().minutes([Place(at_lat=0, at_lon=0), there]).tolist()
        [[0, 79], [79, 0]]
        """
        lat, lon = (
            np.radians([getattr(place, name) for place in places]).reshape(-1, 1)
            for name in ("at_lat", "at_lon")
        )
        h = np.sin((lat.T - lat) / 2) ** 2
        h += np.cos(lat) * np.cos(lat.T) * np.sin((lon.T - lon) / 2) ** 2
        straight_km = 2 * EARTH_RADIUS_M / 1000 * np.arcsin(np.sqrt(np.minimum(h, 1.0)))
        drive_min = straight_km * self.circuity_factor / self.speed_kmh * 60
        whole = np.ceil(drive_min - 1e-6).astype(np.int64) + self.fixed_min
        return np.where(straight_km > 0, whole, 0)


UNKNOWN_MIN = -1
"""Stands in a table where no way is known."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Table:
    """Minutes that somebody else found, such as a routing service; else by great circle."""

    places: tuple[Place, ...]
    rows_min: tuple[tuple[int, ...], ...]
    """From each place (row) to each; :data:`UNKNOWN_MIN` where no way is known."""
    otherwise: GreatCircle

    def __post_init__(self) -> None:
        if {len(row) for row in self.rows_min} - {len(self.places)} or len(self.rows_min) != len(
            self.places
        ):
            raise ValueError(f"rows_min is not a square table of {len(self.places)} places")

    def minutes(self, places: Sequence[Place]) -> NDArray[np.int64]:
        """Whole minutes of driving, as known, from each place to each place.

        Examples
        --------
        >>> here, there = Place(at_lat=0, at_lon=0), Place(at_lat=0, at_lon=0.1)
        >>> table = Table(
        ...     places=(here, there), rows_min=((0, 25), (UNKNOWN_MIN, 0)), otherwise=GreatCircle()
        ... )
        >>> table.minutes([here, there]).tolist()
        [[0, 25], [21, 0]]
        """
        number = {place: n for n, place in enumerate(self.places)}
        rows = np.array([number.get(place, len(number)) for place in places], np.int64)
        known = np.full((len(number) + 1, len(number) + 1), UNKNOWN_MIN, np.int64)
        known[:-1, :-1] = np.array(self.rows_min, np.int64).reshape(len(number), len(number))
        found = known[np.ix_(rows, rows)]
        return np.where(found >= 0, found, self.otherwise.minutes(places))
