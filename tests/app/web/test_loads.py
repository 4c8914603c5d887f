"""The load of a crew's day as a page: problems first, then what goes on and comes off."""

from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from crewjobs.models import Plan, PlannedVisit, Truck, Units
from tests import rows
from tests.app.web.pages import PEOPLE, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def crew():
    rows.shop(units=Units.METRIC)
    job = rows.job("1001")
    job.seams.update(adhesive="polyester, bone white")
    rows.placement(rows.visit(job))
    later = rows.visit(rows.job("1002"))
    rows.placement(later, starts_at=rows.at(3, 20), ends_at=rows.at(3, 21))
    return rows.crew()


def address(crew, day="2026-06-03"):
    return f"/crews/{crew.pk}/days/{day}/load/"


def page_of(client, crew, day="2026-06-03", more=""):
    page = read(client, address(crew, day) + more)
    assert page.status == 200
    is_well_made(page)
    page.text = page.text.replace("\u00a0", " ")
    return page


def test_what_goes_on_and_what_comes_off_is_told_in_order(crew) -> None:
    page = page_of(signed_in(rows.dispatcher()), crew)
    for said in (
        "Crew Ash, Wednesday 3 June", "Goes on in this order", "left 1, for stop 2",
        "Stop 1, 09:00: install, job 1001, 12 Harbor Lane", "Stop 2, 15:00: install, job 1002",
        "is carried in", "polyester, bone white", "Tie-downs at least", "49 CFR 393",
        "To load: tools and materials", "500 mm (yours)", "From behind", "shop 2, guideline",
        "Off and back on nothing",
    ):  # fmt: skip
        assert said in page.text, said
    goes_on = page.text.index("Goes on in this order")
    assert page.text.index("From behind") < goes_on < page.text.index("Stop 1, 09:00")
    assert "breaks a rule" not in page.text


def test_problems_come_first(crew) -> None:
    Truck.objects.update(payload_kg=100, frame_side_kg=1000)
    page = page_of(signed_in(rows.dispatcher()), crew)
    assert page.text.index("This load breaks a rule") < page.text.index("On the truck 4 pieces")
    assert "the most is 100 kg" in page.text


def test_without_a_truck_or_stone_the_page_says_so(crew) -> None:
    client = signed_in(rows.dispatcher())
    assert "Nothing is published for this day." in page_of(client, crew, "2026-06-04").text
    crew.truck = None
    crew.save()
    assert "there is no truck for" in page_of(client, crew).text
    other = rows.crew("Crew Birch")
    rows.placement(rows.visit(rows.job("1003"), "template"), crew=other)
    assert "No stone is brought on this day." in page_of(client, other).text


def test_lengths_and_masses_are_in_the_shop_s_units(crew) -> None:
    shop = rows.shop()
    shop.units = Units.IMPERIAL
    shop.save()
    text = page_of(signed_in(rows.dispatcher()), crew).text
    assert "1' 7 11/16\" (yours)" in text
    assert " kg" not in text
    assert " mm" not in text


@pytest.mark.parametrize("who", PEOPLE)
def test_the_office_and_the_crew_see_it_and_no_other(crew, who) -> None:
    client = signed_in(PEOPLE[who]())
    assert client.get(address(crew)).status_code == (404 if who == "a crew that is not" else 200)


def test_what_is_no_day_or_no_plan_is_not_found(crew) -> None:
    client = signed_in(rows.dispatcher())
    assert client.get(address(crew, "June")).status_code == 404
    assert client.get(address(crew) + "?plan=x").status_code == 404
    assert client.get(address(crew) + f"?plan={rows.uuid(7)}").status_code == 404


def test_a_draft_shows_its_own_load_to_the_office_alone(crew) -> None:
    plan = Plan.objects.create(
        created_at=rows.NOW, changed_at=rows.NOW, version=4, first_on="2026-06-03",
        last_on="2026-06-05", made_by=rows.dispatcher(),
    )  # fmt: skip
    PlannedVisit.objects.create(
        created_at=rows.NOW, plan=plan, visit=rows.visit(rows.job("1003")), crew=crew,
        starts_at=rows.at(3, 22), ends_at=rows.at(3, 23),
    )  # fmt: skip
    page = page_of(signed_in(rows.dispatcher()), crew, more=f"?plan={plan.pk}")
    assert "As draft 4 has it; nobody has been told." in page.text
    assert "Stop 3, 17:00: install, job 1003" in page.text
    assert signed_in(rows.lead()).get(address(crew) + f"?plan={plan.pk}").status_code == 403


def test_the_week_and_the_visit_lead_to_it(crew) -> None:
    client = signed_in(rows.dispatcher())
    week = read(client, "/week/?from=2026-06-01")
    assert address(crew) in {link["href"] for link in week.all("a")}
    visit = crew.placements.first().visit
    page = read(client, f"/visits/{visit.pk}/")
    assert address(crew) in {link["href"] for link in page.all("a")}


def test_more_stops_ask_for_no_more_queries(crew) -> None:
    client = signed_in(rows.dispatcher())
    client.get(address(crew))
    with CaptureQueriesContext(connection) as two:
        client.get(address(crew))
    for number in range(3):
        visit = rows.visit(rows.job(f"20{number}"))
        rows.placement(visit, starts_at=rows.at(3, 21), ends_at=rows.at(3, 22))
    with CaptureQueriesContext(connection) as five:
        client.get(address(crew))
    assert len(five) == len(two)


def test_the_day_on_paper_has_its_load_before_the_visits(crew) -> None:
    answer = signed_in(rows.lead()).get(f"/crews/{crew.pk}/days/2026-06-03/sheet.pdf")
    pages = [page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages]
    text = " ".join(" ".join(pages).replace("\u00a0", " ").split())
    at = [text.index(said) for said in (
        "Load of Crew Ash, Wednesday 3 June", "Goes on in this order", "left 1, for stop 2",
        "Tie-downs at least", "Stop 1, 09:00: install, job 1001", "Install visit, job 1001",
    )]  # fmt: skip
    assert at == sorted(at)
