"""The rows of a job into its facts. Reads only; decides nothing."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from crewjobs import models
from crewjobs.domain import facts, questions
from crewjobs.domain.access import SideRoom, side_rooms
from crewjobs.domain.clearances import Clearances
from crewjobs.domain.facts import (
    CutoutKind,
    DustRules,
    HoldReason,
    PieceKind,
    ReportKind,
    RouteKind,
    RuleSet,
    SeamMethod,
    Stage,
    SupportKind,
    Trade,
    VisitKind,
)
from crewjobs.domain.limits import Limits
from crewjobs.domain.questions import Answer, Form

WHOLE_JOB = (
    "pieces__cutouts",
    "pieces__supports",
    "pieces__inspections",
    "pieces__remakes",
    "seams__first",
    "seams__second",
    "route",
    "holds",
    "visits__placements__crew__members",
    "visits__reports__piece",
    "visits__reports__seam",
    "visits__pieces",
    "open_items",
    "trade_work",
    "filled_forms__piece",
)
"""What a job's facts are made of."""


def shop() -> models.Shop:
    """The shop.

    Raises
    ------
    Shop.DoesNotExist
        Before somebody has founded it.
    """
    return models.Shop.objects.get()


def whole_jobs() -> QuerySet[models.Job]:
    """Jobs with everything that their facts need."""
    return models.Job.objects.select_related("customer", "site", "sign_off").prefetch_related(
        *WHOLE_JOB
    )


def job(job_id: UUID) -> facts.Job:
    """The facts of one job.

    Raises
    ------
    Job.DoesNotExist
        If there is none with this id.
    """
    return job_facts(whole_jobs().get(pk=job_id), shop())


def job_facts(row: models.Job, of: models.Shop, at: models.Visit | None = None) -> facts.Job:
    """The facts of a job whose rows are at hand; with a visit, as its forms tell of the site."""
    known, limits = work(row), Limits.of(of.limits)
    return facts.Job(
        number=row.number,
        work=known,
        record=_record(row, at),
        team=_team(row),
        carrier_kg=of.carrier_kg,
        rule_set=RuleSet(of.rule_set),
        dust_rules=DustRules(of.dust_rules) if of.dust_rules else None,
        limits=limits,
        searched=_searched(known, Clearances.by(limits)),
        questions=questions.of_shop(of.questions),
    )


def job_at(visit_id: UUID) -> facts.Job:
    """The facts of a job as the forms of one of its visits tell of the site.

    Raises
    ------
    Job.DoesNotExist
        If there is no such visit.
    """
    row = whole_jobs().get(visits=visit_id)
    return job_facts(row, shop(), next(each for each in row.visits.all() if each.pk == visit_id))


def to_search(known: facts.Work, clearances: Clearances) -> Iterator[tuple[int, SideRoom, float]]:
    """What a search is worth on the way in of some work: element, door with room, strip's width."""
    for thickness_mm in sorted({piece.thickness_mm for piece in known.pieces}):
        yield from side_rooms(known.route, thickness_mm, clearances)


def _searched(known: facts.Work, clearances: Clearances) -> dict[str, float]:
    """What a search found of the way in; it is asked only where there is something to search."""
    wanted = {room.fingerprint(wide) for _, room, wide in to_search(known, clearances)}
    if not wanted:
        return {}
    rows = models.SearchedLimit.objects.filter(fingerprint__in=wanted)
    return {row.fingerprint: row.level_mm or 0.0 for row in rows}


def work(row: models.Job, *, only: Iterable[models.Piece] = ()) -> facts.Work:
    """The stone and the site work of a job, or of some of its pieces."""
    names = {piece.name for piece in only}
    rows = [piece for piece in row.pieces.all() if not names or piece.name in names]
    kept = {piece.name for piece in rows}
    return facts.Work(
        pieces=tuple(piece(each) for each in rows),
        seams=tuple(
            _seam(seam)
            for seam in row.seams.all()
            if seam.first.name in kept and seam.second.name in kept
        ),
        supports=tuple(
            facts.Support(
                piece=piece.name, kind=SupportKind(support.kind), is_in_place=support.is_in_place
            )
            for piece in rows
            for support in piece.supports.all()
        ),
        route=tuple(_element(element) for element in row.route.all()),
        tear_out_mm=0.0 if names else row.tear_out_mm,
        cabinet_run_mm=0.0 if names else row.cabinet_run_mm,
        temperature_deg_c=row.temperature_deg_c,
        has_dishwasher=row.has_dishwasher and not names,
        off_level_mm=row.off_level_mm,
    )


