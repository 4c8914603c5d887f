"""The pages of the hours: who gets them, what they say, and what their forms change."""

import csv
import datetime as dt
import io
from itertools import pairwise

import pytest
from django.utils import timezone

from crewjobs import snapshots
from crewjobs.actions import hours, learning
from crewjobs.models import Learned, Shop, Visit
from crewjobs.web import accuracy, accuracy_plot, work_chart
from tests import rows
from tests.app.foretold import estimated, finished
from tests.app.web.pages import PEOPLE, Page, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db

ALL_CREWS = {"the dispatcher": 200, "the crew on the job": 403, "a crew that is not": 403,
             "a reader": 200}  # fmt: skip
SEEN = {"the dispatcher": 200, "the crew on the job": 200, "a crew that is not": 404,
        "a reader": 200}  # fmt: skip


@pytest.fixture(autouse=True)
def shop():
    return rows.shop()


@pytest.fixture
def office():
    return signed_in(rows.dispatcher())


@pytest.mark.parametrize("who", PEOPLE)
def test_the_hours_of_all_crews_are_for_who_sees_all(who):
    client = signed_in(PEOPLE[who]())
    for address in ("/hours/", "/hours/accuracy/"):
        page = read(client, address)
        assert page.status == ALL_CREWS[who]
        is_well_made(page)
    assert client.get("/hours/accuracy.csv").status_code == ALL_CREWS[who]
    assert ('href="/hours/"' in read(client, "/").html) == (ALL_CREWS[who] == 200)


@pytest.mark.parametrize("who", PEOPLE)
def test_the_hours_of_a_job_are_for_who_sees_it(who):
    visit = estimated()
    client = signed_in(PEOPLE[who]())
    page = read(client, f"/jobs/{visit.job_id}/hours/")
    assert page.status == SEEN[who]
    is_well_made(page)


@pytest.mark.parametrize("who", PEOPLE)
def test_only_the_office_changes_a_standard_time(who):
    form = {"name": "seam.bond_min", "value_min": "20"}
    answer = signed_in(PEOPLE[who]()).post("/hours/change/", form)
    assert answer.status_code == (302 if who == "the dispatcher" else 403)
    assert Shop.objects.get().standard_minutes == (
        {"seam.bond_min": 20.0} if who == "the dispatcher" else {}
    )


def test_a_standard_time_is_changed_and_has_its_prior_value_again(office):
    for minutes in ("20", "0.0833", ""):
        page = Page(
            office.post(
                "/hours/change/", {"name": "seam.bond_min", "value_min": minutes}, follow=True
            )
        )
        is_well_made(page)
        assert "The standard time is changed." in page.text
    assert Shop.objects.get().standard_minutes == {}
    text = page.text.partition("seam.bond_min")[2].partition("seam.bond_m_min")[0]
    assert text.count("Dana Office") == 4
    assert "3 changes" in text
    assert "0.0833 to 9" in text


@pytest.mark.parametrize("form", [{"name": "magic"}, {"name": "seam.bond_min", "value_min": "-1"},
                                  {"name": "seam.bond_min", "value_min": "nan"}, {}])  # fmt: skip
def test_a_standard_time_that_cannot_be_is_refused(office, form):
    page = Page(office.post("/hours/change/", form))
    assert page.status == 422
    is_well_made(page)
    assert Shop.objects.get().standard_minutes == {}


def doubtful() -> Visit:
    """A finished visit whose record looks wrong, among thirty that do not."""
    for number in range(30):
        finished(f"F{number}", 1 + 0.01 * (number % 5))
    odd = finished("ODD", 7.0)
    learning.refit(now=rows.NOW)
    return odd


def test_a_doubtful_record_is_left_out_and_let_in_again(office):
    odd = doubtful()
    page = read(office, "/hours/")
    is_well_made(page)
    wrong, _, standard = page.text.partition("Records that look wrong")[2].partition("Standard")
    assert "ODD install" in wrong
    assert "Leave it out" in wrong
    assert "not measured" in standard
    for word, said in (("excluded", "wrong, left out"), ("confirmed", "right")):
        page = Page(office.post(f"/hours/visits/{odd.pk}/judge/", {"learned": word}, follow=True))
        is_well_made(page)
        assert said in page.text.partition("Judged")[2]
    office.post(f"/hours/visits/{odd.pk}/judge/", {"learned": "counted"})
    odd.refresh_from_db()
    assert odd.learned == Learned.COUNTED
    assert "Judged" not in read(office, "/hours/").text


def test_a_record_that_cannot_be_judged_says_why(office):
    visit = estimated()
    page = Page(office.post(f"/hours/visits/{visit.pk}/judge/", {"learned": "excluded"}))
    assert (page.status, "only a finished visit" in page.text) == (409, True)
    is_well_made(page)
    assert office.post(f"/hours/visits/{visit.pk}/judge/", {}).status_code == 422
    assert office.post(f"/hours/visits/{rows.uuid(7)}/judge/", {}).status_code == 404
    crew = signed_in(rows.lead())
    assert crew.post(f"/hours/visits/{visit.pk}/judge/", {}).status_code == 403


def test_what_was_learned_is_said_in_words(office):
    for number in range(20):
        finished(f"F{number}", 1.6)
    learning.refit(now=rows.NOW)
    text = read(office, "/hours/").text
    assert "Model 1" in text
    assert "from 20 finished visits" in text
    assert "% longer" in text.partition("Parts of the work")[2].partition("Crews")[0]


def test_a_shop_that_has_finished_nothing_says_so(office):
    assert "Nothing yet" in read(office, "/hours/").text
    assert "No visit is finished yet." in read(office, "/hours/accuracy/").text


