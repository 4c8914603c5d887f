"""What is learned from finished visits must hold whatever the visits are."""

import datetime as dt
from dataclasses import replace
from math import exp, log
from random import Random
from statistics import median

import pytest

from crewjobs.domain.facts import Team, VisitKind, Work
from crewjobs.domain.hours import Estimate, Finished, Model, estimate, fit
from tests import make
from tests.domain.hours.random_work import random_work

DAY = dt.date(2026, 1, 5)
CREWS = ("Red", "Blue")


def records(count: int, *, pace: float = 1.0, seed: int = 5, crews=CREWS) -> list[Finished]:
    """Visits that take their standard hours times a pace, with some chance."""
    rng = Random(seed)
    found = []
    for number in range(count):
        work, crew = random_work(rng), rng.choice(crews)
        team = Team(hands=rng.choice((2, 3)), name=crew)
        usual_min = estimate(VisitKind.INSTALL, work, team).p50_min
        found.append(
            Finished(
                name=f"V{number:04}",
                visit_kind=VisitKind.INSTALL,
                work=work,
                team=team,
                actual_min=usual_min * pace * exp(rng.gauss(0, 0.2)),
                finished_on=DAY + dt.timedelta(days=number // 2),
            )
        )
    return found


def learned(finished: list[Finished], **options) -> Model:
    return fit(finished, standard={}, carrier_kg=45.0, **options)


def foretold(model: Model | None, work: Work | None = None, crew: str = "Red") -> Estimate:
    return estimate(VisitKind.INSTALL, work or make.work(), Team(hands=2, name=crew), model=model)


@pytest.fixture(scope="module")
def many() -> list[Finished]:
    return records(200)


@pytest.fixture(scope="module")
def model(many) -> Model:
    return learned(many)


def test_without_visits_it_is_as_before():
    assert foretold(learned([])) == foretold(None)


def test_one_visit_moves_little_and_makes_nothing_impossible():
    one = records(1, pace=3.0)
    before, after = foretold(None), foretold(learned(one))
    assert 0.7 * before.p50_min < after.p50_min < 2 * before.p50_min
    assert after.p50_min < after.p80_min < after.p90_min


def test_lines_add_up_to_the_hours_with_a_model_too(model):
    rng = Random(8)
    for _ in range(40):
        hours = foretold(model, random_work(rng))
        assert abs(sum(line.value_min for line in hours.lines) - hours.p50_min) < 1e-6
        assert 0 < hours.p50_min <= hours.p80_min <= hours.p90_min


def test_the_structure_correction_is_one_line(model):
    titles = [line.title for line in foretold(model).lines if not line.element]
    assert titles.count("structure correction") == 1
    assert "the shop's pace" in titles
    assert "the pace of the crew Red" in titles


def test_a_shop_that_takes_half_as_long_again_is_believed():
    slow = learned(records(60, pace=1.5))
    assert foretold(slow).p50_min == pytest.approx(1.5 * foretold(None).p50_min, rel=0.12)


def test_all_records_longer_by_a_share_lengthen_the_hours_by_it(many, model):
    """On the whole; a visit that waits long for adhesive, which no crew slows down, by less."""
    longer = learned([replace(each, actual_min=1.3 * each.actual_min) for each in many])
    rng = Random(9)
    works = [random_work(rng) for _ in range(20)]
    ratios = [foretold(longer, w).p50_min / foretold(model, w).p50_min for w in works]
    assert median(ratios) == pytest.approx(1.3, rel=0.03)
    assert sum(ratio == pytest.approx(1.3, rel=0.03) for ratio in ratios) >= 0.8 * len(ratios)
    assert all(ratio == pytest.approx(1.3, rel=0.05) for ratio in ratios)


def test_the_order_of_the_records_is_nothing(many, model):
    shuffled = Random(1).sample(many, len(many))
    assert learned(shuffled).to_json() == model.to_json()


def test_a_crew_with_one_visit_is_hardly_known(many, model):
    """It took 15 % longer than expected, as one visit in five does."""
    expected_min = foretold(model, many[7].work, "Green").p50_min
    first = replace(many[7], name="first of Green", team=Team(hands=2, name="Green"))
    first = replace(first, actual_min=1.15 * expected_min)
    after = learned([*many, first])
    known, unknown = (foretold(after, crew=crew) for crew in ("Green", "nobody"))
    assert known.p50_min == pytest.approx(unknown.p50_min, rel=0.03)


def test_a_quick_crew_is_told_from_a_slow_one(many):
    paces = {"Red": 0.85, "Blue": 1.15}
    paced = learned([replace(e, actual_min=e.actual_min * paces[e.team.name]) for e in many])
    red, blue = (foretold(paced, crew=crew).p50_min for crew in CREWS)
    assert blue / red == pytest.approx(1.15 / 0.85, rel=0.08)


def test_a_warmer_day_is_never_longer_for_a_model_too(model):
    rng = Random(10)
    for _ in range(40):
        work = replace(random_work(rng), temperature_deg_c=10)
        cold = foretold(model, work).p50_min
        assert foretold(model, replace(work, temperature_deg_c=25)).p50_min <= cold * (1 + 1e-9)


def test_forgotten_clocks_are_listed_and_hardly_counted(many, model):
    wrong = {f"V{number:04}" for number in range(0, 200, 20)}
    told = [replace(e, actual_min=e.actual_min + 700 * (e.name in wrong)) for e in many]
    found = learned(told)
    assert {suspect.name for suspect in found.suspects} >= wrong - {"V0000"}
    assert len(found.suspects) <= len(wrong) + 4
    assert foretold(found).p50_min == pytest.approx(foretold(model).p50_min, rel=0.03)


def test_a_confirmed_record_is_believed_and_an_excluded_one_is_not(many):
    odd = replace(many[50], actual_min=many[50].actual_min * 8)
    rest = [each for each in many if each.name != odd.name]
    listed, confirmed = (
        learned([*rest, replace(odd, is_confirmed=is_confirmed)]) for is_confirmed in (False, True)
    )
    assert [s.name for s in listed.suspects if s.name == odd.name] == [odd.name]
    assert all(suspect.name != odd.name for suspect in confirmed.suspects)
    assert learned([*rest, odd], excluded={odd.name}).to_json() == learned(rest).to_json()


def test_a_week_of_wrong_clocks_does_not_turn_the_model(many, model):
    week = (DAY + dt.timedelta(days=60), DAY + dt.timedelta(days=67))
    told = [
        replace(e, actual_min=e.actual_min + 600) if week[0] <= e.finished_on < week[1] else e
        for e in many
    ]
    assert foretold(learned(told)).p50_min == pytest.approx(foretold(model).p50_min, rel=0.05)


def test_a_shop_that_slows_down_is_followed(many):
    later = [
        replace(e, actual_min=e.actual_min * (1.3 if n >= 100 else 1)) for n, e in enumerate(many)
    ]
    ratio = foretold(learned(later)).p50_min / foretold(learned(many)).p50_min
    assert 1.12 < ratio < 1.35


def test_an_element_that_was_clocked_is_learned_sooner():
    plain = records(30)
    clocked = []
    for each in plain:
        hours = estimate(VisitKind.INSTALL, each.work, each.team)
        spans = [t.end_min - t.start_min for t in hours.tasks if t.element == "arrive"]
        clocked.append(replace(each, element_minutes={"arrive": 2 * sum(spans)}))
    arrive = [
        next(line.value_min for line in foretold(learned(r)).lines if line.element == "arrive")
        for r in (plain, clocked)
    ]
    assert arrive[1] > 1.4 * arrive[0]


def test_a_model_read_again_estimates_the_very_same(model):
    again = Model.from_json(model.to_json())
    assert foretold(again) == foretold(model)
    assert again.suspects == model.suspects
    assert again.names == model.names


def test_a_model_of_another_format_is_refused():
    with pytest.raises(ValueError, match="format"):
        Model.from_json('{"format": 0}')


def test_misses_raise_what_the_limits_aim_at(many, model):
    slow = [
        replace(e, name=f"new {e.name}", actual_min=1.35 * foretold(model, e.work).p50_min)
        for e in records(20, seed=6)
    ]
    after = learned([*many, *slow], before=model)
    assert after.aim_shares[0] > model.aim_shares[0]
    assert learned(many, before=model).aim_shares == model.aim_shares


def test_limits_keep_their_word_in_a_shop_as_it_is_assumed(model):
    to_come = records(300, seed=99)
    hours = [estimate(e.visit_kind, e.work, e.team, model=model) for e in to_come]
    pairs = list(zip(hours, to_come, strict=True))
    assert 0.74 <= sum(e.actual_min <= h.p80_min for h, e in pairs) / 300 <= 0.88
    assert 0.85 <= sum(e.actual_min <= h.p90_min for h, e in pairs) / 300 <= 0.96
    assert abs(median(log(e.actual_min / h.p50_min) for h, e in pairs)) < 0.04


@pytest.mark.parametrize("visit_kind", VisitKind)
def test_visits_of_every_kind_and_without_pieces_are_learned_from(visit_kind):
    one = Finished(
        name="V",
        visit_kind=visit_kind,
        work=Work(),
        team=Team(),
        actual_min=45,
        finished_on=DAY,
    )
    hours = estimate(visit_kind, Work(), Team(), model=learned([one]))
    assert abs(sum(line.value_min for line in hours.lines) - hours.p50_min) < 1e-6


def test_two_visits_of_one_name_are_refused():
    with pytest.raises(ValueError, match="same name"):
        learned(records(1) * 2)


@pytest.mark.parametrize("fields", [{"actual_min": 0.0}, {"element_minutes": {"sweeping": 3.0}}])
def test_a_record_that_makes_no_sense_is_refused(fields):
    with pytest.raises(ValueError, match=r"more than 0|no element"):
        replace(records(1)[0], **fields)
