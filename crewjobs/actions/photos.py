"""Photos from the site: kept once however often they are sent, without what hides in them."""

from datetime import datetime
from hashlib import sha256
from typing import NotRequired, TypedDict, Unpack
from uuid import UUID

from django.core.files.base import ContentFile
from django.db import transaction

from crewjobs import images
from crewjobs.actions import log
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.actions.reports import check_time, locked_visit
from crewjobs.models import Person, Photo, PhotoKind, Visit


class Shot(TypedDict):
    """What a photo shows, and when it was taken."""

    client_id: UUID
    kind: PhotoKind
    taken_at: datetime
    note: NotRequired[str]


@transaction.atomic
def add(
    *, visit_id: UUID, content: bytes, by: Person, now: datetime, **shot: Unpack[Shot]
) -> Photo:
    """Keep a photo. The same id again gives the photo that is kept already.

    Raises
    ------
    Visit.DoesNotExist
        If there is none, or it never was this person's.
    InvalidError
        If the content is no whole picture, or was taken in the future.
    ConflictError
        If another photo was kept under the same id.
    """
    visit = locked_visit(visit_id, by=by)
    if kept := Photo.objects.filter(client_id=shot["client_id"]).first():
        return _same(kept, visit, shot)
    check_time("/taken_at", shot["taken_at"], now)
    picture = _picture(content)
    photo, is_new = Photo.objects.get_or_create(
        client_id=shot["client_id"],
        defaults={
            "created_at": now,
            "visit": visit,
            "person": by,
            "kind": shot["kind"],
            "taken_at": shot["taken_at"],
            "note": shot.get("note", "")[:400],
            "file": ContentFile(picture.jpeg, name=f"{shot['client_id']}.jpg"),
            "sha256": sha256(picture.jpeg).hexdigest(),
            "width_px": picture.width_px,
            "height_px": picture.height_px,
        },
    )
    if not is_new:
        return _same(photo, visit, shot)
    log.write("visit.photo", photo, by=by, now=now, job=visit.job, kind=photo.kind)
    return photo


def _picture(content: bytes) -> images.Picture:
    try:
        return images.cleaned(content)
    except ValueError as error:
        raise InvalidError({"/file": str(error)}) from error


def _same(kept: Photo, visit: Visit, shot: Shot) -> Photo:
    """The photo that is kept, if it is the one that was sent again."""
    told = (visit.pk, shot["kind"], shot["taken_at"])
    if (kept.visit_id, kept.kind, kept.taken_at) != told:
        raise ConflictError(f"photo {kept.client_id} is kept already, of something else")
    return kept
