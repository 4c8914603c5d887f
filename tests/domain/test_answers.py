"""What answers mean: measures against what is expected, questions asked where they matter."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain import answers, questions
from crewjobs.domain.facts import CutoutKind
from crewjobs.domain.questions import Answer, Form, Kind
from tests import make


def measure(code: str, measured_mm: float, about: str = "", form: Form = Form.WALK_THROUGH):
    return Answer(
        form=form, code=code, measured_mm=measured_mm, about=about, answered_at=make.START
    )


def told(*given: Answer, **work):
    return make.job(work=make.work(**work), record=make.record(answers=given))


def reasons(job, form: Form, about: str = "") -> list[str]:
    return [each.reason for each in answers.bad(job, form, about)]


# A is 2440 x 650 with a sink cutout of 760 x 420. 1/8 in = 3.175, 1/16 in = 1.5875 mm.
@pytest.mark.parametrize(
    ("code", "measured_mm", "is_bad"),
    [
        ("length", 2443.1, False),
        ("length", 2443.3, True),
        ("length", 2436.7, True),
        ("depth", 651.6, False),
        ("depth", 651.7, True),
        ("sink_width", 760, False),
        ("sink_width", 763.2, False),
        ("sink_width", 763.3, True),
        ("sink_width", 759.9, True),
        ("sink_depth", 420, False),
        ("sink_depth", 424, True),
    ],
)
def test_a_piece_is_held_against_its_order(code, measured_mm, is_bad) -> None:
    job = told(measure(code, measured_mm, "A", Form.INSPECTION))
    assert bool(reasons(job, Form.INSPECTION, "A")) is is_bad


def test_a_bad_measure_says_its_limit() -> None:
    job = told(measure("length", 2430, "A", Form.INSPECTION))
    assert reasons(job, Form.INSPECTION, "A") == ["2430.0 mm, the least is 2436.8 mm"]


@pytest.mark.parametrize(("run_mm", "most_mm"), [(0, 3.175), (3048, 3.175), (3049, 6.35)])
def test_level_is_counted_for_each_started_ten_feet(run_mm, most_mm) -> None:
    def off(measured_mm):
        job = told(measure("off_level", measured_mm), cabinet_run_mm=run_mm)
        return reasons(job, Form.WALK_THROUGH)

    assert off(most_mm) == []
    assert len(off(most_mm + 0.1)) == 1


def test_the_template_is_still_true_where_its_control_dimension_is() -> None:
    before = measure("control", 1830, form=Form.TEMPLATE_VISIT)
    assert reasons(told(before, measure("control_again", 1833)), Form.WALK_THROUGH) == []
    (reason,) = reasons(told(before, measure("control_again", 1834)), Form.WALK_THROUGH)
    assert reason == "1834.0 mm, the most is 1833.0 mm"


def codes(job, form: Form, about: str = "") -> set[str]:
    return {each.code for each in answers.asked(job, form, about)}


def test_questions_are_asked_where_they_matter() -> None:
    job = make.job()
    assert {"sink_width", "seam_edges", "corner_radius"} <= codes(job, Form.INSPECTION, "A")
    assert not {"sink_width", "cooktop_width", "tap_holes"} & codes(job, Form.INSPECTION, "B")
    assert not {"gas_off", "control_again"} & codes(job, Form.WALK_THROUGH)
    assert {"appliances", "tops_removed"} <= codes(job, Form.WALK_THROUGH)
    assert "tops_removed" not in codes(make.job(work=make.work(tear_out_mm=1)), Form.WALK_THROUGH)
    cooktop = make.sink(kind=CutoutKind.COOKTOP, is_made_on_site=True)
    site_cut = make.job(work=make.work(pieces=(make.piece("A", cutouts=(cooktop,)),), seams=()))
    assert "gas_off" in codes(site_cut, Form.WALK_THROUGH)
    assert not {"cooktop_width", "cutouts"} & codes(site_cut, Form.INSPECTION, "A")
    assert "seam_edges" not in codes(site_cut, Form.INSPECTION, "A")


def test_a_question_that_was_left_out_is_not_asked_and_its_answer_not_judged() -> None:
    job = told(measure("length", 1, "A", Form.INSPECTION))
    fewer = replace(job, questions=questions.of_shop({"inspection": {"length": None}}))
    assert reasons(fewer, Form.INSPECTION, "A") == []
    assert "length" not in codes(fewer, Form.INSPECTION, "A")


def test_what_must_be_answered_is_missing_until_it_is() -> None:
    job = make.job()
    left = {each.code for each in answers.missing(job, Form.INSPECTION, "B")}
    assert {"length", "sound"} <= left
    assert "thickness" not in left
    again = told(measure("length", 1900, "B", Form.INSPECTION))
    assert "length" not in {each.code for each in answers.missing(again, Form.INSPECTION, "B")}


@given(st.floats(0, 5000), st.floats(0, 5000), st.floats(0, 5000))
def test_a_measure_is_bad_outside_its_limits_alone(least_mm, most_mm, measured_mm) -> None:
    own = {"words": "Reveal", "kind": Kind.MEASURE, "least_mm": least_mm, "most_mm": most_mm}
    asked = questions.of_shop({"walk-through": {"reveal": own}})
    job = replace(told(measure("reveal", measured_mm)), questions=asked)
    is_inside = least_mm - answers.EVEN_MM <= measured_mm <= most_mm + answers.EVEN_MM
    assert (reasons(job, Form.WALK_THROUGH) == []) is is_inside


def test_what_the_template_visit_found_is_asked_again_before_the_install() -> None:
    said = Answer(
        form=Form.TEMPLATE_VISIT, code="cabinets_fixed", said="yes", answered_at=make.START
    )
    job = make.job(record=make.record(answers=(said,)))
    open_codes = {form: {each.code for each in answers.missing(job, form)} for form in Form}
    assert "cabinets_fixed" not in open_codes[Form.TEMPLATE_VISIT]
    assert "cabinets_fixed" in open_codes[Form.READINESS] & open_codes[Form.WALK_THROUGH]
