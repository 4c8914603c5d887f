import pytest
from django.urls import reverse

from crewjobs.domain.limits import KNOWN
from crewjobs.models import Shop, Units
from tests import rows
from tests.app.web.pages import Page, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    return signed_in(rows.dispatcher())


def change(office, code, value):
    return office.post(reverse("limits-change"), {"code": code, "value": value})


def test_all_limits_stand_there_with_source_and_mark(office) -> None:
    page = read(office, reverse("limits"))
    is_well_made(page)
    assert all(code in page.text for code in KNOWN)
    assert "trade figures for a front rail" in page.text.lower()


@pytest.mark.parametrize(
    ("code", "written", "value"),
    [
        ("rail_least_mm", "2 1/2", 63.5), ("rail_least_mm", "70 mm", 70),
        ("single_kg", "16 kg", 16),
        ("single_kg", "55 lb", 24.948), ("knife_waste_share", "0,4", 0.4), ("cold_deg_c", "-5", -5),
    ],
)  # fmt: skip
def test_a_limit_is_typed_as_people_write_it(office, code, written, value) -> None:
    assert change(office, code, written).status_code == 302
    assert Shop.objects.get().limits[code] == pytest.approx(value, abs=1e-3)
    assert change(office, code, "").status_code == 302
    assert Shop.objects.get().limits == {}


def test_a_metric_shop_types_millimetres(office) -> None:
    Shop.objects.update(units=Units.METRIC)
    change(office, "rail_least_mm", "70")
    assert Shop.objects.get().limits == {"rail_least_mm": 70}
    assert "70\N{NO-BREAK SPACE}mm" in read(office, reverse("limits")).html


@pytest.mark.parametrize(
    ("code", "written", "status", "said"),
    [
        ("rail_least_mm", "wide", 422, "is not a length"),
        ("single_kg", "heavy", 422, "is not a mass"),
        ("strength_mpa", "much", 422, "is not a number"),
        ("rail_least_mm", "-3", 422, "is not a length"),
        ("nothing_mm", "3", 422, "not one of the available choices"),
        ("strength_mpa", "0.5", 409, "it must be 1 to 200"),
    ],
)
def test_what_cannot_be_is_refused_in_words(office, code, written, status, said) -> None:
    page = Page(change(office, code, written))
    assert page.status == status
    assert said in page.text
    assert Shop.objects.get().limits == {}


def test_a_crew_reads_and_does_not_change() -> None:
    rows.shop()
    crew = signed_in(rows.lead())
    page = read(crew, reverse("limits"))
    assert page.status == 200
    assert reverse("limits-change") not in page.html
    assert change(crew, "rail_least_mm", "3").status_code == 403
