"""Photos: decoded, upright, small, and without what a phone hides in them."""

from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from crewjobs import images, models
from crewjobs.actions import photos
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.models import PhotoKind
from tests import rows
from tests.app import on_site
from tests.app.on_site import moment

TURNED, MAKER, GPS = 0x0112, 0x010F, 0x8825


def picture(kind: str = "JPEG", size: tuple[int, int] = (2000, 1000), **fields) -> bytes:
    written = BytesIO()
    Image.new("RGB", size, "gray").save(written, kind, **fields)
    return written.getvalue()


def with_exif() -> bytes:
    exif = Image.Exif()
    exif[TURNED], exif[MAKER] = 6, "a phone"
    exif.get_ifd(GPS)[1] = "N"
    return picture(exif=exif)


def add(visit: models.Visit, content: bytes, by: models.Person | None = None, **fields):
    told: dict[str, Any] = {"client_id": rows.uuid(7), "kind": PhotoKind.SEAM, **fields}
    told.setdefault("taken_at", moment(5))
    return photos.add(
        visit_id=visit.pk, content=content, by=by or rows.lead(), now=moment(60), **told
    )


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_kind_of_picture_becomes_a_small_jpeg(kind) -> None:
    found = images.cleaned(picture(kind))
    assert (found.width_px, found.height_px) == (1600, 800)
    assert Image.open(BytesIO(found.jpeg)).format == "JPEG"


def test_a_turned_picture_stands_upright_and_says_nothing_of_place_and_device() -> None:
    found = images.cleaned(with_exif())
    assert (found.width_px, found.height_px) == (800, 1600)
    assert not Image.open(BytesIO(found.jpeg)).getexif()
    assert b"a phone" not in found.jpeg


def test_what_is_transparent_becomes_white() -> None:
    written = BytesIO()
    Image.new("RGBA", (9, 9), (0, 0, 0, 0)).save(written, "PNG")
    assert Image.open(BytesIO(images.cleaned(written.getvalue()).jpeg)).getpixel((4, 4)) == (
        255, 255, 255,
    )  # fmt: skip


@pytest.mark.parametrize(
    "content",
    [b"", b"<svg/>", picture()[:2000], picture("PNG")[:-200], picture("GIF")],
    ids=["nothing", "text", "cut jpeg", "cut png", "gif"],
)
def test_what_is_no_whole_picture_is_refused(content) -> None:
    with pytest.raises(ValueError, match="no whole JPEG, PNG or WebP"):
        images.cleaned(content)


@pytest.mark.parametrize("size", [(7100, 7100), (20_000, 10_000)])
def test_a_picture_made_to_fill_the_memory_is_refused(size) -> None:
    with pytest.raises(ValueError, match=r"50[ 0]*"):
        images.cleaned(picture("PNG", size))


@pytest.mark.django_db
def test_a_photo_is_kept_once() -> None:
    visit = on_site.planned()
    first = add(visit, with_exif())
    assert add(visit, with_exif()) == first
    assert models.Photo.objects.count() == 1
    assert (first.width_px, first.height_px, first.person) == (800, 1600, rows.lead())
    with first.file.open() as kept:
        assert Image.open(kept).size == (800, 1600)
    assert on_site.audited() == ["visit.photo"]


@pytest.mark.django_db
def test_another_photo_under_the_same_id_is_a_conflict() -> None:
    visit = on_site.planned()
    add(visit, picture())
    with pytest.raises(ConflictError):
        add(visit, picture(), kind=PhotoKind.AFTER)


@pytest.mark.django_db
def test_a_broken_or_future_photo_leaves_nothing() -> None:
    visit = on_site.planned()
    for content, fields, pointer in (
        (b"broken", {}, "/file"),
        (picture(), {"taken_at": moment(80)}, "/taken_at"),
    ):
        with pytest.raises(InvalidError) as refused:
            add(visit, content, **fields)
        assert list(refused.value.problems) == [pointer]
    assert not models.Photo.objects.exists()
    assert on_site.audited() == []


@pytest.mark.django_db
def test_another_crew_adds_no_photo() -> None:
    with pytest.raises(models.Visit.DoesNotExist):
        add(on_site.planned(), picture(), rows.lead(rows.crew("Crew Birch")))
