import pytest
from django.urls import reverse

from tests import rows
from tests.app.api.asking import api, at
from tests.app.web.pages import Page, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db
SAW = "handheld saw, water to the blade"
GRINDER = "grinder with shroud and vacuum"


def spell(task=SAW, minutes=120, outdoors=True, level=None):
    return {"task": task, "minutes_min": minutes, "is_outdoors": outdoors, "level_ug_m3": level}


def asked(*tasks, **more):
    rows.shop()
    answer = api(rows.lead()).post(at("dust/"), {"tasks": list(tasks), **more}, format="json")
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_the_published_average_is_counted() -> None:
    """2 h at 150, 2 h at 75, 4 h at 50 are 81.25: 29 CFR 1910.1000(d)(1)(ii)."""
    us, uk = asked(spell(level=150), spell(level=75), spell(minutes=240, level=50))
    assert (us["average_ug_m3"], us["exposure"]) == (81.25, "above the limit")
    assert (uk["average_ug_m3"], uk["exposure"]) == (81.25, "at or above the action level")


def test_the_hours_of_all_tasks_together_count() -> None:
    """2.5 h of wet saw outdoors and 2 h of shrouded grinder indoors: APF 10 for both."""
    (long,) = asked(spell(minutes=150), spell(GRINDER, 120, False), rules="US")
    assert long["is_long"]
    assert [each["respirator"] for each in long["protections"]] == ["APF 10", "APF 10"]
    (short,) = asked(spell(minutes=120), spell(GRINDER, 120, False), rules="US")
    assert [each["respirator"] for each in short["protections"]] == ["none", "none"]
    assert short["average_ug_m3"] is None


def test_what_cannot_be_is_pointed_at() -> None:
    rows.shop()
    wrong = {"tasks": [{**spell(), "minutes_min": -1, "task": "dry saw"}]}
    answer = api(rows.lead()).post(at("dust/"), wrong, format="json")
    assert {each["pointer"] for each in answer.json()["errors"]} == {
        "/tasks/0/minutes_min", "/tasks/0/task",
    }  # fmt: skip


def test_the_page_counts_and_says_the_source() -> None:
    rows.shop()
    crew = signed_in(rows.lead())
    is_well_made(read(crew, reverse("dust")))
    day = {"0-task": SAW, "0-minutes": 120, "0-place": "indoors", "0-level": 180,
           "1-task": GRINDER, "1-minutes": 360, "1-place": "outdoors", "1-level": 10}  # fmt: skip
    page = Page(crew.get(reverse("dust"), day))
    is_well_made(page)
    assert "52.50 µg/m³" in page.text
    assert "above the limit" in page.text
    assert "29 CFR 1926.1153" in page.text
    wrong = Page(crew.get(reverse("dust"), {"0-task": SAW, "0-minutes": -1}))
    assert wrong.status == 422


def test_a_crew_s_day_adds_up_all_its_visits() -> None:
    rows.shop()
    crew = rows.crew()
    for number in range(2):
        job = rows.job(f"30{number}")
        job.pieces.filter(name="B").update(needs_field_cut=True)
        job.pieces.get(name="A").cutouts.update(is_made_on_site=True)
        rows.placement(rows.visit(job), crew=crew)
        rows.placement(rows.visit(job, "template"), crew=rows.crew("Crew Birch"))
    where = at(f"crews/{crew.pk}/dust/")
    us, _ = api(rows.lead(crew)).get(where, {"on": "2026-06-03"}).json()
    assert us["together_min"] == 2 * (18 + 40)
    told = [(each["task"], each["is_outdoors"]) for each in us["protections"]]
    assert sorted(told) == [(SAW, False), (SAW, False), (SAW, True), (SAW, True)]
    assert api(rows.lead(crew)).get(where, {"on": "2026-06-04"}).json()[0]["protections"] == []
    assert (
        api(rows.lead(rows.crew("Crew Cedar"))).get(where, {"on": "2026-06-03"}).status_code == 404
    )
    assert api(rows.dispatcher()).get(where).status_code == 400
