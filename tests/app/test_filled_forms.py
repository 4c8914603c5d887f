"""Forms about visits: kept once, by the phone's own time, refused where an answer is none."""

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest

from crewjobs import models, snapshots
from crewjobs.actions import forms, shops
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.actions.forms import Entry, Given
from crewjobs.domain import rules
from crewjobs.domain.questions import Form
from crewjobs.models import FilledForm, Role
from tests import rows
from tests.app import on_site

pytestmark = pytest.mark.django_db
YES, NO = Given(said="yes"), Given(said="no", note="not yet")


def entry(form: Form = Form.WALK_THROUGH, **fields: Any) -> Entry:
    given = {"client_id": uuid4(), "filled_at": on_site.moment(10), "answers": {"floor": YES}}
    return Entry(**({"form": form} | given | fields))


def fill(visit: models.Visit, by: models.Person | None = None, **fields: Any) -> FilledForm:
    sent = fields.pop("entry", None) or entry(**fields)
    return forms.fill(visit_id=visit.pk, entry=sent, by=by or rows.lead(), now=on_site.moment(240))


def stops(visit: models.Visit) -> list[str]:
    found = rules.advise(snapshots.job(visit.job_id))
    return [
        each.message for each in found if each.code == "bad_answers" and each.severity == "stop"
    ]


def test_a_bad_answer_stops_the_visit_until_a_newer_one() -> None:
    visit = on_site.planned()
    fill(visit, answers={"cabinets_fixed": NO, "floor": YES})
    assert stops(visit) == [
        "walk-through: All cabinets stand in their places and are fixed: no (not yet)"
    ]
    fill(visit, form=Form.READINESS, answers={"cabinets_fixed": YES}, filled_at=on_site.moment(20))
    assert stops(visit) == []
    assert on_site.audited()[-2:] == ["form.fill", "form.fill"]


def test_the_same_form_again_changes_nothing_even_late() -> None:
    visit = on_site.planned()
    sent = entry(answers={"cabinets_fixed": NO})
    first = fill(visit, entry=sent)
    fill(visit, answers={"cabinets_fixed": YES}, filled_at=on_site.moment(30))
    assert fill(visit, entry=sent) == first
    assert FilledForm.objects.count() == 2
    assert stops(visit) == []
    with pytest.raises(ConflictError, match="other answers"):
        fill(visit, client_id=sent.client_id, answers={"cabinets_fixed": YES})
    with pytest.raises(ConflictError, match="other filled_at"):
        fill(visit, client_id=sent.client_id, answers=sent.answers, filled_at=on_site.moment(11))


def test_what_is_kept_says_no_more_than_was_said() -> None:
    visit = on_site.planned()
    told = {"off_level": Given(measured_mm=2.5), "floor": Given(said="no", note=" carpet ")}
    assert fill(visit, answers=told).answers == {
        "off_level": {"measured_mm": 2.5},
        "floor": {"said": "no", "note": "carpet"},
    }


@pytest.mark.parametrize(
    ("fields", "pointer"),
    [
        ({"answers": {}}, "/answers"),
        ({"answers": {"colour": YES}}, "/answers/colour"),
        ({"answers": {"floor": Given(said="perhaps")}}, "/answers/floor/said"),
        ({"answers": {"floor": Given()}}, "/answers/floor/said"),
        ({"answers": {"floor": Given(said="yes", measured_mm=3)}}, "/answers/floor/said"),
        ({"answers": {"floor": Given(said="no", note="x" * 401)}}, "/answers/floor/note"),
        ({"answers": {"cabinets_fixed": Given(said="no")}}, "/answers/cabinets_fixed/note"),
        ({"answers": {"off_level": Given(said="2 mm")}}, "/answers/off_level/measured_mm"),
        ({"answers": {"off_level": Given(measured_mm=-1)}}, "/answers/off_level/measured_mm"),
        (
            {"answers": {"off_level": Given(measured_mm=float("nan"))}},
            "/answers/off_level/measured_mm",
        ),
        ({"filled_at": on_site.moment(251)}, "/filled_at"),
        ({"form": Form.TEMPLATE_VISIT, "answers": {"agreed": YES}}, "/form"),
        ({"form": Form.INSPECTION, "answers": {"sound": YES}}, "/form"),
    ],
)
def test_what_answers_nothing_is_refused_and_not_kept(fields, pointer) -> None:
    with pytest.raises(InvalidError) as refused:
        fill(on_site.planned(), **fields)
    assert list(refused.value.problems) == [pointer]
    assert not FilledForm.objects.exists()