def piece(row: models.Piece) -> facts.Piece:
    """The facts of one piece."""
    return facts.Piece(
        name=row.name,
        outline_mm=tuple((float(x), float(y)) for x, y in row.outline_mm),
        thickness_mm=row.thickness_mm,
        density_kg_m3=row.density_kg_m3,
        kind=PieceKind(row.kind),
        cutouts=tuple(
            facts.Cutout(
                kind=CutoutKind(cutout.kind),
                x_mm=cutout.x_mm,
                y_mm=cutout.y_mm,
                width_mm=cutout.width_mm,
                height_mm=cutout.height_mm,
                corner_radius_mm=cutout.corner_radius_mm,
                is_made_on_site=cutout.is_made_on_site,
                is_set_in_shop=cutout.is_set_in_shop,
                front_rail_mm=cutout.front_rail_mm,
                back_rail_mm=cutout.back_rail_mm,
                is_supported=cutout.is_supported,
                cabinet_mm=cutout.cabinet_mm,
            )
            for cutout in row.cutouts.all()
        ),
        finished_edge_mm=row.finished_edge_mm,
        needs_field_cut=row.needs_field_cut,
        overhang_mm=row.overhang_mm,
        span_mm=row.span_mm,
        dishwasher_hole_mm=row.dishwasher_hole_mm,
        layout_x_mm=row.layout_x_mm,
        layout_y_mm=row.layout_y_mm,
        layout_turn_deg=row.layout_turn_deg,
    )


def _seam(row: models.Seam) -> facts.Seam:
    return facts.Seam(
        name=row.name,
        first=row.first.name,
        second=row.second.name,
        length_mm=row.length_mm,
        method=SeamMethod(row.method),
        adhesive=row.adhesive,
        is_over_dishwasher=row.is_over_dishwasher,
        to_sink_mm=row.to_sink_mm,
        gap_mm=row.gap_mm,
        edge_lippage_mm=row.edge_lippage_mm,
        lippage_mm=row.lippage_mm,
    )


def _element(row: models.RouteElement) -> facts.RouteElement:
    return facts.RouteElement(
        kind=RouteKind(row.kind),
        name=row.name,
        steps=row.steps,
        **{size: getattr(row, size) for size in facts.RouteElement.sizes()},
    )


def _record(row: models.Job, at: models.Visit | None) -> facts.Record:
    newest = {piece.name: _newest_inspection(piece) for piece in row.pieces.all()}
    items = [item for item in row.open_items.all() if item.closed_at is None]
    return facts.Record(
        stage=Stage(row.stage),
        is_cancelled=row.cancelled_at is not None,
        holds=tuple(HoldReason(h.reason) for h in row.holds.all() if h.released_at is None),
        is_templated=is_templated(row),
        inspected=frozenset(name for name, passed in newest.items() if passed),
        rejected=frozenset(name for name, passed in newest.items() if passed is False),
        remakes=frozenset(
            piece.name
            for piece in row.pieces.all()
            if any(remake.made_at is None for remake in piece.remakes.all())
        ),
        has_published_install=_published(row) is not None,
        reports=_reports(row),
        open_items=tuple(item.what for item in items),
        accepted_items=frozenset(item.what for item in items if item.is_accepted),
        is_signed=hasattr(row, "sign_off"),
        trades_left=tuple(Trade(w.trade) for w in row.trade_work.all() if w.done_at is None),
        balance_cents=row.balance_cents,
        answers=answers(row, at),
        visits=frozenset(VisitKind(v.kind) for v in row.visits.all() if v.cancelled_at is None),
    )


