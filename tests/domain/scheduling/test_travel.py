"""Distances against published geodesics, minutes by hand."""

import numpy as np
import pytest

from crewjobs.domain.scheduling import Problem, records
from crewjobs.domain.scheduling.travel import (
    EVEN,
    GreatCircle,
    Place,
    Table,
    Traffic,
    great_circle_m,
)

HAVERSINE_ERROR_SHARE = 0.006
"""A sphere stands in for the WGS84 ellipsoid; the worst place is north-south at the equator."""

GEODESICS = [
    # C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87 (2013), 43-55; the lines are of
    # his test file test_geodesic.py, which comes with the package geographiclib 2.1.
    ((40.6, -73.8), (49.01666667, 2.55), 5_853_226.2556),
    ((35.60777, -139.44815), (-11.17491, -69.95921), 8_935_244.5604818305),
    ((55.52454, 106.05087), (77.03196, 197.18234), 4_105_086.1713924406),
    ((-21.97856, 142.59065), (41.84138, 98.56635), 8_394_328.894657671),
    ((88.202499451857, 0), (-88.202499451857, 179.981022032992859592), 20_003_898.214),
    ((52.784459512564, 0), (-52.784459512563990912, 179.634407464943777557), 19_991_596.095),
]

SHORT_GEODESICS = [
    # Degrees along a meridian and along the equator, computed with the same package.
    ((40, -75), (41, -75), 111_044.2609),
    ((40, -75), (40, -74), 85_393.4091),
    ((0, 0), (1, 0), 110_574.3886),
    ((0, 0), (0, 1), 111_319.4908),
    ((89, 0), (90, 0), 111_693.8649),
    ((40.7128, -74.0060), (34.0522, -118.2437), 3_944_422.2315),
]


def at(point) -> Place:
    return Place(at_lat=point[0], at_lon=point[1])


@pytest.mark.parametrize(("here", "there", "geodesic_m"), GEODESICS + SHORT_GEODESICS)
def test_the_great_circle_is_within_the_error_of_a_sphere(here, there, geodesic_m):
    distance_m = great_circle_m(at(here), at(there))
    assert distance_m == pytest.approx(geodesic_m, rel=HAVERSINE_ERROR_SHARE)


def test_known_haversine_distances_are_met_to_the_millimetre():
    assert great_circle_m(at((40.6, -73.8)), at((49.01666667, 2.55))) == pytest.approx(
        5_837_565.115, abs=1e-3
    )
    assert great_circle_m(at((40, -75)), at((40, -74))) == pytest.approx(85_179.927, abs=1e-3)


def test_the_table_agrees_with_the_distance_between_two_places():
    places = [at(point) for line in GEODESICS for point in line[:2]]
    travel = GreatCircle(circuity_factor=1.0, speed_kmh=60.0, fixed_min=0)
    table = travel.minutes(places)
    direct = [[np.ceil(great_circle_m(a, b) / 1000 - 1e-6) for b in places] for a in places]
    assert table.tolist() == direct


def test_a_drive_costs_its_fixed_minutes_and_no_drive_costs_none():
    here, near = at((40, -75)), at((40.0001, -75))
    table = GreatCircle(fixed_min=7).minutes([here, here, near])
    assert table.tolist() == [[0, 0, 8], [0, 0, 8], [8, 8, 0]]


def test_no_places_have_an_empty_table():
    assert GreatCircle().minutes([]).shape == (0, 0)


@pytest.mark.parametrize(
    ("fields", "named"),
    [
        ({"circuity_factor": 0.9}, "circuity_factor"),
        ({"speed_kmh": 0.0}, "speed_kmh"),
        ({"fixed_min": -1}, "fixed_min"),
    ],
)
def test_an_impossible_way_of_driving_is_refused(fields, named):
    with pytest.raises(ValueError, match=named):
        GreatCircle(**fields)


def test_a_place_off_the_globe_is_refused():
    with pytest.raises(ValueError, match="at_lat"):
        at((91, 0))
    with pytest.raises(ValueError, match="at_lon"):
        at((0, -181))


def test_traffic_begins_at_midnight_and_rises():
    for steps in [(), ((1, 100),), ((0, 100), (0, 90)), ((0, 100), (1440, 90)), ((0, 0),)]:
        with pytest.raises(ValueError, match=r"steps|percent"):
            Traffic(steps=steps)
    assert EVEN.is_even
    assert not Traffic(steps=((0, 90),)).is_even


def test_a_table_is_written_down_and_read_back_with_the_problem():
    here, there = at((40, -75)), at((41, -75))
    table = Table(places=(here, there), rows_min=((0, 9), (8, 0)), otherwise=GreatCircle())
    problem = Problem(crew_days=(), visits=(), travel=table, traffic=Traffic(steps=((0, 80),)))
    assert records.from_text(Problem, records.to_text(problem)) == problem
