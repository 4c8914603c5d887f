"""Answering for a visit that a finding stops: by name, with a reason, while it reads the same.

A template visit carries no stone and is never stopped.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import loads, log
from crewjobs.actions.errors import ConflictError, InvalidError, RefusedError
from crewjobs.domain import rules
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.findings import Finding
from crewjobs.models import Override, Person, Plan, PlanStatus, Visit

LONGEST = 400
"""Of a reason."""


class Said(NamedTuple):
    """What makes a finding the same one: with another figure it is another."""

    code: str
    about: str
    message: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Stopped:
    """A finding that stops a visit, and who answers for it, if anybody does."""

    visit: Visit
    finding: Finding
    override: Override | None


def stopped(visits: Iterable[Visit], plan: Plan | None = None) -> list[Stopped]:
    """What stops each of these visits, in their order, in a fixed number of queries.

    With a plan, also what keeps its trucks from being loaded.
    """
    wanted = [visit.pk for visit in visits if visit.kind != VisitKind.TEMPLATE]
    if not wanted:
        return []
    shop, jobs = snapshots.shop(), snapshots.whole_jobs().filter(visits__in=wanted).distinct()
    loaded = loads.findings(plan, frozenset(wanted)) if plan else {}
    answered = {_key(each.visit_id, each): each for each in _answers(wanted)}
    found = {
        visit.pk: [
            Stopped(visit=visit, finding=each, override=answered.get(_key(visit.pk, each)))
            for each in (
                *rules.stopped(snapshots.visit_facts(visit, job, shop)),
                *loaded.get(visit.pk, ()),
            )
        ]
        for job in jobs
        for visit in job.visits.all()
        if visit.pk in wanted
    }
    return [each for visit_id in wanted for each in found.get(visit_id, ())]


def refuse_stopped(visits: Iterable[Visit], plan: Plan | None = None) -> None:
    """Refuse to publish visits that a finding stops, unless somebody answers for each finding.

    Raises
    ------
    RefusedError
        With every finding that nobody answers for.
    """
    if left := list(_unanswered(stopped(visits, plan))):
        raise RefusedError(left)


@transaction.atomic
def answer(*, visit_id: UUID, said: Said, reason: str, by: Person, now: datetime) -> Override:
    """Answer for one finding of a visit; answering again gives the new reason.

    Raises
    ------
    InvalidError
        Without a reason, or with too long a one.
    ConflictError
        If no finding that stops the visit reads so now.
    """
    log.require(by, "visit.override")
    reason = reason.strip()
    if not reason or len(reason) > LONGEST:
        raise InvalidError({"/reason": f"give a reason of 1 to {LONGEST} letters"})
    visit = Visit.objects.select_for_update(of=("self",)).select_related("job").get(pk=visit_id)
    if said not in _said_now(visit):
        raise ConflictError("no finding that stops the visit reads so now: look at it again")
    override, _ = Override.objects.update_or_create(
        visit=visit, **said._asdict(), defaults={"reason": reason, "by": by, "created_at": now}
    )
    words = {"finding": said.code, "about": said.about, "message": said.message}
    log.write("visit.override", visit, by=by, now=now, job=visit.job, reason=reason, **words)
    return override


def said(finding: Finding) -> Said:
    """A finding's own words."""
    return _words(finding)


def _said_now(visit: Visit) -> set[Said]:
    """What stops the visit, by itself or on its day in a draft."""
    drafts = Plan.objects.filter(status=PlanStatus.DRAFT, planned__visit=visit)
    return {_words(each.finding) for plan in (None, *drafts) for each in stopped([visit], plan)}


def _answers(visits: Iterable[UUID]) -> Iterable[Override]:
    return Override.objects.filter(visit__in=visits).select_related("by")


def _words(of: Finding | Override) -> Said:
    return Said(of.code, of.about, of.message)


def _key(visit_id: UUID, of: Finding | Override) -> tuple[UUID, Said]:
    return visit_id, _words(of)


def _unanswered(found: Iterable[Stopped]) -> Iterator[Finding]:
    for each in found:
        if each.override is None:
            said = f"job {each.visit.job.number}, {each.visit.kind} visit: {each.finding.message}"
            yield replace(each.finding, message=said)
