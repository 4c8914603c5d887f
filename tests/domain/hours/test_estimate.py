"""The hours of a whole visit: worked out by hand once, then held to what must always be true."""

from dataclasses import replace
from math import exp, log, sqrt
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.facts import (
    PieceKind,
    RouteElement,
    RouteKind,
    SeamMethod,
    Team,
    VisitKind,
    Work,
)
from crewjobs.domain.findings import Severity
from crewjobs.domain.hours import Estimate, conformal, estimate, standard_minutes
from crewjobs.domain.hours.ready import ready
from crewjobs.domain.hours.steps import Visit
from tests import make
from tests.domain.hours.assumed import assumed
from tests.domain.hours.random_work import random_team, random_work

ANOMALY_SHARE = 0.03
"""More work may shorten a list schedule, but hardly ever by more than this."""

WORKS = st.randoms(use_true_random=False).map(lambda rng: (random_work(rng), random_team(rng)))
LEARNED = assumed(
    level=0.1, drift=-0.02, **{"element carry": 0.3, "element seam": -0.2, "trend hands": 0.04}
)


def install(work: Work, hands: int = 2, **options) -> Estimate:
    return estimate(VisitKind.INSTALL, work, Team(hands=hands), **options)


def line(hours: Estimate, element: str) -> float:
    return sum(each.value_min for each in hours.lines if each.element == element)


def test_a_kitchen_by_hand():
    """Two people; top A wants three carriers, so that everything about it takes 1.35 as long."""
    carry_min = 3 + 19 / 36 + 19 / 66 + 2.2
    chain_min = (
        (14 + 0.2 * 19)  # walk through
        + (0.5 + 3.5) * 4.5  # drawers out, level
        + 1.5 * 2  # check the template
        + 1.35 * carry_min  # carry A
        + 1.35 * (6 + 2 * 2.44)  # set A
        + carry_min  # carry B
        + (6 + 2 * 1.9)  # set B
        + (9 + 7 * 0.65)  # bond
        + 20  # sink; the seam hardens and is scraped meanwhile
        + (18 + 1.5 * 4.34)  # silicone, clean, review
    )
    hours = install(make.work())
    assert hours.p50_min == pytest.approx(1.15 * chain_min + 20)  # the sink hardens
    assert line(hours, "cure") == 20


def test_the_spread_by_hand():
    """One top short of nothing waiting: elements of which each is one task, and seven trends."""
    work = make.work(pieces=(make.piece(length_mm=1000),), seams=(), route=(), cabinet_run_mm=0)
    hours = install(work)
    shares = [each.value_min / hours.p50_min for each in hours.lines if each.value_min]
    squares = sum(share**2 for share in shares)
    trends = ready(Visit(work=work), {}).trends.values()
    variance = 0.25**2 + 0.25**2 * squares + 0.10**2 + 0.18**2 + 0.25**2 * squares
    variance += 0.05**2 * sum(value**2 for value in trends)
    assert len(shares) == 5
    assert hours.sd_log == pytest.approx(sqrt(variance))
    low, high = (conformal.limit_factor(share, np.zeros(0), np.zeros(0)) for share in (0.8, 0.9))
    assert hours.p80_min == pytest.approx(hours.p50_min * exp(low * hours.sd_log))
    assert hours.p90_min == pytest.approx(hours.p50_min * exp(high * hours.sd_log))


def test_work_beside_the_chain_is_shown_with_what_it_takes():
    hours = install(make.work())
    (seam,) = (each for each in hours.lines if each.element == "seam")
    assert seam.value_min == pytest.approx(1.15 * (9 + 7 * 0.65))
    assert seam.note == "13 min in parallel"


def test_lines_come_in_the_order_of_the_work():
    assert [each.element for each in install(make.work()).lines] == [
        *("arrive", "drawers", "level", "carry", "way_in", "template_check"),
        *("place", "seam", "cure", "sink", "finish"),
    ]


