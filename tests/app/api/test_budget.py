"""A list costs the same number of queries for one row and for twenty."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crewjobs.api.urls import ENDPOINTS
from crewjobs.models import AuditEntry, OutboxMessage, Plan, PlannedVisit, UnplacedVisit, Visit
from tests import rows
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db

LISTS = [
    address
    for address, endpoint in ENDPOINTS.items()
    if "<" not in address and hasattr(endpoint, "get") and getattr(endpoint.get, "does").many  # noqa: B009  it is set by a decorator
]


def fill(count: int) -> None:
    for number in range(count):
        name = f"{count}-{number}"
        crew = rows.crew(f"Crew {name}")
        lead = rows.lead(crew)
        lead.tokens.create(created_at=rows.NOW, name=name, token_hash=name)
        visit = rows.visit(rows.job(name))
        visit.windows.create(
            created_at=rows.NOW, on="2026-06-03", starts_at=dt.time(8), ends_at=dt.time(9)
        )
        rows.placement(visit, crew=crew)
        visit.job.holds.create(created_at=rows.NOW, reason="other", placed_by=lead)
        OutboxMessage.objects.create(
            created_at=rows.NOW, kind="visit booked", channel="email", dedupe_key=name,
            visit=visit, job=visit.job, due_at=rows.NOW, next_at=rows.NOW,
        )  # fmt: skip
        AuditEntry.objects.create(
            at=rows.NOW, by=lead, verb="job.book", thing="job", thing_id=visit.job_id, job=visit.job
        )
        crew.days_off.create(created_at=rows.NOW, first_on="2026-06-03", last_on="2026-06-04")


def queries(client, path: str) -> int:
    with CaptureQueriesContext(
        connection,
    ) as caught:
        answer = client.get(path)
    assert answer.status_code == 200, answer.content
    return len(caught)


@pytest.mark.parametrize("address", LISTS)
def test_a_list_costs_the_same_for_one_row_and_for_twenty(address) -> None:
    rows.shop()
    office = api(rows.dispatcher())
    fill(1)
    one = queries(office, at(address))
    fill(20)
    assert queries(office, at(address)) == one <= 6


def test_a_whole_job_costs_the_same_however_much_belongs_to_it() -> None:
    rows.shop()
    office = api(rows.dispatcher())
    fill(1)
    visit = Visit.objects.get()
    one = queries(office, at(f"jobs/{visit.job_id}/"))
    for number in range(5):
        piece = rows.piece(visit.job, f"P{number}")
        piece.supports.create(created_at=rows.NOW, kind="rail")
        again = rows.visit(visit.job, "return")
        again.pieces.add(piece)
        rows.placement(again, crew=rows.crew(f"Crew {number}"))
        visit.job.open_items.create(
            created_at=rows.NOW, what=str(number), opened_by=rows.dispatcher()
        )
    assert queries(office, at(f"jobs/{visit.job_id}/")) == one <= 20


def test_a_plan_costs_the_same_for_one_visit_and_for_ten() -> None:
    office = api(rows.dispatcher())
    plan = Plan.objects.create(
        created_at=rows.NOW, changed_at=rows.NOW, version=1, first_on="2026-06-03",
        last_on="2026-06-09", made_by=rows.dispatcher(),
    )  # fmt: skip

    def plan_some(count: int) -> int:
        for number in range(count):
            visit = rows.visit(rows.job(f"{count}-{number}"))
            PlannedVisit.objects.create(
                created_at=rows.NOW, plan=plan, visit=visit, crew=rows.crew(f"Crew {number}"),
                starts_at=rows.at(3, 14), ends_at=rows.at(3, 16),
            )  # fmt: skip
            left = rows.visit(rows.job(f"left {count}-{number}"))
            UnplacedVisit.objects.create(created_at=rows.NOW, plan=plan, visit=left)
            rows.placement(left, crew=rows.crew(f"Crew {number}"))
        whole = queries(office, at(f"plans/{plan.pk}/"))
        return whole + queries(office, at(f"plans/{plan.pk}/compare/"))

    assert plan_some(1) == plan_some(10)
