"""The kit on a visit's page, in the shop's units, each line with its reason and its rule."""

import pytest

from crewjobs.domain.kit import Group, Line, Unit
from crewjobs.models import Shop, Units
from crewjobs.web import kits
from tests import rows
from tests.app.web.pages import is_well_made, read, signed_in

METRIC, INCHES = Shop(units=Units.METRIC), Shop(units=Units.IMPERIAL)


def line(**fields) -> Line:
    return Line(**({"name": "thing", "group": Group.TOOLS, "why": "A"} | fields))


@pytest.mark.parametrize(
    ("fields", "metric", "inches"),
    [
        ({"value": 3.0}, "3", "3"),
        ({"value": None}, "as needed", "as needed"),
        ({"value": 2600.0, "unit": Unit.LENGTH}, "2.6 m", "8.5 ft"),
        ({"value": 10.75, "unit": Unit.AREA}, "10.75 m²", "115.7 sq ft"),
        ({"value": 39.488, "unit": Unit.VOLUME}, "39.5 ml", "1.34 fl oz (39.5 ml)"),
        ({"value": 1.46, "unit": Unit.VOLUME}, "1.46 ml", "1.46 ml"),
        ({"value": 10_350.0, "unit": Unit.VOLUME}, "10.3 l", "2.7 gal (10.3 l)"),
    ],
)
def test_an_amount_in_both_units(fields, metric, inches) -> None:
    found = line(**fields)
    assert kits.amount(found, METRIC).replace("\u00a0", " ") == metric
    assert kits.amount(found, INCHES).replace("\u00a0", " ") == inches


def test_a_size_and_a_load_stand_with_the_name() -> None:
    found = line(size_mm=1060, load_kg=57.1)
    said = kits.named(found, METRIC).replace("\u00a0", " ")
    assert said == "thing, 1060 mm, for at least 57 kg"


def test_each_caution_is_said_once() -> None:
    found = [line(caution="no flame"), line(caution="no flame"), line()]
    assert kits.cautions(found) == ("No flame.",)


@pytest.mark.django_db
def test_the_visit_s_page_lists_it_and_links_to_its_sheets() -> None:
    rows.shop(units=Units.METRIC)
    visit = rows.visit(rows.job())
    placed = rows.placement(visit)
    page = read(signed_in(rows.lead(placed.crew)), f"/visits/{visit.pk}/")
    is_well_made(page)
    text = page.text.replace("\u00a0", " ")
    assert "Tools and materials" in text
    assert "Shims 16 leveling the cabinets" in text
    assert "common practice, not measured" in text
    links = {each["href"] for each in page.all("a")}
    assert f"/visits/{visit.pk}/sheet/" in links
    assert f"/crews/{placed.crew_id}/days/2026-06-03/sheet.pdf" in links
