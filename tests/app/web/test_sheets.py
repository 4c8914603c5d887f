"""A visit's sheet as a page and on paper: one structure, for those who may see the visit."""

import re
from html import unescape
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from crewjobs.models import Role, Truck, Units
from tests import rows
from tests.app.web.pages import PEOPLE, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db

TURN = {
    "created_at": rows.NOW, "position": 5, "kind": "turn", "name": "hall corner",
    "width_mm": 914, "depth_mm": 914, "height_mm": 2438, "turn_deg": 90,
}  # fmt: skip


@pytest.fixture
def visit():
    rows.shop(units=Units.METRIC)
    job = rows.job(note="Ring twice. <b>Dog</b>", balance_cents=120_000)
    job.site.access_note = "Gate code 4711"
    job.site.save()
    job.site.contacts.create(created_at=rows.NOW, name="Bo Reed", part="caretaker", phone="555 9")
    job.route.create(**TURN)
    job.seams.update(adhesive="polyester, bone white")
    job.pieces.filter(name="B").update(needs_field_cut=True)
    found = rows.visit(job)
    rows.placement(found)
    return found


def paper_of(client, visit, name: str = "") -> str:
    answer = client.get(name or f"/visits/{visit.pk}/sheet.pdf")
    assert answer.status_code == 200
    pages = PdfReader(BytesIO(answer.content)).pages
    words = " ".join(page.extract_text() for page in pages)
    return " ".join(words.replace("\u00a0", " ").split())


def page_of(client, visit):
    page = read(client, f"/visits/{visit.pk}/sheet/")
    assert page.status == 200
    is_well_made(page)
    return page


SAID = (
    "12 Harbor Lane", "Mara Linden", "Bo Reed, 555 9", "Gate code 4711", "Ring twice. <b>Dog</b>",
    "Wednesday 3 June, 09:00, Crew Ash", "USD 1,200.00", "none, from 1 Quarry Road",
    "2440 mm \u00d7 650 mm \u00d7 30 mm", "91 kg", "89 kg", "488 mm", "cut on site",
    "stiffener rail, 1060 mm", "polyester, bone white, knife grade", "39.5 ml", "carry A",
    "fits only tilted", "hall corner", "respirator, APF 20", "There is power for the tools",
    "no load that can tip", "no rule is broken that we know of", "licensed trades come first",
)  # fmt: skip


def test_everything_is_on_the_page_and_on_paper(visit) -> None:
    client = signed_in(rows.dispatcher())
    page, paper = page_of(client, visit).text.replace("\u00a0", " "), paper_of(client, visit)
    assert [said for said in SAID if said not in page] == []
    assert [said for said in SAID if said not in paper] == []
    assert "is safe: local codes" in paper


def test_every_figure_of_the_page_is_on_paper(visit) -> None:
    client = signed_in(rows.dispatcher())
    page, paper = page_of(client, visit), paper_of(client, visit)
    shown = page.html[page.html.index("<h1>") : page.html.index("<footer>")]
    said = unescape(re.sub(r"<svg.*?</svg>|<[^>]+>", " ", shown, flags=re.DOTALL))
    figures = set(re.findall(r"\d+(?:[.,:]\d+)*", said))
    assert len(figures) > 60
    assert figures <= set(re.findall(r"\d+(?:[.,:]\d+)*", paper))


def test_hands_are_three_numbers_beside_each_other(visit) -> None:
    paper = paper_of(signed_in(rows.dispatcher()), visit)
    assert "Shop Guideline Index" in paper
    assert "91 kg 3 aid 2.6" in paper


def test_inches_and_letter_paper_for_a_shop_that_counts_so(visit) -> None:
    shop = rows.shop()
    shop.units = Units.IMPERIAL
    shop.save()
    client = signed_in(rows.dispatcher())
    address = f"/visits/{visit.pk}/sheet.pdf"
    paper = paper_of(client, visit)
    assert "8' 0 1/16\" \u00d7 2' 1 9/16\"" in paper
    assert " mm" not in paper

    def width(query: str) -> int:
        found = PdfReader(BytesIO(client.get(address + query).content)).pages[0].mediabox
        return round(float(found.width))

    assert (width(""), width("?paper=A4"), width("?paper=a4"), width("?paper=odd")) == (
        612, 595, 595, 612,
    )  # fmt: skip


