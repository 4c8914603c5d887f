import pytest

from crewjobs.domain.facts import RouteElement, RouteKind
from tests.domain.kit.one_thing import amounts, lines

HALL = RouteElement(kind=RouteKind.HALL, name="hall", length_mm=4000)
DOOR = RouteElement(kind=RouteKind.DOOR, width_mm=900)
PATH = RouteElement(kind=RouteKind.PATH, length_mm=15_000)


def test_runners_indoors_alone_and_before_the_cabinets():
    found = amounts(lines("protection", route=(PATH, DOOR, HALL), cabinet_run_mm=4500))
    assert found["floor runner"] == pytest.approx(4.0 * 1.0 + 4.5 * 1.5)
    assert found["cover for cabinets"] == 4500
    assert found["corner guard"] == 2


def test_what_nobody_measured_is_named():
    stairs = RouteElement(kind=RouteKind.STAIRS, steps=14)
    (runner, _) = lines("protection", route=(HALL, stairs))
    assert runner.why.endswith("without stairs: not measured")


def test_no_amount_where_nothing_is_known():
    (runner,) = lines("protection", route=(PATH,), cabinet_run_mm=0)
    assert runner.value is None
