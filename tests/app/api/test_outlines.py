"""Pieces of any shape through the API: as corners or plain sizes, in any unit, or refused."""

from typing import Any

import pytest

from crewjobs.domain import outlines
from crewjobs.models import Piece, Shop, Units
from tests import rows
from tests.app.api.asking import api, at, order
from tests.app.api.test_jobs import pointers

pytestmark = pytest.mark.django_db

L = {"kind": "L", "length_mm": 3000, "depth_mm": 650, "leg_mm": 2000, "leg_depth_mm": 600}
U = {"kind": "U", "length_mm": 2600, "depth_mm": 650, "left_mm": 2000, "right_mm": 1500}


@pytest.fixture
def office():
    rows.shop()
    return api(rows.dispatcher())


def booked(office, **piece) -> dict[str, Any]:
    body = order(pieces=[{"name": "A", "thickness_mm": 30} | piece], seams=[])
    answer = office.post(at("jobs/"), body)
    assert answer.status_code == 201, answer.content
    made: list[dict[str, Any]] = office.get(at(f"jobs/{answer.json()['id']}/pieces/")).json()
    return made[0]


def refused(office, **piece) -> dict[str, str]:
    body = order(pieces=[{"name": "A", "thickness_mm": 30} | piece], seams=[])
    answer = office.post(at("jobs/"), body)
    assert answer.status_code == 400, answer.content
    return {each["pointer"]: each["detail"] for each in answer.json()["errors"]}


def test_an_l_lies_with_its_outer_corner_where_it_is_said_to(office) -> None:
    back_left = booked(office, shape=L)
    assert back_left["outline_mm"][0] == [0, 2000]
    assert back_left["computed"]["box_mm"] == [[0, 0], [3000, 2000]]
    assert back_left["computed"]["area_m2"] == pytest.approx(3 * 0.65 + 0.6 * 1.35)
    assert back_left["computed"]["mass_kg"] == pytest.approx(2.76 * 0.03 * 2400)
    front_right = booked(office, shape=L | {"corner": "front right"})
    assert front_right["outline_mm"][0] == [3000, 0]
    x, y = front_right["computed"]["centre_of_gravity_mm"]
    assert (x, y) == pytest.approx(
        (3000 - back_left["computed"]["centre_of_gravity_mm"][0],
         2000 - back_left["computed"]["centre_of_gravity_mm"][1])
    )  # fmt: skip


def test_a_u_opens_to_the_front(office) -> None:
    piece = booked(office, shape=U)
    assert piece["computed"]["box_mm"] == [[0, 0], [2600, 2000]]
    assert piece["outline_mm"][0] == [0, 2000]
    assert [1950, 1350] in piece["outline_mm"]
    area_m2 = 2.6 * 0.65 + 0.65 * (1.35 + 0.85)
    assert piece["computed"]["area_m2"] == pytest.approx(area_m2)


def test_corners_are_rounded_one_by_one(office) -> None:
    shape = {"kind": "rectangle", "length_mm": 1000, "depth_mm": 600}
    piece = booked(office, shape=shape, radii_mm=[300, 0, "2 in"])
    taken_mm2 = (1 - 3.14159265 / 4) * (300**2 + 50.8**2)
    assert piece["computed"]["area_m2"] == pytest.approx(0.6 - taken_mm2 / 1e6, rel=1e-4)
    assert [1000, 0] in piece["outline_mm"]
    assert [0, 0] not in piece["outline_mm"]


def test_sizes_are_read_as_people_of_the_shop_write_them(office) -> None:
    sizes: dict[str, Any] = {"length_mm": "8' 2 1/2\"", "depth_mm": "25.5 in"}
    assert booked(office, shape={"kind": "rectangle"} | sizes)["outline_mm"][2] == [2501.9, 647.7]
    sizes = {"length_mm": "98 1/2", "depth_mm": "648 mm"}
    assert booked(office, shape={"kind": "rectangle"} | sizes)["outline_mm"][2] == [2501.9, 648]
    Shop.objects.update(units=Units.METRIC)
    sizes = {"length_mm": "2502", "depth_mm": 648}
    assert booked(office, shape={"kind": "rectangle"} | sizes)["outline_mm"][2] == [2502, 648]


