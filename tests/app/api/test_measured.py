"""Whatever can be measured goes through the API into rows and out of them as the same facts."""

import pytest
from django.db import IntegrityError, connection

from crewjobs import snapshots
from crewjobs.domain.facts import DustRules, RouteElement, RuleSet
from crewjobs.models import Job
from tests import rows
from tests.app.api.asking import api, at, order

pytestmark = pytest.mark.django_db

SIZES = [(name, 45.5) for name in RouteElement.sizes()]
PIECE = [("overhang_mm", 250.5), ("span_mm", 610.0), ("dishwasher_hole_mm", 12.0)]
CUTOUT = [
    ("is_set_in_shop", True), ("front_rail_mm", 64.0), ("back_rail_mm", 51.0),
    ("is_supported", False), ("cabinet_mm", 838.0),
]  # fmt: skip
SEAM = [
    ("is_over_dishwasher", False), ("to_sink_mm", 152.0), ("gap_mm", 1.6),
    ("edge_lippage_mm", 0.4), ("lippage_mm", 0.8),
]  # fmt: skip
WORK = [("has_dishwasher", True), ("off_level_mm", 3.2)]
MEASURED = [
    *(("route", name, value) for name, value in SIZES),
    *(("pieces", name, value) for name, value in PIECE),
    *(("cutouts", name, value) for name, value in CUTOUT),
    *(("seams", name, value) for name, value in SEAM),
    *(("work", name, value) for name, value in WORK),
]


@pytest.fixture
def office():
    rows.shop()
    return api(rows.dispatcher())


def body_of(where: str, **values) -> dict:
    """A work order with values at its first route element, piece, cutout, seam, or itself."""
    body = order()
    first = body["pieces"][0]
    spots = {"work": body, "route": body["route"][0], "pieces": first, "seams": body["seams"][0],
             "cutouts": first["cutouts"][0]}  # fmt: skip
    spots[where].update(values)
    return body


def found(work, where: str):
    spots = {"work": work, "route": work.route[0], "pieces": work.pieces[0],
             "seams": work.seams[0], "cutouts": work.pieces[0].cutouts[0]}  # fmt: skip
    return spots[where]


def shown(job: dict, where: str):
    if where == "cutouts":
        return job["pieces"][0]["cutouts"][0]
    return job if where == "work" else job[where][0]


@pytest.mark.parametrize(("where", "name", "value"), MEASURED)
def test_what_was_measured_comes_back_as_it_went_in(office, where, name, value) -> None:
    answer = office.post(at("jobs/"), body_of(where, **{name: value}))
    assert answer.status_code == 201, answer.content
    assert shown(answer.json(), where)[name] == value
    assert getattr(found(snapshots.job(Job.objects.get().pk).work, where), name) == value


@pytest.mark.parametrize("where", ["route", "pieces", "cutouts", "seams", "work"])
def test_what_is_put_again_replaces_all_that_was_known(office, where) -> None:
    values = {name: value for spot, name, value in MEASURED if spot == where}
    job_id = office.post(at("jobs/"), order()).json()["id"]
    before = found(snapshots.job(job_id).work, where)
    for body, after in ((body_of(where, **values), values), (order(), {})):
        stone = {name: body[name] for name in body.keys() & _STONE}
        assert office.put(at(f"jobs/{job_id}/pieces/"), stone).status_code == 200
        answer = office.put(at(f"jobs/{job_id}/route/"), body["route"])
        assert answer.status_code == 200, answer.content
        known = found(snapshots.job(job_id).work, where)
        assert {name: getattr(known, name) for name in values} == {
            name: after.get(name, getattr(before, name)) for name in values
        }


_STONE = {"pieces", "seams", "cabinet_run_mm", "off_level_mm", "has_dishwasher"}


@pytest.mark.parametrize(
    ("where", "name", "value"),
    [
        ("route", "hall_mm", 0), ("route", "pitch_deg", 90), ("route", "gap_mm", -1),
        ("pieces", "overhang_mm", -1), ("cutouts", "cabinet_mm", -1), ("seams", "gap_mm", -1),
        ("work", "off_level_mm", -1),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_its_pointer(office, where, name, value) -> None:
    answer = office.post(at("jobs/"), body_of(where, **{name: value}))
    assert answer.status_code == 400
    assert [each["pointer"].endswith(f"/{name}") for each in answer.json()["errors"]] == [True]


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [("routeelement", "hall_mm", 0), ("routeelement", "pitch_deg", 90), ("piece", "span_mm", -1),
     ("cutout", "cabinet_mm", -1), ("seam", "gap_mm", -1), ("job", "off_level_mm", -1),
     ("shop", "rule_set", "mine"), ("shop", "dust_rules", "none")],
)  # fmt: skip
def test_the_database_itself_refuses_what_cannot_be(office, table, column, value) -> None:
    office.post(at("jobs/"), order())
    with pytest.raises(IntegrityError), connection.cursor() as cursor:
        cursor.execute(f"UPDATE crewjobs_{table} SET {column} = %s", [value])  # noqa: S608  names of our own


def test_the_office_notes_how_level_the_cabinets_are(office) -> None:
    job_id = office.post(at("jobs/"), order()).json()["id"]
    changed = office.patch(at(f"jobs/{job_id}/"), {"off_level_mm": "1/8 in"}).json()
    assert changed["off_level_mm"] == 3.175
    assert (
        office.patch(at(f"jobs/{job_id}/"), {"off_level_mm": None}).json()["off_level_mm"] is None
    )


def test_the_shop_says_whose_rules_count(office) -> None:
    job = rows.job()
    assert snapshots.job(job.pk).rule_set is RuleSet.STRICTER
    assert snapshots.job(job.pk).dust_rules is None
    changes = {"rule_set": "stone manual", "dust_rules": "UK"}
    answer = office.patch(at("shop/"), changes)
    assert answer.json() == answer.json() | changes
    assert snapshots.job(job.pk).rule_set is RuleSet.STONE
    assert snapshots.job(job.pk).dust_rules is DustRules.UK
    assert office.patch(at("shop/"), {"dust_rules": ""}).status_code == 200
    assert snapshots.job(job.pk).dust_rules is None