def test_choices_and_texts_are_answers_too() -> None:
    visit = rows.placement(rows.visit(on_site.planned().job, "template")).visit
    told = {
        "dishwasher": Given(said="not known"),
        "control_where": Given(said="left wall to window"),
        "control": Given(measured_mm=1830),
    }
    fill(visit, form=Form.TEMPLATE_VISIT, answers=told)
    found = [each.message for each in rules.advise(snapshots.job(visit.job_id))]
    assert "template visit: How the dishwasher is fastened: not known" in found
    with pytest.raises(InvalidError):
        fill(visit, form=Form.TEMPLATE_VISIT, answers={"dishwasher": Given(said="glued")})


def test_the_crew_of_the_visit_fills_in_and_others_do_not() -> None:
    visit = on_site.planned()
    fill(visit, rows.person(Role.CREW_MEMBER, crew=rows.crew()))
    with pytest.raises(models.Visit.DoesNotExist):
        fill(visit, rows.lead(rows.crew("Crew Birch")))
    with pytest.raises(NotAllowedError):
        fill(visit, rows.person(Role.READER))


def test_a_shop_asks_its_own_and_keeps_what_a_phone_asked_before() -> None:
    visit = on_site.planned()
    own = {"walk-through": {"floor": None, "dog": {"words": "The dog is away", "severity": "stop"}}}
    shops.change(changes={"questions": own}, by=rows.dispatcher(), now=rows.NOW)
    fill(visit, answers={"dog": Given(said="no"), "floor": Given(said="no")})
    assert stops(visit) == ["walk-through: The dog is away: no"]
    assert "floor" in FilledForm.objects.get().answers


def test_wrong_questions_of_a_shop_are_refused_where_they_are() -> None:
    rows.shop()
    with pytest.raises(InvalidError) as refused:
        shops.change(
            changes={"questions": {"walk-through": {"dog": {}}}}, by=rows.dispatcher(), now=rows.NOW
        )
    assert list(refused.value.problems) == ["/questions/walk-through/dog/words"]
    assert rows.shop().questions == {}


def test_a_remade_piece_is_asked_anew() -> None:
    visit = on_site.planned()
    piece = visit.job.pieces.get(name="A")
    FilledForm.objects.create(
        created_at=rows.NOW, job=visit.job, form=Form.INSPECTION, piece=piece, client_id=uuid4(),
        filled_at=rows.NOW, answers={"sound": {"said": "no", "note": "a crack"}},
    )  # fmt: skip
    assert len(stops(visit)) == 1
    piece.remakes.create(
        created_at=rows.NOW, reason="broken", ordered_by=rows.dispatcher(), ready_on="2026-06-02",
        made_at=rows.NOW + dt.timedelta(hours=1),
    )  # fmt: skip
    assert stops(visit) == []


def test_what_was_found_on_one_visit_says_nothing_of_the_next() -> None:
    visit = on_site.planned()
    fill(visit, answers={"cabinets_fixed": NO})
    visit.started_at, visit.finished_at = on_site.moment(5), on_site.moment(30)
    visit.save()
    assert len(stops(visit)) == 1
    back = rows.visit(visit.job, kind="return")
    rows.placement(back, starts_at=on_site.moment(190), ends_at=on_site.moment(230))
    assert stops(back) == []
    fill(back, answers={"path_clear": NO}, filled_at=on_site.moment(200))
    assert [words.split(":")[1] for words in stops(back)] == [
        " The way in is clear from the truck to the cabinets, and dry"
    ]
    job, shop = snapshots.whole_jobs().get(pk=visit.job_id), rows.shop()
    then, now = snapshots.visit_facts(visit, job, shop), snapshots.visit_facts(back, job, shop)
    assert [[answer.code for answer in each.record.answers] for each in (then, now)] == [
        ["cabinets_fixed"],
        ["path_clear"],
    ]


def test_a_control_dimension_serves_every_visit() -> None:
    visit = on_site.planned()
    template = rows.visit(visit.job, kind="template")
    rows.placement(template, starts_at=on_site.moment(-300), ends_at=on_site.moment(-240))
    control = {"control": Given(measured_mm=2400)}
    fill(template, form=Form.TEMPLATE_VISIT, answers=control)
    fill(visit, answers={"control_again": Given(measured_mm=2404)})
    assert len(stops(visit)) == 1
