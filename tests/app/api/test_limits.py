import pytest

from crewjobs import snapshots
from crewjobs.domain.limits import KNOWN
from crewjobs.models import AuditEntry, Shop
from tests import rows
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    return api(rows.dispatcher())


def test_every_limit_is_told_with_its_source_and_mark(office) -> None:
    found = office.get(at("limits/")).json()
    assert [each["code"] for each in found] == list(KNOWN)
    rail = next(each for each in found if each["code"] == "rail_least_mm")
    assert (rail["value"], rail["usual"], rail["mark"]) == (60, 60, "uncertain")
    assert "2 1/2 to 4 in" in rail["basis"]


def test_a_shop_sets_its_own_and_takes_the_usual_again(office) -> None:
    own = {"rail_least_mm": "3 in", "strength_mpa": 8.27}
    changed = office.patch(at("shop/"), {"limits": own}, format="json")
    assert changed.json()["limits"] == {"rail_least_mm": 76.2, "strength_mpa": 8.27}
    assert snapshots.job(rows.job().pk).limits.rail_least_mm == 76.2
    changed = office.patch(at("shop/"), {"limits": {"rail_least_mm": None}}, format="json")
    assert changed.json()["limits"] == {"strength_mpa": 8.27}
    assert AuditEntry.objects.filter(verb="shop.change").count() == 2


@pytest.mark.parametrize(
    ("own", "pointer"),
    [
        ({"rail_least_mm": -1}, "/limits/rail_least_mm"),
        ({"rail_least_mm": "wide"}, "/limits/rail_least_mm"),
        ({"strength_mpa": "8 in"}, "/limits/strength_mpa"),
        ({"height_mm": 3}, "/limits/height_mm"),
        ({"pitch_most_deg": 90}, "/limits/pitch_most_deg"),
        ([1], "/limits"),
    ],
)
def test_what_cannot_be_is_pointed_at(office, own, pointer) -> None:
    answer = office.patch(at("shop/"), {"limits": own}, format="json")
    assert answer.status_code == 400
    assert [each["pointer"] for each in answer.json()["errors"]] == [pointer]
    assert Shop.objects.get().limits == {}


def test_only_the_office_changes_them() -> None:
    rows.shop()
    lead = api(rows.lead())
    assert lead.get(at("limits/")).status_code == 200
    assert lead.patch(at("shop/"), {"limits": {}}, format="json").status_code == 403
