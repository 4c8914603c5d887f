"""The hours of a visit are one figure wherever they are told, and those of the crew that comes.

Through HTTP alone: a plan is published, and page, API, what-if and feed are read.
"""

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
from django.test import Client

from crewjobs.actions import hours, learning
from crewjobs.domain.facts import Stage
from crewjobs.models import Crew, Person, Placement, Role, Shop, Skill, Visit
from tests import rows
from tests.app import foretold, on_site
from tests.app.api.asking import api, at
from tests.app.web.pages import read, signed_in

pytestmark = pytest.mark.django_db

NOW = datetime.now(UTC)
FIRST_ON: date = NOW.astimezone(ZoneInfo(rows.ZONE)).date() + timedelta(3)
LAST_ON = FIRST_ON + timedelta(6)
PACES = {"Crew Ash": 1.5, "Crew Birch": 0.7}


@pytest.fixture(params=PACES)
def crew(request) -> Crew:
    """The one crew that can come, of two whose pace the shop has learned."""
    rows.shop()
    for name, pace in PACES.items():
        of = rows.crew(name)
        for number in range(15):
            done = foretold.finished(f"{name} {number}", pace)
            Placement.objects.filter(visit=done).update(crew=of)
    learning.refit(now=NOW)
    skill = Skill.objects.create(created_at=NOW, code="install", name="Installing")
    found = Crew.objects.get(name=request.param)
    for number in range(3):
        rows.person(Role.CREW_MEMBER, f"Mate {number}", crew=found).skills.add(skill)
    return found


@pytest.fixture
def visit(crew) -> Visit:
    job = rows.job("W-1", stage=Stage.READY)
    for piece in job.pieces.all():
        on_site.inspected(piece)
    made = rows.visit(job, hands=crew.members.count(), hands_are_set=True)
    hours.refresh(job, now=NOW)
    made.refresh_from_db()
    return made


def posted(path: str, body: dict[str, Any] | None = None) -> Any:
    answer = api(rows.dispatcher()).post(at(path), body or {}, format="json")
    assert answer.status_code in (200, 201), answer.data
    return answer.data


def published(**move) -> None:
    plan = posted("plans/", {"first_on": FIRST_ON, "last_on": LAST_ON})
    if move:
        posted(f"plans/{plan['id']}/moves/", move)
    posted(f"plans/{plan['id']}/publish/")


def percentiles(of: Any) -> tuple[float, ...]:
    return tuple(of[f"p{share}_min"] for share in (50, 80, 90))


def event_of(visit: Visit, by: Person) -> Any:
    url = api(by).post(at("feeds/"), {"purpose": "shop feed"}, format="json").data["url"]
    calendar: Any = icalendar.Calendar.from_ical(
        Client().get(re.sub(r"^https?://[^/]+", "", url)).content
    )
    return next(e for e in calendar.walk("VEVENT") if str(visit.pk) in e["uid"])


def clock(minutes: float) -> str:
    return "{}:{:02d}".format(*divmod(round(minutes), 60))


def test_page_api_what_if_and_feed_tell_the_hours_of_the_crew_that_comes(visit, crew) -> None:
    of_anybody = visit.p50_min
    published()
    office = rows.dispatcher()
    told = api(office).get(at(f"visits/{visit.pk}/")).data
    found = percentiles(told)
    assert told["placement"]["crew"] == crew.pk
    assert (found[0] > of_anybody) == (PACES[crew.name] > 1)
    assert abs(found[0] - of_anybody) > 10
    assert sum(line["minutes"] for line in told["hours_lines"]) == pytest.approx(found[0])

    as_planned = posted(f"jobs/{visit.job_id}/what-if/")[0]
    listed = api(office).get(at(f"jobs/{visit.job_id}/hours/")).data[0]
    assert percentiles(as_planned) == percentiles(listed) == found

    client = signed_in(office)
    for address in (
        f"/visits/{visit.pk}/",
        f"/jobs/{visit.job_id}/",
        f"/jobs/{visit.job_id}/hours/",
    ):
        page = read(client, address)
        assert all(clock(each) in page.text for each in found), address

    event = event_of(visit, office)
    for each in found[:2]:
        assert "{} h {:02d} min".format(*divmod(round(each), 60)) in event["description"]
    share = Shop.objects.get().planning_share
    planned = timedelta(minutes=round(found[0] + share * (found[1] - found[0])))
    break_ = timedelta(minutes=30)
    assert event["dtend"].dt - event["dtstart"].dt in (planned, planned + break_)
    assert event["dtend"].dt == datetime.fromisoformat(told["placement"]["ends_at"])


def test_the_same_plan_again_changes_nothing(visit) -> None:
    published()
    before = Placement.objects.get(visit=visit)
    plan = posted("plans/", {"first_on": FIRST_ON, "last_on": LAST_ON})
    assert api(rows.dispatcher()).get(at(f"plans/{plan['id']}/compare/")).data == []
    posted(f"plans/{plan['id']}/publish/")
    after = Placement.objects.get(visit=visit)
    assert (after.ends_at, after.sequence) == (before.ends_at, before.sequence)


def test_a_place_taken_back_leaves_the_hours_of_any_crew(visit) -> None:
    before = (visit.p50_min, visit.p80_min, visit.p90_min)
    published()
    published(visit=str(visit.pk), crew=None)
    told = api(rows.dispatcher()).get(at(f"visits/{visit.pk}/")).data
    assert told["placement"] is None
    assert percentiles(told) == before
    assert percentiles(posted(f"jobs/{visit.job_id}/what-if/")[0]) == before


def test_nobody_s_pace_is_known_before_anything_is_learned() -> None:
    placed = on_site.planned()
    hours.for_crews([placed.pk], now=NOW)
    placed.refresh_from_db()
    assert (placed.p50_min, placed.version) == (180, 1)
