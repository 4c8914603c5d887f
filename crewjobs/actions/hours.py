"""The hours of a job's visits, kept up with its stone. Called by the actions that change it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import F

from crewjobs import snapshots
from crewjobs.actions import searching, trades
from crewjobs.domain import hours
from crewjobs.domain.adhesives import Mixed, mixed
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours import Estimate, Model, PlannedTask
from crewjobs.domain.hours.what_if import Variant, variants
from crewjobs.domain.lifting import MOST_CARRIERS, hands_needed
from crewjobs.domain.limits import Limits
from crewjobs.models import HoursModel, Job, Shop, Visit


def refresh(job: Job, *, now: datetime) -> None:
    """Estimate every visit of the job that has not begun, and count its hands anew."""
    refresh_all([job.pk], now=now)


def refresh_all(job_ids: Collection[UUID], *, now: datetime) -> None:
    """Do so for many jobs, by the model that is in use; their side doors are searched soon.

    When their trades may come is told anew too: the stone and the weather have changed.
    """
    shop = snapshots.shop()
    learned = in_use(shop)
    model = _model(learned, shop)
    rows = list(snapshots.whole_jobs().filter(pk__in=job_ids))
    searching.ask(rows, shop, now=now)
    for row in rows:
        for visit in row.visits.all():
            if visit.cancelled_at is None and visit.started_at is None:
                _refresh(visit, row, shop, model)
                _write(visit, learned, now=now)
        trades.follow(row, shop)


def for_crews(visit_ids: Collection[UUID], *, now: datetime) -> None:
    """Estimate visits anew for the crews that have them now; for any crew, where none has.

    A published end moves along. Before anything is learned, all crews are alike.
    """
    shop = snapshots.shop()
    learned = in_use(shop)
    if learned is None:
        return
    model = _model(learned, shop)
    jobs = Visit.objects.filter(pk__in=visit_ids).values("job")
    for row in snapshots.whole_jobs().filter(pk__in=jobs):
        for visit in row.visits.all():
            if visit.pk in visit_ids and not (visit.cancelled_at or visit.started_at):
                before_min = snapshots.planned_min(visit, shop)
                _refresh(visit, row, shop, model)
                _write(visit, learned, now=now)
                _move_end(visit, before_min, shop, now=now)
        trades.follow(row, shop)


def in_use(shop: Shop) -> HoursModel | None:
    """The newest model, unless the shop counts otherwise since: then it has to be learned anew."""
    newest = HoursModel.objects.first()
    if newest is None:
        return None
    model = Model.from_json(newest.content)
    is_apt = model.standard == shop.standard_minutes and model.carrier_kg == shop.carrier_kg
    return newest if is_apt else None


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkingPlan:
    """Who does what when on a visit, and what is mixed for its seams."""

    people: int
    tasks: tuple[PlannedTask, ...]
    mixed: tuple[Mixed, ...]
    saved_min: float = 0.0
    """So much sooner than by the usual order of work."""


def working_plan(visit: Visit, row: Job, shop: Shop, *, is_sought: bool = False) -> WorkingPlan:
    """The working plan of a visit by the model that its row has its hours from.

    Where it is asked for, a shorter order of work is sought for about a second.
    """
    model, is_template = model_of(visit, shop), visit.kind == VisitKind.TEMPLATE
    work = snapshots.work(row, only=visit.pieces.all())
    if is_sought:
        kind, team = VisitKind(visit.kind), snapshots.team(visit)
        tasks, saved_min = hours.shorter(kind, work, team, model=model)
    else:
        tasks, saved_min = estimate(visit, row, model).tasks, 0.0
    return WorkingPlan(
        people=visit.hands,
        tasks=tasks,
        mixed=() if is_template else mixed(work, Limits.of(shop.limits)),
        saved_min=saved_min,
    )


def what_if(
    row: Job, visit: Visit, shop: Shop, *, temperatures_deg_c: Sequence[float] = ()
) -> tuple[Variant, ...]:
    """The hours of one visit as planned, then with other people, weather and work in the shop."""
    return variants(
        VisitKind(visit.kind),
        snapshots.work(row, only=visit.pieces.all()),
        snapshots.team(visit),
        model=model_of(visit, shop),
        temperatures_deg_c=temperatures_deg_c,
    )


def main_visit(row: Job) -> Visit | None:
    """The visit that most of the work falls to: the first install, or the first of any kind."""
    visits = [visit for visit in row.visits.all() if visit.cancelled_at is None]
    return min(visits, key=lambda visit: visit.kind != VisitKind.INSTALL, default=None)


def estimate(visit: Visit, row: Job, model: Model) -> Estimate:
    """The hours of one visit, of a job whose rows are at hand."""
    return hours.estimate(
        VisitKind(visit.kind),
        snapshots.work(row, only=visit.pieces.all()),
        snapshots.team(visit),
        model=model,
    )


def model_of(visit: Visit, shop: Shop) -> Model:
    """The model that a visit has its hours from."""
    return _model(visit.hours_model, shop)


def _model(learned: HoursModel | None, shop: Shop) -> Model:
    """A stored model; before there is one, the standard minutes themselves."""
    if learned is None:
        return Model(standard=shop.standard_minutes, carrier_kg=shop.carrier_kg)
    return Model.from_json(learned.content)


def hands(kind: VisitKind, row: Job, shop: Shop) -> int:
    """The hands that a visit needs: one to measure, else what the heaviest piece asks for."""
    if kind is VisitKind.TEMPLATE:
        return 1
    return min(MOST_CARRIERS, hands_needed(snapshots.work(row).pieces, carrier_kg=shop.carrier_kg))


def _refresh(visit: Visit, row: Job, shop: Shop, model: Model) -> None:
    if not visit.hands_are_set:
        visit.hands = hands(VisitKind(visit.kind), row, shop)
    found = estimate(visit, row, model)
    visit.p50_min, visit.p80_min, visit.p90_min = found.p50_min, found.p80_min, found.p90_min
    visit.hours_lines = [
        {
            "name": line.title,
            "element": line.element,
            "minutes": line.value_min,
            "note": line.note,
        }
        for line in found.lines
    ]


def _move_end(visit: Visit, before_min: int, shop: Shop, *, now: datetime) -> None:
    """Let a place that was published just now end by the hours of its crew."""
    place, more_min = visit.placement, snapshots.planned_min(visit, shop) - before_min
    if place is None or not more_min:
        return
    place.ends_at, place.changed_at = snapshots.end_moved(place, more_min, shop), now
    if place.parts:
        place.parts[-1]["ends_at"] = place.ends_at.isoformat()
    place.save(update_fields=["ends_at", "parts", "changed_at"])


def _write(visit: Visit, learned: HoursModel | None, *, now: datetime) -> None:
    """Write the hours alone: what somebody else changes meanwhile stays, and so does a start."""
    Visit.objects.filter(pk=visit.pk, started_at__isnull=True).update(
        hours_model=learned,
        hands=visit.hands,
        p50_min=visit.p50_min,
        p80_min=visit.p80_min,
        p90_min=visit.p90_min,
        hours_lines=visit.hours_lines,
        changed_at=now,
        version=F("version") + 1,
    )