def answers(row: models.Job, at: models.Visit | None = None) -> tuple[Answer, ...]:
    """What the forms of a job say that still counts.

    Of a piece made again, only what was said since. Of the site, what was said for one visit says
    nothing of another: without a visit, those still to come count, else those that were.
    """
    made_at = {piece.pk: _remade_at(piece) for piece in row.pieces.all()}
    others = _other_visits(row, at)
    return tuple(
        Answer(
            form=Form(filled.form),
            code=code,
            answered_at=filled.filled_at,
            said=told.get("said", ""),
            measured_mm=told.get("measured_mm"),
            note=told.get("note", ""),
            about=filled.piece.name if filled.piece else "",
        )
        for filled in row.filled_forms.all()
        if filled.visit_id is None or filled.visit_id not in others
        if filled.piece_id is None
        or (since := made_at.get(filled.piece_id)) is None
        or filled.filled_at >= since
        for code, told in filled.answers.items()
    )


def _other_visits(row: models.Job, at: models.Visit | None) -> set[UUID]:
    """Visits that come to install, of which what was said of the site does not count."""
    coming = [visit for visit in row.visits.all() if visit.kind != VisitKind.TEMPLATE]
    if at is not None and at.kind != VisitKind.TEMPLATE:
        return {visit.pk for visit in coming if visit.pk != at.pk}
    is_over = {visit.pk: bool(visit.finished_at or visit.cancelled_at) for visit in coming}
    return set() if all(is_over.values()) else {pk for pk, over in is_over.items() if over}


def is_templated(row: models.Job) -> bool:
    """Whether the sizes are there: from a template visit, or with the order where none is due."""
    visits = [v for v in row.visits.all() if v.kind == VisitKind.TEMPLATE and not v.cancelled_at]
    if visits:
        return any(visit.finished_at and not _was_in_vain(visit) for visit in visits)
    return bool(row.pieces.all())


def _was_in_vain(visit: models.Visit) -> bool:
    standing = [report for report in visit.reports.all() if report.withdrawn_at is None]
    return any(report.kind == ReportKind.NO_GO for report in standing)


def _newest_inspection(piece: models.Piece) -> bool | None:
    remade_at = _remade_at(piece)
    found = max(piece.inspections.all(), key=lambda each: each.created_at, default=None)
    if found is None or (remade_at and found.created_at < remade_at):
        return None
    return found.passed


def _remade_at(piece: models.Piece) -> datetime | None:
    return max((r.made_at for r in piece.remakes.all() if r.made_at), default=None)


def _published(row: models.Job) -> models.Placement | None:
    """The place of the job's next install visit that is in force."""
    placements = [
        placement
        for visit in row.visits.all()
        if visit.kind == VisitKind.INSTALL and visit.cancelled_at is None
        if (placement := visit.placement)
    ]
    return min(placements, key=lambda placement: placement.starts_at, default=None)


def _team(row: models.Job) -> facts.Team:
    """The crew that is published for the install, at its full number; two people before that."""
    placement = _published(row)
    if placement is None:
        return facts.Team()
    hands = sum(person.is_active for person in placement.crew.members.all())
    return facts.Team(hands=max(1, hands), name=placement.crew.name)


def _reports(row: models.Job) -> tuple[facts.Report, ...]:
    """What was reported from install and return visits; of a remade piece, only its new setting."""
    remade_at = {
        piece.name: max((r.created_at for r in piece.remakes.all()), default=None)
        for piece in row.pieces.all()
    }
    told = [
        report
        for visit in row.visits.all()
        if visit.kind != VisitKind.TEMPLATE
        for report in visit_reports(visit)
    ]
    return tuple(
        report
        for report in told
        if report.kind is not ReportKind.PIECE_SET
        or (at := remade_at.get(report.about)) is None
        or report.happened_at > at
    )


def visit_reports(row: models.Visit) -> tuple[facts.Report, ...]:
    """The status reports of one visit that nobody has withdrawn."""
    return tuple(
        facts.Report(
            client_id=str(report.client_id),
            kind=ReportKind(report.kind),
            happened_at=report.happened_at,
            about=getattr(report.piece or report.seam, "name", ""),
        )
        for report in row.reports.all()
        if report.withdrawn_at is None
    )
