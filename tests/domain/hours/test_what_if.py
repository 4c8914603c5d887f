import pytest

from crewjobs.domain.facts import PieceKind, Team, VisitKind
from crewjobs.domain.hours import Model
from crewjobs.domain.hours.what_if import seamed_in_shop, sinks_set_in_shop, variants
from crewjobs.domain.pieces import mass_kg
from tests import make


def titles_and_minutes(work, hands=2):
    found = variants(
        VisitKind.INSTALL, work, Team(hands=hands), model=Model(), temperatures_deg_c=(10, 30)
    )
    return {variant.title: variant.hours.p50_min for variant in found}


def test_every_other_way_is_shown_beside_the_plan():
    assert list(titles_and_minutes(make.work())) == [
        *("as planned", "3 people", "4 people", "at 10 °C", "at 30 °C"),
        *("seams done in the shop", "sinks set in the shop"),
    ]


def test_warmth_people_and_the_shop_save_time_on_site():
    found = titles_and_minutes(make.work())
    assert found["at 30 °C"] <= found["as planned"] <= found["at 10 °C"]
    assert found["3 people"] < found["as planned"]
    assert found["sinks set in the shop"] < found["as planned"]


def test_joined_pieces_weigh_what_both_did():
    work = make.work()
    (joined,) = seamed_in_shop(work).pieces
    assert joined.name == "A+B"
    assert mass_kg(joined) == pytest.approx(sum(map(mass_kg, work.pieces)))
    assert joined.length_mm == 2440 + 1900


def test_a_run_of_three_becomes_one():
    work = make.work(
        pieces=tuple(make.piece(name, 1000) for name in "ABC"),
        seams=(make.seam("A", "B"), make.seam("B", "C")),
    )
    joined = seamed_in_shop(work)
    assert [piece.name for piece in joined.pieces] == ["A+B+C"]
    assert joined.seams == ()


def test_a_strip_stays_a_strip_of_its_own():
    strip = make.piece("S", 2000, 100, kind=PieceKind.BACKSPLASH)
    work = make.work(pieces=(make.piece("A"), make.piece("B"), strip))
    assert [piece.name for piece in seamed_in_shop(work).pieces] == ["A+B", "S"]


def test_a_job_without_seams_and_sinks_has_nothing_for_the_shop():
    work = make.work(pieces=(make.piece("A"),), seams=())
    assert "sinks set in the shop" not in titles_and_minutes(work)
    assert sinks_set_in_shop(work) == work
