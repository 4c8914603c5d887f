from dataclasses import replace

from crewjobs.domain.facts import RouteElement, RouteKind, Work
from crewjobs.domain.findings import Severity
from crewjobs.domain.limits import Limits
from crewjobs.domain.rules import carry_in
from tests import make

CORNER = RouteElement(kind=RouteKind.TURN, name="hall corner", width_mm=914, depth_mm=914,
                      height_mm=2438, turn_deg=90)  # fmt: skip


def findings(length_mm: float = 1200, route=(CORNER,), **fields):
    work = Work(pieces=(make.piece(length_mm=length_mm, depth_mm=648),), route=route)
    return list(carry_in.check(make.job(work=work, **fields)))


def test_a_piece_too_long_is_stopped_with_the_place_and_a_seam() -> None:
    (found,) = findings(3000)
    assert (found.severity, found.about) == (Severity.STOP, "A")
    assert "does not fit at hall corner, 365 mm too much" in found.message
    assert "seam at 1500 mm" in found.message


def test_a_tilt_is_a_warning_and_room_is_silent() -> None:
    (found,) = findings(2500)
    assert found.severity is Severity.WARN
    assert "fits only tilted" in found.message
    assert findings(1200) == []


def test_a_tight_fit_is_measured_again() -> None:
    (found,) = findings(2290)
    assert "measure again" in found.message


def test_the_shops_own_clearances_count() -> None:
    assert findings(2100) == []
    assert findings(2100, limits=Limits(clear_side_mm=150))


def test_what_was_not_measured_is_said_once() -> None:
    (found,) = findings(route=(replace(CORNER, height_mm=None),))
    assert found.message.startswith("not measured: hall corner: height_mm")
    (found,) = findings(route=())
    assert "the whole way in" in found.message
