from crewjobs.domain.facts import CutoutKind, DustRules, Work
from crewjobs.domain.rules import site_dust
from tests import make

WRONG = make.job(work=Work(pieces=(make.piece(needs_field_cut=True),)))


def findings(rules=None, **piece):
    work = Work(pieces=(make.piece(**piece),))
    return [f.message for f in site_dust.check(make.job(work=work, dust_rules=rules))]


def test_a_field_cut_asks_for_water_and_a_respirator_by_place_and_hours() -> None:
    (said,) = findings(DustRules.US, needs_field_cut=True)
    assert "water on all the time" in said
    assert "outdoors up to 4 h in the shift none, outdoors longer APF 10" in said
    assert "indoors up to 4 h in the shift APF 10" in said
    assert "UK" not in said


def test_the_kingdom_asks_for_its_own() -> None:
    (said,) = findings(DustRules.UK, needs_field_cut=True)
    assert "APF 20" in said


def test_both_sets_are_shown_until_somebody_chooses() -> None:
    (said,) = findings(needs_field_cut=True)
    assert "US: " in said
    assert "UK: " in said


def test_holes_and_openings_made_on_site_are_two_tasks() -> None:
    tap = make.sink(kind=CutoutKind.TAP_HOLE, width_mm=35, height_mm=35, is_made_on_site=True)
    assert len(findings(cutouts=(tap, make.sink(is_made_on_site=True)))) == 2
    assert findings(cutouts=(make.sink(),)) == []
