"""The shop learns from its finished visits: the hours are fitted anew, and estimates follow."""

import json
from dataclasses import asdict
from datetime import datetime
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


def queue(*, cause: str, now: datetime) -> None:
    """Let the hours be fitted anew, soon, because of something that happens now."""
    queueing.enqueue(
        [
            OutboxMessage(
                created_at=now,
                kind=LEARN,
                channel=Channel.ERRAND,
                dedupe_key=f"{LEARN}:{cause}",
                due_at=now,
                next_at=now,
            )
        ]
    )


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
    for job in Job.objects.going().filter(visits__in=Visit.objects.open()).distinct():
        hours.refresh(job, now=now)
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
        (each.name, each.actual_min, each.team.hands, each.team.name, each.is_confirmed)
        for each in records
    ]
    text = json.dumps([shop.standard_minutes, shop.carrier_kg, held], sort_keys=True)
    return sha256(text.encode()).hexdigest()