def test_factors_on_the_whole_are_shared_out_by_their_logarithms():
    model = assumed(level=log(1.25), drift=log(0.96), **{"crew Red": log(0.93)})
    hours = estimate(VisitKind.INSTALL, make.work(), Team(hands=2, name="Red"), model=model)
    shop, late, crew = hours.lines[-3:]
    work_min = install(make.work()).p50_min - 20  # the sink hardens as it always does
    assert hours.p50_min == pytest.approx(0.93 * (1.25 * 0.96 * work_min + 20))
    assert shop.value_min + late.value_min == pytest.approx(0.2 * work_min)
    assert late.value_min / shop.value_min == pytest.approx(log(0.96) / log(1.25))
    assert crew.value_min == pytest.approx(hours.p50_min * (1 - 1 / 0.93))


def test_factors_that_cancel_out_still_add_up():
    hours = install(make.work(), model=assumed(level=log(0.5), drift=log(2.0)))
    assert sum(each.value_min for each in hours.lines) == pytest.approx(hours.p50_min, abs=1e-6)


def test_the_crew_of_another_shop_is_a_crew_of_which_nothing_is_known():
    model = assumed(**{"crew Red": log(0.5)})
    blue = estimate(VisitKind.INSTALL, make.work(), Team(hands=2, name="Blue"), model=model)
    assert blue.p50_min == install(make.work()).p50_min


def test_a_model_brings_its_own_standard_minutes():
    model = replace(assumed(), standard={"finish.visit_min": 0.0})
    assert install(make.work(), model=model) == install(make.work(), standard=model.standard)


def test_the_working_plan_ends_with_the_hours():
    hours = install(make.work(), model=LEARNED)
    assert max(task.end_min for task in hours.tasks) == pytest.approx(hours.p50_min)
    assert {task.name for task in hours.tasks if task.hands == 0} == {
        "seam A-B hardens",
        "sink in A hardens",
    }


@pytest.mark.parametrize(
    ("hands", "codes"), [(2, ["too_few_carriers"]), (3, [])], ids=["two people", "three people"]
)
def test_a_team_too_small_for_a_piece_is_told(hands, codes):
    findings = install(make.work(), hands).findings
    assert [finding.code for finding in findings] == codes
    assert all(
        finding.severity is Severity.WARN and "91 kg" in finding.message for finding in findings
    )


def test_a_piece_too_heavy_for_any_team_wants_an_aid():
    work = Work(pieces=(make.piece(length_mm=3200, depth_mm=1600),))
    (finding,) = install(work, 8).findings
    assert (finding.code, finding.about) == ("needs_lifting_aid", "A")


def test_one_person_alone_is_told_that_setting_takes_two():
    work = Work(pieces=(make.piece(length_mm=900),))
    assert [finding.code for finding in install(work, 1).findings] == ["too_few_carriers"]


@pytest.mark.parametrize(
    ("kind", "least_min", "most_min"),
    [(VisitKind.TEMPLATE, 25, 45), (VisitKind.INSTALL, 30, 50), (VisitKind.RETURN, 90, 150)],
)
def test_a_visit_of_which_nothing_is_known_still_takes_a_sensible_time(kind, least_min, most_min):
    assert least_min <= estimate(kind, Work(), Team()).p50_min <= most_min


def test_a_template_visit_does_not_carry_stone():
    hours = estimate(VisitKind.TEMPLATE, make.work(), Team(hands=1))
    assert {each.element for each in hours.lines} == {"measure"}
    assert 60 <= hours.p50_min <= 90
    assert hours.findings == ()


def test_a_return_visit_replaces_only_the_pieces_it_is_given():
    one = estimate(VisitKind.RETURN, Work(pieces=(make.piece("B", 1900),)), Team(hands=2))
    assert 75 <= one.p50_min < install(make.work()).p50_min
    assert line(one, "level") == 0


@pytest.mark.parametrize(
    ("standard", "word"),
    [({"carry.pace_min": 1.0}, "carry.pace_min"), ({"carry.piece_min": -1.0}, "the least is 0")],
)
def test_a_standard_time_that_makes_no_sense_is_refused(standard, word):
    with pytest.raises(ValueError, match=word):
        install(make.work(), standard=standard)


