"""Measures and the way in, typed as people write lengths."""

import pytest

from crewjobs.models import AuditEntry, Role
from tests import rows
from tests.app.web.pages import Page, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    return signed_in(rows.dispatcher())


@pytest.fixture
def job():
    rows.shop()
    return rows.job()


def fields(page: Page) -> dict[str, str]:
    """What a browser would send of the page's own form, untouched."""
    found = {}
    for each in page.all("input"):
        if each.get("type") != "hidden" or each.get("name") == "version":
            found[each.get("name", "")] = each.get("value", "")
    return found


def untouched(page: Page, job) -> dict[str, str]:
    """The selects too, as they stand."""
    sent = fields(page)
    for select in page.all("select"):
        sent.setdefault(select["name"], "")
    sent[f"site-{job.pk}-has_dishwasher"] = "no"
    return sent


def test_measures_are_typed_as_people_write_them(office, job) -> None:
    address = f"/jobs/{job.pk}/measures/"
    page = read(office, address)
    is_well_made(page)
    piece, seam = job.pieces.get(name="A"), job.seams.get()
    cutout = piece.cutouts.get()
    sent = untouched(page, job) | {
        f"site-{job.pk}-off_level_mm": "1/8",
        f"site-{job.pk}-has_dishwasher": "yes",
        f"pieces-{piece.pk}-overhang_mm": "98 1/2",
        f"pieces-{piece.pk}-span_mm": "8' 2\"",
        f"pieces-{piece.pk}-dishwasher_hole_mm": "12 mm",
        f"cutouts-{cutout.pk}-front_rail_mm": "2 1/2 in",
        f"cutouts-{cutout.pk}-is_supported": "no",
        f"seams-{seam.pk}-to_sink_mm": "0.5 m",
        f"seams-{seam.pk}-is_over_dishwasher": "yes",
        f"seams-{seam.pk}-adhesive": "grey epoxy",
    }
    kept = Page(office.post(address, sent, follow=True))
    assert "The measures are kept." in kept.text
    for row in (job, piece, cutout, seam):
        row.refresh_from_db()
    assert (job.off_level_mm, job.has_dishwasher, job.version) == (3.175, True, 2)
    assert (piece.overhang_mm, piece.span_mm, piece.dishwasher_hole_mm) == (2501.9, 2489.2, 12)
    assert (cutout.front_rail_mm, cutout.is_supported, cutout.back_rail_mm) == (63.5, False, None)
    assert (seam.to_sink_mm, seam.is_over_dishwasher, seam.adhesive) == (500, True, "grey epoxy")
    assert AuditEntry.objects.filter(verb="stone.measure").exists()


def test_what_was_not_touched_stays_to_the_last_figure(office, job) -> None:
    piece = job.pieces.get(name="A")
    job.pieces.filter(pk=piece.pk).update(overhang_mm=251.23456)
    address = f"/jobs/{job.pk}/measures/"
    office.post(address, untouched(read(office, address), job))
    piece.refresh_from_db()
    assert piece.overhang_mm == 251.23456
    cleared = untouched(read(office, address), job) | {f"pieces-{piece.pk}-overhang_mm": ""}
    office.post(address, cleared)
    piece.refresh_from_db()
    assert piece.overhang_mm is None


def test_a_wrong_length_is_refused_with_its_field_named(office, job) -> None:
    piece = job.pieces.get(name="A")
    address = f"/jobs/{job.pk}/measures/"
    sent = untouched(read(office, address), job) | {f"pieces-{piece.pk}-span_mm": "wide"}
    page = Page(office.post(address, sent))
    assert page.status == 422
    is_well_made(page)
    assert "Widest opening that it bridges: 'wide' is not a length" in page.text
    piece.refresh_from_db()
    assert piece.span_mm is None


def test_who_was_slower_is_told_and_changes_nothing(office, job) -> None:
    address = f"/jobs/{job.pk}/measures/"
    sent = untouched(read(office, address), job) | {f"site-{job.pk}-off_level_mm": "5 mm"}
    office.post(address, sent)
    page = Page(office.post(address, sent | {f"site-{job.pk}-off_level_mm": "9 mm"}))
    assert (page.status, "has been changed" in page.text) == (409, True)
    job.refresh_from_db()
    assert job.off_level_mm == 5


def names(job) -> list[str]:
    return [f"{each.kind} {each.name}".strip() for each in job.route.order_by("position")]


def way_in(office, job, do: str = "save", **typed) -> Page:
    """Send the page back as it stands, with some fields typed anew."""
    address = f"/jobs/{job.pk}/way-in/"
    page = read(office, address)
    sent = {k: v for k, v in fields(page).items() if k not in ("depth", "thickness")}
    kinds = [each.kind for each in job.route.order_by("position")]
    sent |= {f"e{place}-kind": kind for place, kind in enumerate(kinds)}
    return Page(office.post(address, {**sent, **typed, "do": do}, follow=True))


def test_elements_are_added_measured_moved_and_taken_away(office, job) -> None:
    way_in(office, job, "add", add_kind="door")
    way_in(office, job, "add", add_kind="stairs")
    typed = {"e1-name": "front door", "e1-width_mm": "36", "e1-height_mm": "6' 8\"",
             "e2-steps": "14", "e2-pitch_deg": "37.5"}  # fmt: skip
    is_well_made(way_in(office, job, "save", **typed))
    door, stairs = job.route.get(kind="door"), job.route.get(kind="stairs")
    assert (door.name, door.width_mm, door.height_mm) == ("front door", 914.4, 2032)
    assert (stairs.steps, stairs.pitch_deg) == (14, 37.5)
    assert names(job) == ["path", "door front door", "stairs"]
    way_in(office, job, "up-2")
    assert names(job) == ["path", "stairs", "door front door"]
    way_in(office, job, "down-0")
    assert names(job) == ["stairs", "path", "door front door"]
    way_in(office, job, "remove-1")
    assert names(job) == ["stairs", "door front door"]
    assert job.route.get(kind="door").width_mm == 914.4


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"e1-pitch_deg": "95"}, "pitch is 95, it must be less than 90"),
        ({"e1-width_mm": "wide"}, "Clear width: 'wide' is not a length"),
        ({"e1-width_mm": "0"}, "width is 0, it must be more than 0"),
    ],
)
def test_a_wrong_size_is_refused_with_its_field_named(office, job, typed, why) -> None:
    way_in(office, job, "add", add_kind="stairs")
    page = way_in(office, job, "save", **typed)
    is_well_made(page)
    assert page.status == 422
    assert why in page.text
    assert job.route.get(kind="stairs").pitch_deg is None


def test_a_way_in_that_somebody_else_changed_is_not_overwritten(office, job) -> None:
    page = way_in(office, job, "remove-0", version="7")
    assert (page.status, "has been changed" in page.text) == (409, True)
    is_well_made(page)
    assert names(job) == ["path"]


@pytest.mark.parametrize("place", ["measures", "way-in"])
def test_who_may_measure(job, place) -> None:
    address = f"/jobs/{job.pk}/{place}/"
    rows.placement(rows.visit(job))
    assert signed_in(rows.lead()).get(address).status_code == 403
    assert signed_in(rows.person(Role.TEMPLATER, crew=rows.crew())).get(address).status_code == 200
    assert signed_in(rows.lead(rows.crew("Crew Birch"))).get(address).status_code == 404