def test_every_way_to_do_a_visit_is_counted(office):
    visit = estimated(hands=2, hands_are_set=True)
    address = f"/jobs/{visit.job_id}/hours/?visit={visit.pk}&temperature_deg_c=5"
    page = read(office, address)
    is_well_made(page)
    for words in ("As planned", "3 people", "4 people", "At 5 °C", "Seams done in the shop"):
        assert words in page.text


@pytest.mark.parametrize("wrong", ["visit=x", "visit={pk}&temperature_deg_c=900"])
def test_a_way_that_cannot_be_is_refused_with_the_page(office, wrong):
    visit = estimated()
    page = read(office, f"/jobs/{visit.job_id}/hours/?{wrong.format(pk=visit.pk)}")
    assert page.status == 422
    is_well_made(page)
    assert "3 people" in page.text


def test_a_job_without_a_visit_has_no_hours(office):
    page = read(office, f"/jobs/{rows.job().pk}/hours/")
    assert "The job has no visit." in page.text
    is_well_made(page)


def test_foretold_and_actual_hours_are_drawn_with_their_limits(office):
    finished("F1", 1.1)
    finished("F2", 40)
    page = read(office, "/hours/accuracy/")
    is_well_made(page)
    for words in ("as foretold", "P80", "P90", "All visits 2", "Crew Ash 2", "2026-06"):
        assert words in page.text
    assert len(page.all("circle")) == 1


def plotted() -> accuracy_plot.Plot:
    pairs = [each.pair for each in snapshots.foretold(rows.shop())]
    plot = accuracy_plot.draw([accuracy_plot.Visit(url="", title="", pair=pair) for pair in pairs])
    assert plot is not None
    return plot


def test_a_forgotten_clock_does_not_set_the_scale_of_the_plot():
    finished("F1")
    before = plotted()
    finished("F2", 90)
    after = plotted()
    assert before.ticks == after.ticks
    assert [mark.is_off for mark in after.marks] == [False, True]
    assert {mark.y for mark in after.marks if mark.is_off} == {after.top}


def test_the_file_holds_every_finished_visit_and_no_formula(office):
    finished("=1+1")
    finished("F2", 40)
    answer = office.get("/hours/accuracy.csv")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="accuracy.csv"'
    lines = list(csv.DictReader(io.StringIO(answer.content.decode())))
    assert [line["job"] for line in lines] == ["'=1+1", "F2"]
    assert [line["kept P90"] for line in lines] == ["yes", "no"]
    assert [line["model"] for line in lines] == ["standard minutes"] * 2


@pytest.mark.parametrize("cell", ["=A1", "+1", "-1", "@SUM", "\tx", "\rx"])
def test_no_cell_begins_a_formula(cell):
    assert accuracy.safe(cell) == f"'{cell}"
    assert accuracy.safe(f"x{cell}") == f"x{cell}"
    assert accuracy.safe(-1.5) == -1.5


def test_a_visit_shows_who_does_what_when(office):
    page = read(office, f"/visits/{estimated().pk}/")
    is_well_made(page)
    plan = page.text.partition("Working plan")[2].partition("Hours on site")[0]
    for words in ("Person 1", "Adhesive", "set A", "seam A-B hardens", "adhesive alone", "batch"):
        assert words in plan


def test_the_chart_gives_each_person_one_task_at_a_time():
    visit = estimated()
    plan = hours.working_plan(visit, visit.job, rows.shop())
    chart = work_chart.draw(plan.people, plan.tasks)
    assert chart is not None
    for lane in chart.lanes:
        spans = sorted(
            (bar.x, bar.x + bar.width) for bar in chart.bars if lane.y < bar.y < lane.y + 36
        )
        assert spans
        assert all(a[1] <= b[0] + 2 for a, b in pairwise(spans))
    assert {bar.is_wait for bar in chart.bars} == {True, False}
    assert work_chart.draw(2, ()) is None


@pytest.mark.parametrize("who", PEOPLE)
def test_who_runs_late_is_told_to_dispatch(shop, who):
    shop.time_zone = f"Etc/GMT{timezone.now().hour - 12:+d}"  # there it is about noon
    shop.save()
    now = timezone.now()
    hour = dt.timedelta(hours=1)
    visit = rows.visit(rows.job("1001"), started_at=now, live_finish_at=now)
    rows.placement(visit, starts_at=now - 2 * hour, ends_at=now - hour)
    starts_at = now + dt.timedelta(minutes=1)
    rows.placement(
        rows.visit(rows.job("1002")), starts_at=starts_at, drive_min=30,
        ends_at=starts_at + 3 * hour,
    )  # fmt: skip
    page = read(signed_in(PEOPLE[who]()), "/")
    is_well_made(page)
    assert ("Runs late" in page.text) == (who == "the dispatcher")
    if who == "the dispatcher":
        late = page.text.partition("Runs late")[2].partition("Today's visits")[0]
        assert "1001 install late" in late
        assert "1002 install" in late


def test_the_pages_ask_the_database_as_often_for_twenty_as_for_one(
    office, django_assert_max_num_queries
):
    def asked(address: str) -> int:
        with django_assert_max_num_queries(30) as caught:
            assert office.get(address).status_code == 200
        return len(caught.captured_queries)

    addresses = ("/hours/", "/hours/accuracy/", "/hours/accuracy.csv")
    counts = []
    for first, last in ((0, 1), (1, 21)):
        for number in range(first, last):
            visit = finished(f"F{number}")
            learning.judge(
                visit_id=visit.pk, learned=Learned.CONFIRMED, by=rows.dispatcher(), now=rows.NOW
            )
        learning.refit(now=rows.NOW)
        counts.append([asked(address) for address in addresses])
    assert counts[0] == counts[1]
