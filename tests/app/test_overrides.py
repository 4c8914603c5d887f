import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crewjobs.actions import overrides, plans
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError, RefusedError
from crewjobs.actions.overrides import Said
from crewjobs.domain.facts import Stage
from crewjobs.models import (
    AuditEntry,
    Override,
    Placement,
    Plan,
    PlannedVisit,
    Role,
    RouteElement,
    Skill,
)
from tests import rows
from tests.app.api.asking import api, at
from tests.app.web.pages import is_well_made, read, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    """An install visit of a kitchen whose longer top does not go round a corner."""
    rows.shop()
    job = rows.job(stage=Stage.READY)
    RouteElement.objects.create(
        created_at=rows.NOW, job=job, position=1, kind="turn", name="hall corner", width_mm=700,
        depth_mm=700, height_mm=2100, turn_deg=90,
    )  # fmt: skip
    return rows.visit(job)


def planned(visit):
    plan = Plan.objects.create(
        created_at=rows.NOW, changed_at=rows.NOW, version=1, first_on="2026-06-03",
        last_on="2026-06-05", made_by=rows.dispatcher(),
    )  # fmt: skip
    PlannedVisit.objects.create(
        created_at=rows.NOW, plan=plan, visit=visit, crew=rows.crew(), starts_at=rows.at(3, 14),
        ends_at=rows.at(3, 18),
    )  # fmt: skip
    return plan


def words_of(stopped) -> Said:
    return Said(stopped.finding.code, stopped.finding.about, stopped.finding.message)


def answer(visit, words, reason="the builder takes the door out", by=None):
    return overrides.answer(
        visit_id=visit.pk, said=words, reason=reason, by=by or rows.dispatcher(), now=rows.NOW
    )


def test_a_stopped_visit_is_refused_until_somebody_answers_for_each_finding(visit) -> None:
    found = overrides.stopped([visit])
    assert {each.finding.code for each in found} == {"carry_in"}
    with pytest.raises(RefusedError, match="job 1001, install visit: piece A") as refused:
        overrides.refuse_stopped([visit])
    assert len(refused.value.findings) == len(found)
    for each in found:
        answer(visit, words_of(each))
    overrides.refuse_stopped([visit])
    answers = [each.override for each in overrides.stopped([visit])]
    assert {each and each.reason for each in answers} == {"the builder takes the door out"}
    log = AuditEntry.objects.filter(verb="visit.override").first()
    assert log is not None
    assert log.detail["message"] == found[-1].finding.message


def test_an_answer_ends_when_the_finding_reads_otherwise(visit) -> None:
    for each in overrides.stopped([visit]):
        answer(visit, words_of(each))
    RouteElement.objects.filter(kind="turn").update(width_mm=650)
    with pytest.raises(RefusedError, match="hall corner"):
        overrides.refuse_stopped([visit])


def test_only_a_finding_that_stops_it_now_is_answered_for_and_with_a_reason(visit) -> None:
    words = words_of(overrides.stopped([visit])[0])
    with pytest.raises(ConflictError, match="look at it again"):
        answer(visit, words._replace(message="piece A: 1 mm too much"))
    with pytest.raises(InvalidError, match="/reason"):
        answer(visit, words, reason="  ")
    with pytest.raises(NotAllowedError):
        answer(visit, words, by=rows.lead())
    assert not Override.objects.exists()
    answer(visit, words)
    answer(visit, words, reason="another")
    assert Override.objects.get().reason == "another"


def test_a_template_visit_is_never_stopped_and_a_return_visit_by_its_own_pieces(visit) -> None:
    template = rows.visit(visit.job, "template")
    again = rows.visit(visit.job, "return")
    again.pieces.add(rows.piece(visit.job, "C", 500))
    assert overrides.stopped([template, again]) == []
    again.pieces.add(visit.job.pieces.get(name="A"))
    assert {each.finding.about for each in overrides.stopped([again])} == {"A"}


def test_stops_of_many_visits_cost_the_same_queries(visit, django_assert_num_queries) -> None:
    more = [visit, *(rows.visit(rows.job(f"2{n}", site=visit.job.site)) for n in range(4))]
    with CaptureQueriesContext(connection) as one:
        overrides.stopped(more[:1])
    with django_assert_num_queries(len(one)):
        overrides.stopped(more)


def test_a_plan_is_published_once_everything_is_answered_for(visit) -> None:
    skill = Skill.objects.create(created_at=rows.NOW, code="install", name="Installing")
    for number in range(3):
        rows.person(Role.CREW_MEMBER, f"Hand {number}", crew=rows.crew()).skills.add(skill)
    days = {"first_on": dt.date(2026, 6, 3), "last_on": dt.date(2026, 6, 5)}
    plan = plans.draft(**days, by=rows.dispatcher(), now=rows.NOW)
    with pytest.raises(RefusedError, match="hall corner"):
        plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=rows.NOW)
    assert not Placement.objects.exists()
    for each in overrides.stopped([visit]):
        answer(visit, words_of(each))
    plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=rows.NOW)
    assert Placement.objects.get().visit == visit


def test_publishing_asks_through_the_api(visit) -> None:
    plan, office = planned(visit), api(rows.dispatcher())
    found = office.get(at(f"plans/{plan.pk}/stops/")).json()
    assert {each["visit"] for each in found} == {str(visit.pk)}
    assert found[0]["override"] is None
    assert api(rows.lead()).get(at(f"plans/{plan.pk}/stops/")).status_code == 404
    for each in found:
        body = {name: each["finding"][name] for name in Said._fields} | {"reason": "crane outside"}
        made = office.post(at(f"visits/{visit.pk}/overrides/"), body)
        assert made.status_code == 201, made.content
    stale = office.post(at(f"visits/{visit.pk}/overrides/"), body | {"message": "other"})
    assert stale.status_code == 409
    assert len(office.get(at(f"visits/{visit.pk}/overrides/")).json()) == len(found)
    assert office.get(at(f"plans/{plan.pk}/stops/")).json()[0]["override"]["by"] == "Dana Office"


def test_publishing_asks_on_the_plan_s_page(visit) -> None:
    plan, office = planned(visit), signed_in(rows.dispatcher())
    page = read(office, reverse("plan", args=[plan.pk]))
    is_well_made(page)
    assert "What stops visits" in page.text
    for each in overrides.stopped([visit]):
        body = words_of(each)._asdict() | {"reason": "crane outside"}
        done = office.post(reverse("plan-override", args=[plan.pk, visit.pk]), body)
        assert done.status_code == 302
    assert "answers for it since" in read(office, reverse("plan", args=[plan.pk])).text
    assert not Placement.objects.exists()
