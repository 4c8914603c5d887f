from crewjobs.domain.facts import RouteElement, RouteKind, Work
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import lifting_aid
from tests import make


def findings(*pieces, route=()):
    return list(lifting_aid.check(make.job(work=Work(pieces=pieces, route=route))))


def test_a_kitchen_top_is_said_in_three_numbers() -> None:
    """114 kg, three people: shop 3, guideline none of three, index 114.2 / 3 at 17.25 kg each."""
    (found,) = findings(make.piece(), make.piece("strip", 1000, 100))
    assert (found.severity, found.about) == (Severity.WARN, "A")
    for said in (
        "3 people by the shop's rule",
        "no team of up to three",
        "lifting index 2.2",
        "trolley",
        "None of the three is a permission",
    ):
        assert said in found.message


def test_stairs_load_the_lower_end() -> None:
    stairs = RouteElement(kind=RouteKind.STAIRS, pitch_deg=37)
    (found,) = findings(make.piece(), route=(stairs,))
    assert "lower end bears 60%" in found.message
    (found,) = findings(make.piece(), route=(RouteElement(kind=RouteKind.STAIRS),))
    assert "pitch of the stairs is not measured" in found.message


def test_a_light_piece_and_no_piece_are_silent() -> None:
    assert findings(make.piece(length_mm=1000, depth_mm=100)) == []
    assert findings() == []
