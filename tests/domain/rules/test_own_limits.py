"""A shop's own limits move the rules that ask for them."""

import pytest

from crewjobs.domain import lifting, rules
from crewjobs.domain.facts import RouteElement, RouteKind, Work
from crewjobs.domain.limits import USUAL, Limits
from tests import make

CORNER = RouteElement(kind=RouteKind.TURN, width_mm=914, depth_mm=914, height_mm=2438, turn_deg=90)
TOPS = (
    make.piece(
        length_mm=1500, depth_mm=648, cutouts=(make.sink(750, corner_radius_mm=10),),
        dishwasher_hole_mm=10, overhang_mm=200,
    ),
    make.piece("B", 400, 300),
)  # fmt: skip
WORK = Work(
    pieces=TOPS, route=(CORNER,), seams=(make.seam(edge_lippage_mm=0.05),), temperature_deg_c=15
)


def said(code: str, limits: Limits) -> dict[str, str]:
    found = rules.advise(make.job(work=WORK, limits=limits))
    return {each.about: each.message for each in found if each.code == code}


@pytest.mark.parametrize(
    ("code", "own"),
    [
        ("carry_in", {"clear_side_mm": 300}),
        ("lifting_aid", {"team_factor": 0.3}),
        ("weak_rail", {"rail_least_mm": 150}),
        ("weak_rail", {"strength_mpa": 5}),
        ("inside_corner", {"corner_radius_mm": 12}),
        ("dishwasher_hole", {"hole_left_mm": 21}),
        ("dishwasher_hole", {"hole_most_mm": 9}),
        ("overhang", {"thin_below_mm": 31}),
        ("seam_made", {"felt_mm": 0.01}),
        ("seam_temperature", {"cold_deg_c": 16}),
        ("seam_temperature", {"working_min": 0.5}),
    ],
)
def test_a_stricter_limit_is_heard(code, own) -> None:
    assert said(code, Limits(**own)) != said(code, USUAL)


def test_nobody_carries_alone_what_the_shop_calls_too_long() -> None:
    strip = make.piece(length_mm=1000, depth_mm=100)
    assert lifting.hands(strip, 2).shop_people == 1
    assert lifting.hands(strip, 2, limits=Limits(alone_most_mm=900)).shop_people == 2
