"""How much to spare plans leave, by the share of days that is to end on time."""

import datetime as dt

import pytest

from crewjobs.actions import plans, spare_time
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.domain import scheduling
from crewjobs.models import AuditEntry, Role, Shop
from tests import rows
from tests.app.api.asking import api, at
from tests.app.test_plans import ready  # noqa: F401  # a fixture

pytestmark = pytest.mark.django_db
NOW = rows.NOW
DAYS = {"first_on": dt.date(2026, 6, 2), "last_on": dt.date(2026, 6, 5)}


def published_days(p80_min: float = 150) -> None:
    """Two crews with two visits each on one day."""
    rows.shop()
    for n, crew in enumerate((rows.crew("Crew Ash"), rows.crew("Crew Birch"))):
        for hour in (9, 13):
            visit = rows.visit(
                rows.job(f"{n}{hour}"), p50_min=100, p80_min=p80_min, p90_min=p80_min + 20
            )
            rows.placement(
                visit, crew=crew, starts_at=rows.at(2, hour), ends_at=rows.at(2, hour + 2)
            )


def test_more_days_on_time_take_more_to_spare():
    published_days()
    shares = []
    for wanted in (0.6, 0.75, 0.85):
        found = spare_time.choose(on_time_share=wanted, by=rows.dispatcher(), now=NOW)
        assert found.simulated_share == pytest.approx(wanted, abs=0.03)
        assert Shop.objects.get().planning_share == found.share
        shares.append(found.share)
    assert shares == sorted(shares)
    assert AuditEntry.objects.filter(verb="shop.change").count() == 3


def test_what_the_p80_does_not_reach_is_said():
    published_days(p80_min=101)
    found = spare_time.choose(on_time_share=0.99, by=rows.dispatcher(), now=NOW)
    assert (found.share, found.wanted_share) == (1, 0.99)
    assert found.simulated_share == found.planned_at_p80_share < 0.99


def test_it_is_for_the_office_and_needs_days_to_go_by():
    rows.shop()
    with pytest.raises(ConflictError, match="nothing is published"):
        spare_time.choose(on_time_share=0.8, by=rows.dispatcher(), now=NOW)
    with pytest.raises(InvalidError):
        spare_time.choose(on_time_share=0.2, by=rows.dispatcher(), now=NOW)
    with pytest.raises(NotAllowedError):
        spare_time.choose(on_time_share=0.8, by=rows.person(Role.READER), now=NOW)


def test_it_is_chosen_through_the_api():
    published_days()
    answer = api(rows.dispatcher()).post(at("shop/spare-time/"), {"on_time_share": 0.8})
    assert answer.status_code == 200
    assert answer.json()["planning_share"] == Shop.objects.get().planning_share
    assert api(rows.lead()).post(at("shop/spare-time/"), {"on_time_share": 0.8}).status_code == 403


@pytest.mark.usefixtures("ready")
def test_a_draft_says_how_many_of_its_days_end_on_time():
    few = scheduling.after_iterations(5)
    plan = plans.draft(**DAYS, by=rows.dispatcher(), now=NOW, stop=few)
    shares = [plan.figures[f"in_{what}_share"] for what in ("shift", "limit", "window")]
    assert all(0 <= share <= 1 for share in shares)
    assert shares[0] <= shares[1]
