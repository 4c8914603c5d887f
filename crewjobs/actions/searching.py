"""The long search of side doors into small rooms: asked for once a door, done later, kept."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from crewjobs import snapshots
from crewjobs.actions import queueing
from crewjobs.domain.access.search import SideRoom, longest_mm
from crewjobs.domain.clearances import Clearances
from crewjobs.domain.limits import Limits
from crewjobs.models import Channel, Job, OutboxMessage, SearchedLimit, Shop

SEARCH = "search"
"""The errand that searches one door for one thickness of stone."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """How long a strip one search brought in."""

    fingerprint: str
    place: int
    long_mm: float


def ask(jobs: Iterable[Job], shop: Shop, *, now: datetime) -> None:
    """Let the side doors of whole jobs be searched; one that was asked for before is not again."""
    clearances = Clearances.by(Limits.of(shop.limits))
    wanted = {
        room.fingerprint(wide_mm): {"place": place, "room": asdict(room), "wide_mm": wide_mm}
        for job in jobs
        for place, room, wide_mm in snapshots.to_search(snapshots.work(job), clearances)
    }
    if wanted:
        queueing.enqueue(
            OutboxMessage(
                created_at=now,
                kind=SEARCH,
                channel=Channel.ERRAND,
                dedupe_key=f"{SEARCH}:{fingerprint}",
                payload=payload,
                due_at=now,
                next_at=now,
            )
            for fingerprint, payload in wanted.items()
        )


def compute(payload: Mapping[str, Any]) -> Found:
    """Search one door; the answer is kept by :func:`note`."""
    room, wide_mm = SideRoom(**payload["room"]), payload["wide_mm"]
    fingerprint = room.fingerprint(wide_mm)
    row = SearchedLimit.objects.filter(fingerprint=fingerprint).first()
    long_mm = (row.level_mm or 0.0) if row else longest_mm(room, wide_mm)
    return Found(fingerprint=fingerprint, place=payload["place"], long_mm=long_mm)


def note(*, found: Found, now: datetime) -> str:
    """Keep what a search came to: every check of such a door counts with it from now on."""
    SearchedLimit.objects.get_or_create(
        fingerprint=found.fingerprint,
        defaults={
            "created_at": now,
            "element": found.place,
            "level_mm": found.long_mm or None,
        },
    )
    return f"a strip of {found.long_mm:.0f} mm goes in"
