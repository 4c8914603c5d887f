"""The shop learns from its finished visits: the hours are fitted anew, and estimates follow."""

import json
from dataclasses import asdict
from datetime import datetime, timedelta
from hashlib import sha256
from uuid import UUID

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import hours, log, queueing
from crewjobs.actions.errors import ConflictError
from crewjobs.domain.hours import Finished, Model, fit
from crewjobs.models import Channel, HoursModel, Job, Learned, OutboxMessage, Person, Shop, Visit

LEARN = "learn"
"""The errand that fits the hours anew."""

AFTER_WORK_MIN = 20 * 60
"""On the shop's clock: when the day's sign-offs are learned from."""


def queue(*, cause: str, now: datetime, due_at: datetime | None = None) -> None:
    """Let the hours be fitted anew because of something that happens now."""
    queueing.enqueue(
        [
            OutboxMessage(
                created_at=now,
                kind=LEARN,
                channel=Channel.ERRAND,
                dedupe_key=f"{LEARN}:{cause}",
                due_at=due_at or now,
                next_at=due_at or now,
            )
        ]
    )


def queue_tonight(*, now: datetime) -> None:
    """Let the hours be fitted anew after the day's work, once for all that was signed off in it."""
    zone = snapshots.week_zone()
    today, minute = snapshots.on_clock(now, zone)
    day = today if minute < AFTER_WORK_MIN else today + timedelta(days=1)
    queue(cause=f"day:{day}", now=now, due_at=snapshots.moment(day, AFTER_WORK_MIN, zone))


@transaction.atomic
def refit(*, now: datetime) -> str:
    """Fit the hours anew, unless nothing has changed; the answer says what was done.

    Every visit that has not begun is estimated by the new model.
    """
    shop = Shop.objects.select_for_update().get()
    records = list(snapshots.finished(shop))
    fingerprint = _fingerprint(shop, records)
    newest = HoursModel.objects.first()
    if newest and newest.fingerprint == fingerprint:
        return f"model {newest.version} holds"
    found = fit(
        records,
        standard=shop.standard_minutes,
        carrier_kg=shop.carrier_kg,
        before=Model.from_json(newest.content) if newest else None,
    )
    row = HoursModel.objects.create(
        created_at=now,
        version=newest.version + 1 if newest else 1,
        content=found.to_json(),
        fingerprint=fingerprint,
        visits=len(records),
        suspects=[asdict(suspect) for suspect in found.suspects],
    )
    ahead = Visit.objects.open().filter(started_at__isnull=True, job__in=Job.objects.going())
    hours.refresh_all(set(ahead.values_list("job", flat=True)), now=now)
    log.write("hours.learn", row, by=None, now=now, version=row.version, visits=len(records))
    return f"model {row.version} learned from {len(records)} visits"


@transaction.atomic
def judge(*, visit_id: UUID, learned: Learned, by: Person, now: datetime) -> Visit:
    """Say whether a finished visit's hours are right, wrong, or as likely as any.

    Raises
    ------
    ConflictError
        If the visit is not finished.
    """
    log.require(by, "hours.judge")
    visit = Visit.objects.select_for_update(of=("self",)).select_related("job").get(pk=visit_id)
    if visit.finished_at is None or visit.actual_min is None:
        raise ConflictError("only a finished visit has hours to learn from")
    visit.learned = learned
    visit.changed_at = now
    visit.version += 1
    visit.save()
    log.write("hours.judge", visit, by=by, now=now, job=visit.job, learned=learned)
    queue(cause=f"judged:{visit.pk}:v{visit.version}", now=now)
    return visit


def _fingerprint(shop: Shop, records: list[Finished]) -> str:
    """The hash of what is learned from."""
    held = [
        (
            each.name,
            each.actual_min,
            dict(each.element_minutes),
            each.team.hands,
            each.team.name,
            each.is_confirmed,
        )
        for each in records
    ]
    text = json.dumps([shop.standard_minutes, shop.carrier_kg, held], sort_keys=True)
    return sha256(text.encode()).hexdigest()