def test_where_a_piece_lies_and_what_bonds_a_seam_goes_in_and_out(office) -> None:
    body = order()
    body["pieces"][0] |= {"layout_x_mm": "10 ft", "layout_y_mm": -20, "layout_turn_deg": 90}
    body["seams"][0] |= {"adhesive": "Two-part, ash grey"}
    made = office.post(at("jobs/"), body).json()
    assert [made["pieces"][0][f"layout_{n}"] for n in ("x_mm", "y_mm", "turn_deg")] == [
        3048, -20, 90,
    ]  # fmt: skip
    assert made["pieces"][1]["layout_x_mm"] is None
    assert made["seams"][0]["adhesive"] == "Two-part, ash grey"
    fact = outlines.box_mm(tuple(map(tuple, Piece.objects.get(name="A").outline_mm)))
    assert fact[1] == (2501.9, 647.7)


BOW = [[0, 0], [2000, 600], [2000, 0], [0, 600]]
FLAT = {"length_mm": 2000, "depth_mm": 600}
SINK = {"kind": "undermount sink", "width_mm": 760, "height_mm": 420}
TAP = {"kind": "tap hole", "width_mm": 35, "height_mm": 35}


@pytest.mark.parametrize(
    ("piece", "pointer", "said"),
    [
        ({"outline_mm": BOW}, "outline_mm", "crosses itself at (1000, 300)"),
        ({"outline_mm": [[0, 0], [9, 0], [9, 9]]}, "outline_mm", "is the unit right?"),
        ({"outline_mm": [[0, 0], [99000, 0], [9, 900]]}, "outline_mm", "99000 mm"),
        ({"outline_mm": [[0, 0], [900, 0], [1800, 0]]}, "outline_mm", "the depth is 0 mm"),
        ({"outline_mm": [[0, 0], [9e9, 0], [1800, 0]]}, "outline_mm/1/0", "The most"),
        (FLAT | {"cutouts": [TAP | {"x_mm": 900, "y_mm": 540}, SINK | {"x_mm": 300, "y_mm": 300}]},
         "cutouts/1", "the undermount sink reaches outside the outline at (-80, 90)"),
        (FLAT | {"cutouts": [SINK | {"x_mm": 900, "y_mm": 300}, TAP | {"x_mm": 900, "y_mm": 480}]},
         "cutouts/1", "overlap"),
        (FLAT | {"cutouts": [SINK | {"x_mm": 900, "y_mm": 300, "width_mm": -5}]},
         "cutouts/0/width_mm", "it must be more than 0"),
        (FLAT | {"radii_mm": [0, 400, 400]}, "radii_mm", "the radius at (2000, 0) does not fit"),
        (FLAT | {"radii_mm": [-1]}, "radii_mm", "none below 0"),
        (FLAT | {"radii_mm": [1] * 5}, "radii_mm", "4 at most"),
        (FLAT | {"shape": L}, "outline_mm", "or a shape"),
        ({"shape": L | {"leg_mm": 650}}, "shape/leg_mm", "it must be more than 650"),
        ({"shape": L | {"length_mm": "2 in"}}, "shape/length_mm", "more than 600"),
        ({"shape": L | {"length_mm": "-25'"}}, "shape/length_mm", "Not a length"),
        ({"shape": L | {"depth_mm": 0}}, "shape/depth_mm", "more than 0"),
        ({"shape": L | {"left_mm": 900}}, "shape/left_mm", "has none"),
        ({"shape": {"kind": "L", **FLAT}}, "shape/leg_mm", "needs it"),
        ({"shape": U | {"length_mm": 1300}}, "shape/length_mm", "more than 1300"),
        ({"shape": U | {"right_mm": 650}}, "shape/right_mm", "more than 650"),
        (FLAT | {"layout_x_mm": 5}, "layout_x_mm", "known together"),
    ],
)  # fmt: skip
def test_what_cannot_be_cut_is_refused_with_its_point(office, piece, pointer, said) -> None:
    found = refused(office, **piece)
    assert list(found) == [f"/pieces/0/{pointer}"]
    assert said in found[f"/pieces/0/{pointer}"]
    assert not Piece.objects.exists()


def test_new_sizes_of_a_job_are_refused_alike(office) -> None:
    job = rows.job()
    wrong = {"pieces": [{"name": "A", "thickness_mm": 30, "outline_mm": BOW}]}
    answer = office.put(at(f"jobs/{job.pk}/pieces/"), wrong)
    assert pointers(answer) == {("/pieces/0/outline_mm", "invalid")}
