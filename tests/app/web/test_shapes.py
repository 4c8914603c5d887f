"""A piece by its plain shape on a page: drawn, redrawn, or refused at the field that is wrong."""

import pytest

from crewjobs.models import AuditEntry, Cutout, Job, Role, Units
from tests import rows
from tests.app.web.pages import Page, is_well_made, signed_in

pytestmark = pytest.mark.django_db
L = {"name": "C", "kind": "top", "shape": "L", "corner": "back left", "thickness_mm": "30 mm",
     "length_mm": "118", "depth_mm": "25 1/2", "leg_mm": "6' 8\""}  # fmt: skip


@pytest.fixture(autouse=True)
def shop():
    return rows.shop()


@pytest.fixture
def office():
    return signed_in(rows.dispatcher())


@pytest.fixture
def job():
    return rows.job()


def sent(job: Job, **fields: str) -> dict[str, str]:
    return L | {"version": str(job.version)} | fields


def test_a_new_piece_is_added_last_of_the_same_stone(office, job):
    page = Page(office.get(f"/jobs/{job.pk}/pieces/new/"))
    is_well_made(page)
    answer = office.post(f"/jobs/{job.pk}/pieces/new/", sent(job))
    assert answer.status_code == 302, Page(answer).text
    piece = job.pieces.last()
    assert (piece.name, piece.position, piece.material) == ("C", 2, job.pieces.first().material)
    assert piece.outline_mm[0] == [0, 2032]
    assert [2997.2, 2032] in piece.outline_mm
    assert AuditEntry.objects.get(verb="stone.change").detail["pieces"] == ["C"]
    job.refresh_from_db()
    assert job.version == 2


def test_a_piece_is_redrawn_and_keeps_what_hangs_on_it(office, job, shop):
    shop.units = Units.METRIC
    shop.save()
    piece = job.pieces.get(name="A")
    where = f"/jobs/{job.pk}/pieces/{piece.pk}/shape/"
    page = Page(office.get(where))
    is_well_made(page)
    assert any(each.get("id") == "before-title" for each in page.all("title"))
    fields = sent(job, name="A", shape="rectangle", length_mm="2500", depth_mm="700", leg_mm="",
                  radii="0, 50 mm, 2 in")  # fmt: skip
    assert office.post(where, fields).status_code == 302
    piece.refresh_from_db()
    assert max(x for x, _ in piece.outline_mm) == 2500
    assert [2500, 0] not in piece.outline_mm
    assert [0, 0] in piece.outline_mm
    assert piece.cutouts.count() == 1


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"leg_mm": ""}, "an L needs it"),
        ({"leg_mm": "20"}, "it must be more than 2' 1 1/2\""),
        ({"left_mm": "20"}, "an L has none"),
        ({"length_mm": "wide"}, "is not a length"),
        ({"depth_mm": "0"}, "it must be more than 0"),
        ({"thickness_mm": ""}, "it must be more than 0"),
        ({"radii": "400"}, "does not fit its edge"),
        ({"radii": "1,1,1,1,1,1,1"}, "it has 6 corners, not 7"),
        ({"radii": "-1"}, "is not a length"),
        ({"name": "A"}, "has a piece of this name"),
        ({"name": ""}, "required"),
        ({"shape": "star"}, "valid choice"),
    ],
)
def test_each_wrong_field_is_marked_and_nothing_is_kept(office, job, change, said):
    answer = office.post(f"/jobs/{job.pk}/pieces/new/", sent(job, **change))
    assert answer.status_code == 422
    assert said in Page(answer).text
    assert job.pieces.count() == 2


def test_what_cannot_be_cut_is_refused_with_its_point(office, job):
    piece = job.pieces.get(name="A")
    where = f"/jobs/{job.pk}/pieces/{piece.pk}/shape/"
    small = sent(job, name="A", shape="rectangle", length_mm="40", depth_mm="20", leg_mm="")
    answer = office.post(where, small)
    assert answer.status_code == 409
    assert "reaches outside the outline at (1600, 115)" in Page(answer).text
    long = sent(job, name="A", shape="rectangle", length_mm="40 m", depth_mm="20", leg_mm="")
    assert "is the unit right?" in Page(office.post(where, long)).text
    piece.refresh_from_db()
    assert piece.outline_mm[2] == [2440, 650]
    assert Cutout.objects.filter(piece=piece).exists()


def test_who_read_an_older_job_is_told_so(office, job):
    answer = office.post(f"/jobs/{job.pk}/pieces/new/", sent(job, version="7"))
    assert answer.status_code == 409
    assert "has been changed" in Page(answer).text


def test_stone_that_is_set_does_not_change(office, job):
    Job.objects.update(stage="installed")
    answer = office.post(f"/jobs/{job.pk}/pieces/new/", sent(job))
    assert "order a remake" in Page(answer).text


@pytest.mark.parametrize("role", [Role.READER, Role.CREW_MEMBER])
def test_it_is_for_who_may_change_stone(job, role):
    visit = rows.visit(job)
    place = rows.placement(visit)
    person = rows.person(role=role, crew=place.crew)
    client = signed_in(person)
    assert client.get(f"/jobs/{job.pk}/pieces/new/").status_code == 403
    assert client.post(f"/jobs/{job.pk}/pieces/new/", sent(job)).status_code == 403
    assert "change its shape" not in Page(client.get(f"/jobs/{job.pk}/")).text


def test_a_job_links_to_both(office, job):
    page = Page(office.get(f"/jobs/{job.pk}/"))
    assert "Add a piece by its sizes" in page.text
    assert "change its shape" in page.text
