"""The hours of one visit under other circumstances.

Knows how a visit changes with its people, the weather, and what the shop does beforehand; refuses
to say which of them is allowed: a joined piece must still come through the door.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from crewjobs.domain.facts import CutoutKind, Piece, PieceKind, Point, Seam, Team, VisitKind, Work
from crewjobs.domain.hours.estimate import Estimate, estimate
from crewjobs.domain.hours.model import Model
from crewjobs.domain.pieces import mass_kg

HANDS = (2, 3, 4)


@dataclass(frozen=True, kw_only=True, slots=True)
class Variant:
    """One other way to do a visit, with its hours."""

    title: str
    work: Work
    team: Team
    hours: Estimate


def variants(
    visit_kind: VisitKind,
    work: Work,
    team: Team,
    *,
    model: Model,
    temperatures_deg_c: Sequence[float] = (),
) -> tuple[Variant, ...]:
    """The visit as it is, then with other teams, in other weather, and with more done in the shop.

    Examples
    --------
    >>> cold = variants(VisitKind.INSTALL, Work(), Team(hands=2), model=Model(),
    ...                 temperatures_deg_c=(10,))
    >>> [variant.title for variant in cold]
    ['as planned', '3 people', '4 people', 'at 10 °C']
    """
    return tuple(
        Variant(
            title=title,
            work=other,
            team=people,
            hours=estimate(visit_kind, other, people, model=model),
        )
        for title, other, people in _changed(work, team, temperatures_deg_c)
    )


def _changed(
    work: Work, team: Team, temperatures_deg_c: Sequence[float]
) -> Iterator[tuple[str, Work, Team]]:
    yield "as planned", work, team
    for hands in HANDS:
        if hands != team.hands:
            yield f"{hands} people", work, replace(team, hands=hands)
    for deg_c in temperatures_deg_c:
        yield f"at {deg_c:g} °C", replace(work, temperature_deg_c=deg_c), team
    if work.seams:
        yield "seams done in the shop", seamed_in_shop(work), team
    in_shop = sinks_set_in_shop(work)
    if in_shop != work:
        yield "sinks set in the shop", in_shop, team


def sinks_set_in_shop(work: Work) -> Work:
    """The same work with every undermount sink bonded before it leaves the shop."""
    return replace(
        work,
        pieces=tuple(
            replace(
                piece,
                cutouts=tuple(
                    replace(cutout, is_set_in_shop=True)
                    if cutout.kind is CutoutKind.UNDERMOUNT_SINK
                    else cutout
                    for cutout in piece.cutouts
                ),
            )
            for piece in work.pieces
        ),
    )


def seamed_in_shop(work: Work) -> Work:
    """The same work with its seams bonded before: fewer, longer and heavier pieces to carry."""
    while work.seams:
        work = _joined(work, work.seams[0])
    return work


def _joined(work: Work, seam: Seam) -> Work:
    """The two pieces of one seam as one, as long as both and of their mass together."""
    by_name = {piece.name: piece for piece in work.pieces}
    others = tuple(other for other in work.seams if other != seam)
    first, second = by_name[seam.first], by_name[seam.second]
    name = f"{first.name}+{second.name}"
    renamed = {first.name: name, second.name: name}
    return replace(
        work,
        pieces=tuple(
            _one_piece(name, first, second) if piece is first else piece
            for piece in work.pieces
            if piece is not second
        ),
        seams=tuple(
            replace(
                other,
                first=renamed.get(other.first, other.first),
                second=renamed.get(other.second, other.second),
            )
            for other in others
            if {other.first, other.second} != {first.name, second.name}
        ),
        supports=tuple(
            replace(support, piece=renamed.get(support.piece, support.piece))
            for support in work.supports
        ),
    )


def _one_piece(name: str, first: Piece, second: Piece) -> Piece:
    """End to end in a box, its density such that the mass is that of both."""
    length_mm = first.length_mm + second.length_mm
    depth_mm = max(first.depth_mm, second.depth_mm)
    outline: tuple[Point, ...] = ((0, 0), (length_mm, 0), (length_mm, depth_mm), (0, depth_mm))
    moved = tuple(replace(cut, x_mm=cut.x_mm + first.length_mm) for cut in second.cutouts)
    joined = replace(
        first,
        name=name,
        outline_mm=outline,
        kind=first.kind if first.kind is not PieceKind.BACKSPLASH else second.kind,
        cutouts=(*first.cutouts, *moved),
        finished_edge_mm=first.finished_edge_mm + second.finished_edge_mm,
        needs_field_cut=first.needs_field_cut or second.needs_field_cut,
    )
    both_kg = mass_kg(first) + mass_kg(second)
    return replace(joined, density_kg_m3=joined.density_kg_m3 * both_kg / mass_kg(joined))
