"""The list of jobs: search, filters, paging; and what one job shows."""

import datetime as dt

import pytest

from crewjobs.models import Hold, Piece, Units
from tests import rows
from tests.app.web.pages import Page, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    return signed_in(rows.dispatcher())


def jobs_of(page: Page) -> list[str]:
    links = [a["href"] for a in page.all("a")]
    return [link for link in links if link.startswith("/jobs/") and link != "/jobs/"]


def numbers(client, **asked) -> list[str]:
    return jobs_of(Page(client.get("/jobs/", asked)))


@pytest.mark.parametrize("words", ["harbor", "LINDEN", "77", "alder"])
def test_a_job_is_found_by_number_customer_street_or_town(office, words):
    job = rows.job("1077")
    other = rows.site(rows.customer("Otto Quill"), street="1 Mill Street", town="Fern Hill")
    rows.job("1200", site=other)
    assert numbers(office, q=words) == [f"/jobs/{job.pk}/"]


def test_the_list_is_narrowed_to_a_stage_to_holds_and_to_what_is_due(office):
    late = rows.job("1", due_on=dt.date(2020, 1, 1))
    held = rows.job("2", stage="ready")
    Hold.objects.create(created_at=rows.NOW, job=held, reason="remake", placed_by=rows.dispatcher())
    assert numbers(office, stage="ready") == [f"/jobs/{held.pk}/"]
    assert numbers(office, held="on") == [f"/jobs/{held.pk}/"]
    assert numbers(office, due="late") == [f"/jobs/{late.pk}/"]
    assert numbers(office, due="none") == [f"/jobs/{held.pk}/"]
    assert numbers(office, due="week") == []


def test_ended_jobs_are_shown_when_asked_for(office):
    job = rows.job("1", cancelled_at=rows.NOW, cancel_reason="sold")
    assert numbers(office) == []
    assert numbers(office, all="on") == [f"/jobs/{job.pk}/"]


def test_every_job_is_on_exactly_one_page_of_the_list(office):
    for number in range(61):
        rows.job(str(number))
    first = Page(office.get("/jobs/"))
    older = next(a["href"] for a in first.all("a") if a.get("rel") == "next")
    second = Page(office.get(f"/jobs/{older}"))
    seen = jobs_of(first) + jobs_of(second)
    assert len(seen) == len(set(seen)) == 61
    assert not any(a.get("rel") == "next" for a in second.all("a"))


@pytest.mark.parametrize("mark", ["x", "2026-06-01_1", "2026-06-01T00:00:00_", "_", "2026-99-99_a"])
def test_a_broken_mark_begins_the_list_anew(office, mark):
    rows.job()
    assert len(numbers(office, after=mark)) == 1


def test_a_job_shows_its_stone_in_the_shops_units(office):
    job = rows.job()
    text = Page(office.get(f"/jobs/{job.pk}/")).text
    assert "8' 0 1/16\"" in text
    assert "lb" in text
    shop = rows.shop()
    shop.units = Units.METRIC
    shop.save()
    text = Page(office.get(f"/jobs/{job.pk}/")).text
    assert "2440 mm" in text
    assert "91 kg" in text


def test_the_lines_of_the_hours_stand_with_their_sum(office):
    job = rows.job()
    lines = [{"name": "Carry in", "minutes": 100, "note": ""}, {"name": "Set", "minutes": 80,
              "note": "9 min in parallel"}]  # fmt: skip
    rows.visit(job, hours_lines=lines)
    text = Page(office.get(f"/jobs/{job.pk}/")).text
    assert "Carry in 1:40 Set 1:20 9 min in parallel" in text
    assert "(P50) 3:00 Four of five (P80) 3:40 Nine of ten (P90) 4:10" in text


def test_a_job_without_sizes_says_so(office):
    job = rows.job()
    Piece.objects.all().delete()
    assert "No sizes yet." in Page(office.get(f"/jobs/{job.pk}/")).text


def test_only_the_office_reads_the_log_of_a_job(office):
    job = rows.job()
    rows.placement(rows.visit(job))
    office.post(f"/jobs/{job.pk}/hold/", {"reason": "remake"})
    assert "reason: remake" in Page(office.get(f"/jobs/{job.pk}/")).text
    assert "reason: remake" not in Page(signed_in(rows.lead()).get(f"/jobs/{job.pk}/")).text