def test_the_stops_before_and_after_are_named(visit) -> None:
    crew = visit.placement.crew
    early = rows.visit(rows.job("1002"), "template")
    rows.placement(early, crew=crew, starts_at=rows.at(3, 13), ends_at=rows.at(3, 13.5))
    paper = paper_of(signed_in(rows.dispatcher()), visit)
    assert "08:00 template, job 1002, 12 Harbor Lane" in paper
    assert "none, back to 1 Quarry Road" in paper
    whole = paper_of(
        signed_in(rows.dispatcher()), visit, f"/crews/{crew.pk}/days/2026-06-03/sheet.pdf"
    )
    assert whole.startswith("Crew Ash, Wednesday 3 June 2 stops from 1 Quarry Road")
    assert "180 kg of stone, 60 mm thick" in whole
    assert "09:00 12:20 install, job 1001 12 Harbor Lane, Alder Bay, Mara Linden" in whole
    assert "job 1002 template: cabinets, walls and the way in" in whole
    assert whole.index("Template visit, job 1002") < whole.index("Install visit, job 1001")


def test_what_comes_off_the_truck_is_told_as_on_the_load_s_page(visit) -> None:
    """The visit's two pieces, the second stop of a day whose first has two of its own."""
    first = rows.visit(rows.job("1009"))
    rows.placement(first, starts_at=rows.at(3, 12), ends_at=rows.at(3, 13))
    client = signed_in(rows.dispatcher())
    text = page_of(client, visit).text
    comes = text.split("Comes off the truck at stop 2")[1].split("To load: tools")[0]
    day = read(client, f"/crews/{rows.crew().pk}/days/2026-06-03/load/").text
    assert " ".join(comes.split()) in " ".join(day.split())
    assert comes.index("1001 A") < comes.index("1001 B")
    assert "1009" not in comes
    assert "This load breaks a rule" not in text
    Truck.objects.update(payload_kg=100)
    assert "This load breaks a rule: see the load of the day" in page_of(client, visit).text
    assert "This load breaks a rule" not in page_of(client, rows.visit(visit.job)).text


def test_a_template_visit_and_one_without_a_time_have_a_sheet_too(visit) -> None:
    client = signed_in(rows.dispatcher())
    for kind in ("template", "return"):
        other = rows.visit(visit.job, kind)
        page_of(client, other)
        paper = paper_of(client, other)
        assert "No time is published for this visit." in paper
        assert ("template strip" in paper) == (kind == "template")
        assert ("To be measured and asked" in paper) == (kind == "template")
        assert "hall corner" in paper


@pytest.mark.parametrize("gone", ["pieces", "route", "seams"])
def test_a_job_of_which_little_is_known_has_a_sheet_too(visit, gone) -> None:
    getattr(visit.job, gone).all().delete()
    client = signed_in(rows.dispatcher())
    page_of(client, visit)
    paper = paper_of(client, visit)
    assert "Order of work" in paper
    assert ("Pieces, in the order" in paper) == (gone != "pieces")


def test_a_hold_comes_first_and_open_items_last(visit) -> None:
    visit.job.holds.create(
        created_at=rows.NOW, reason="payment due", note="Half is open.", placed_by=rows.dispatcher()
    )
    visit.job.open_items.create(
        created_at=rows.NOW, what="chip at the sink", opened_by=rows.dispatcher()
    )
    paper = paper_of(signed_in(rows.dispatcher()), visit)
    assert paper.index("on hold: payment due") < paper.index("Cautions") < paper.index("chip at")


@pytest.mark.parametrize("who", PEOPLE)
def test_who_may_read_it(visit, who) -> None:
    client = signed_in(PEOPLE[who]())
    day = f"/crews/{visit.placement.crew_id}/days/2026-06-03/sheet.pdf"
    seen = 404 if who == "a crew that is not" else 200
    for address in (f"/visits/{visit.pk}/sheet/", f"/visits/{visit.pk}/sheet.pdf", day):
        assert client.get(address).status_code == seen, address
    assert rows.lead().role == Role.CREW_LEAD


@pytest.mark.parametrize("day", ["2026-06-04", "2026-13-01", "today"])
def test_a_day_without_visits_has_no_sheet(visit, day) -> None:
    client = signed_in(rows.dispatcher())
    address = f"/crews/{visit.placement.crew_id}/days/{day}/sheet.pdf"
    assert client.get(address).status_code == 404


def test_it_is_shown_in_the_browser_under_a_plain_name(visit) -> None:
    answer = signed_in(rows.dispatcher()).get(f"/visits/{visit.pk}/sheet.pdf")
    assert answer["Content-Disposition"] == 'inline; filename="visit-1001.pdf"'
    assert answer["Content-Type"] == "application/pdf"


def test_it_costs_the_same_for_two_pieces_and_for_ten(visit) -> None:
    client = signed_in(rows.dispatcher())
    with CaptureQueriesContext(connection) as few:
        client.get(f"/visits/{visit.pk}/sheet.pdf")
    for number in range(8):
        rows.piece(visit.job, f"P{number}", 1200, position=number + 2)
    with CaptureQueriesContext(connection) as many:
        client.get(f"/visits/{visit.pk}/sheet.pdf")
    assert len(few) == len(many) <= 45
