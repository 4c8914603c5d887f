"""Forms through the API: asked, answered with lengths as people write them, read again."""

import pytest

from crewjobs.domain.questions import USUAL, Form
from crewjobs.models import FilledForm
from tests import rows
from tests.app import on_site
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db


def sent(**fields):
    return {
        "form": "walk-through", "client_id": str(rows.uuid(5)),
        "filled_at": on_site.moment(10).isoformat(), "answers": {"floor": {"said": "yes"}},
    } | fields  # fmt: skip


def pointers(answer) -> list[str]:
    return [each["pointer"] for each in answer.json()["errors"]]


@pytest.mark.parametrize("form", Form)
def test_the_questions_of_each_form_are_told(form: Form) -> None:
    rows.shop()
    told = api(rows.lead()).get(at(f"forms/{form.replace(' ', '-')}/")).json()
    assert [each["code"] for each in told] == [each.code for each in USUAL[form]]
    assert {"words", "kind", "severity", "basis", "is_required"} <= told[0].keys()


def test_a_form_that_nobody_knows_is_not_found() -> None:
    rows.shop()
    assert api(rows.lead()).get(at("forms/tax-return/")).status_code == 404


def test_a_walk_through_is_sent_once_and_read_by_the_office() -> None:
    visit, crew = on_site.planned(), api(rows.lead())
    body = sent(answers={"off_level": {"measured_mm": "1/8 in"}, "power": {"said": "no"}})
    for _ in range(2):
        answer = crew.post(at(f"visits/{visit.pk}/forms/"), body)
        assert answer.status_code == 201, answer.content
    office = api(rows.dispatcher())
    for address in (f"visits/{visit.pk}/forms/", f"jobs/{visit.job_id}/forms/"):
        (told,) = office.get(at(address)).json()
        assert told["answers"] == {"off_level": {"measured_mm": 3.175}, "power": {"said": "no"}}
    found = office.get(at(f"jobs/{visit.job_id}/findings/")).json()
    assert "walk-through: There is power for the tools: no" in {each["message"] for each in found}


@pytest.mark.parametrize(
    ("answers", "pointer"),
    [
        ({"off_level": {"measured_mm": "a bit"}}, "/answers/off_level/measured_mm"),
        ({"off_level": {"measured_mm": "12"}}, "/answers/off_level/measured_mm"),
        ({"floor": {"said": "maybe"}}, "/answers/floor/said"),
        ({"floor": {"says": "yes"}}, "/answers/floor/says"),
        ({"floor": "yes"}, "/answers/floor"),
        ({"a/b": {"said": "yes"}}, "/answers/a~1b"),
        ({}, "/answers"),
        ({"cabinets_fixed": {"said": "no"}}, "/answers/cabinets_fixed/note"),
    ],
)
def test_a_wrong_answer_is_pointed_at(answers, pointer) -> None:
    visit = on_site.planned()
    answer = api(rows.lead()).post(at(f"visits/{visit.pk}/forms/"), sent(answers=answers))
    assert answer.status_code == 400
    assert pointers(answer)[0].startswith(pointer)
    assert not FilledForm.objects.exists()


def test_another_crew_finds_no_visit() -> None:
    visit = on_site.planned()
    other = api(rows.lead(rows.crew("Crew Birch")))
    assert other.post(at(f"visits/{visit.pk}/forms/"), sent()).status_code == 404
    assert other.get(at(f"visits/{visit.pk}/forms/")).status_code == 404
    assert other.get(at(f"jobs/{visit.job_id}/forms/")).status_code == 404


def test_an_inspection_may_be_answered() -> None:
    rows.shop()
    piece = rows.job().pieces.get(name="B")
    address, office = at(f"pieces/{piece.pk}/inspections/"), api(rows.dispatcher())
    body = {
        "answers": {
            "length": {"measured_mm": "1900 mm"}, "depth": {"measured_mm": 650},
            **{c: {"said": "yes"} for c in ("material", "edges", "flat", "seam_edges")},
            "sound": {"said": "no", "note": "a chip in front"},
        }
    }  # fmt: skip
    failed = office.post(address, body).json()
    assert (failed["passed"], failed["answers"]["length"]) == (False, {"measured_mm": 1900})
    assert pointers(office.post(address, body | {"passed": True})) == ["/passed"]
    body["answers"]["sound"] = {"said": "yes"}
    assert office.post(address, body).json()["passed"] is True


def test_a_shop_changes_its_questions_and_is_told_what_is_wrong() -> None:
    rows.shop()
    office = api(rows.dispatcher())
    wrong = {"questions": {"walk-through": {"dog": {"words": ""}}}}
    assert pointers(office.patch(at("shop/"), wrong)) == ["/questions/walk-through/dog/words"]
    own = {"walk-through": {"dog": {"words": "The dog is away"}, "power": None}}
    assert office.patch(at("shop/"), {"questions": own}).json()["questions"] == own
    codes = [each["code"] for each in office.get(at("forms/walk-through/")).json()]
    assert codes[-1] == "dog"
    assert "power" not in codes