@given(WORKS, st.sampled_from([None, LEARNED]), st.sampled_from(VisitKind))
@settings(max_examples=100, deadline=None)
def test_lines_add_up_to_the_hours(visit, model, kind):
    hours = estimate(kind, *visit, model=model)
    assert abs(sum(each.value_min for each in hours.lines) - hours.p50_min) < 1e-6
    assert 0 < hours.p50_min <= hours.p80_min <= hours.p90_min


@given(WORKS)
@settings(max_examples=100, deadline=None)
def test_no_visit_is_shorter_than_its_work_shared_by_all_hands(visit):
    work, team = visit
    hours = estimate(VisitKind.INSTALL, work, team)
    hand_min = sum(task.hands * (task.end_min - task.start_min) for task in hours.tasks)
    assert hours.p50_min >= hand_min / team.hands - 1e-6


@given(WORKS, st.floats(0, 30))
@settings(max_examples=100, deadline=None)
def test_a_warmer_day_is_never_longer(visit, warmer_deg_c):
    work, team = visit
    warm = replace(work, temperature_deg_c=work.temperature_deg_c + warmer_deg_c)
    colder, warmer = (estimate(VisitKind.INSTALL, w, team).p50_min for w in (work, warm))
    assert warmer <= colder


@given(WORKS, st.sampled_from(["carry", "level", "place", "seam", "sink", "finish"]))
@settings(max_examples=100, deadline=None)
def test_a_slower_element_is_never_quicker(visit, element):
    usual = estimate(VisitKind.INSTALL, *visit)
    slower = estimate(VisitKind.INSTALL, *visit, model=assumed(**{f"element {element}": log(1.2)}))
    assert slower.p50_min >= usual.p50_min


@given(WORKS, st.floats(0.3, 3))
@settings(max_examples=100, deadline=None)
def test_scaling_every_standard_time_scales_the_hours(visit, scale_factor):
    scaled = {time.name: time.value_min * scale_factor for time in standard_minutes()}
    usual, other = (estimate(VisitKind.INSTALL, *visit, standard=s).p50_min for s in ({}, scaled))
    assert other == pytest.approx(usual * scale_factor)


def more_of(work: Work) -> tuple[Work, ...]:
    """The same visit with a little more to do."""
    strip = make.piece("X", 1000, 100, thickness_mm=20, kind=PieceKind.BACKSPLASH)
    names = [p.name for p in work.pieces if p.kind is not PieceKind.BACKSPLASH]
    ends = {"first": names[0], "second": names[-1], "method": SeamMethod.FLOW_GRADE}
    seam = make.seam(name="X", **ends) if len(names) > 2 else None
    return (
        replace(work, pieces=(*work.pieces, make.piece("X", 1200))),
        replace(work, pieces=(*work.pieces, strip)),
        replace(work, route=(*work.route, RouteElement(kind=RouteKind.STAIRS))),
        replace(work, seams=(*work.seams, seam)) if seam else work,
        replace(work, tear_out_mm=work.tear_out_mm + 2000),
    )


def test_more_work_hardly_ever_shortens_a_visit():
    """List scheduling may gain from more work; on 150 works it must stay a rare and small thing."""
    rng = Random(20)
    gains = []
    for _ in range(150):
        work, team = random_work(rng), random_team(rng)
        before_min = estimate(VisitKind.INSTALL, work, team).p50_min
        after = (estimate(VisitKind.INSTALL, more, team).p50_min for more in more_of(work))
        gains += [1 - after_min / before_min for after_min in after]
    assert sum(gain > ANOMALY_SHARE for gain in gains) <= 0.01 * len(gains)
    assert sum(gain > 0 for gain in gains) <= 0.02 * len(gains)


def test_one_more_person_hardly_ever_lengthens_a_visit():
    rng = Random(21)
    for _ in range(150):
        work, team = random_work(rng), random_team(rng)
        larger = Team(hands=team.hands + 1)
        few, many = (estimate(VisitKind.INSTALL, work, t).p50_min for t in (team, larger))
        assert many <= few * (1 + ANOMALY_SHARE)
