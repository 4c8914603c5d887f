"""Drawings on the job page and as files: for whoever sees the job, for nobody else."""

from xml.etree import ElementTree

import pytest

from crewjobs.models import RouteElement, Units
from tests import rows
from tests.app.web.pages import PEOPLE, Page, is_well_made, signed_in

pytestmark = pytest.mark.django_db
FILES = ("layout.svg", "pieces/{piece}/drawing.svg", "pieces/{piece}/tightest.svg")


@pytest.fixture(autouse=True)
def shop():
    return rows.shop()


@pytest.fixture
def job():
    """A job with a crew on it and a corner that its pieces only pass tilted."""
    visit = rows.visit(rows.job())
    rows.placement(visit)
    RouteElement.objects.filter(job=visit.job).delete()
    RouteElement.objects.create(
        created_at=rows.NOW, job=visit.job, position=0, kind="turn", name="hall corner",
        width_mm=900, depth_mm=900, height_mm=2438, turn_deg=90,
    )  # fmt: skip
    return visit.job


def addresses(job) -> list[str]:
    piece = job.pieces.get(name="A")
    return [f"/jobs/{job.pk}/{name.format(piece=piece.pk)}" for name in FILES]


@pytest.mark.parametrize("who", PEOPLE)
def test_a_file_is_for_whoever_sees_the_job(job, who):
    client = signed_in(PEOPLE[who]())
    sees = 404 if who == "a crew that is not" else 200
    for address in addresses(job):
        answer = client.get(address)
        assert answer.status_code == sees
        if sees == 200:
            assert answer["Content-Type"] == "image/svg+xml; charset=utf-8"
            root = ElementTree.fromstring(answer.content)  # noqa: S314 - our own
            assert len(root.findall("{*}polygon")) > 0


def test_a_file_of_another_jobs_piece_is_not_found(job):
    other = rows.job(number="2")
    piece = other.pieces.get(name="A")
    client = signed_in(rows.dispatcher())
    for name in FILES[1:]:
        assert client.get(f"/jobs/{job.pk}/{name.format(piece=piece.pk)}").status_code == 404


def test_a_way_that_nobody_measured_has_no_tightest_place(job):
    job.route.all().delete()
    client = signed_in(rows.dispatcher())
    assert [client.get(address).status_code for address in addresses(job)] == [200, 200, 404]


def test_the_job_page_draws_pieces_layout_and_the_tightest_place(job):
    page = Page(signed_in(rows.dispatcher()).get(f"/jobs/{job.pk}/"))
    is_well_made(page)
    titled = [each["id"] for each in page.all("title") if "id" in each]
    assert {"piece-a-title", "piece-b-title", "layout-title", "tightest-a-title"} <= set(titled)
    assert len(titled) == len(set(titled))
    for drawing in page.all("svg"):
        if "drawing" in drawing.get("class", ""):
            assert drawing["aria-labelledby"].split()[0] in titled
            assert drawing["role"] == "img"
    assert "style" not in {name for _, attributes in page.elements for name in attributes}


def test_lengths_on_drawings_are_the_shops(shop, job):
    client = signed_in(rows.dispatcher())
    piece = addresses(job)[1]
    assert "8' 0 1/16\"" in client.get(piece).content.decode().replace("\u00a0", " ").replace(
        "&#x27;", "'"
    ).replace("&quot;", '"')
    shop.units = Units.METRIC
    shop.save()
    assert "2440\u00a0mm" in client.get(piece).content.decode()
