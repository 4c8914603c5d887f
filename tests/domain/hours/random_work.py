"""Invented works of every size: from one vanity top to a large kitchen up three flights."""

from itertools import pairwise
from random import Random

from crewjobs.domain.facts import (
    Cutout,
    CutoutKind,
    Piece,
    PieceKind,
    RouteElement,
    RouteKind,
    Seam,
    SeamMethod,
    Support,
    SupportKind,
    Team,
    Work,
)
from tests import make

MOST_SLABS = (1, 2, 3, 5, 8)
BIG = (CutoutKind.UNDERMOUNT_SINK, CutoutKind.DROP_IN_SINK, CutoutKind.COOKTOP)
SIZES_MM = {
    CutoutKind.UNDERMOUNT_SINK: (500, 400),
    CutoutKind.DROP_IN_SINK: (500, 400),
    CutoutKind.COOKTOP: (560, 490),
    CutoutKind.TAP_HOLE: (35, 35),
}


def random_work(rng: Random) -> Work:
    """Tops, perhaps an island, seams, holes, supports, backsplashes, a way in."""
    most = rng.choice(MOST_SLABS)
    slabs = tuple(_slab(rng, f"P{n}") for n in range(rng.randint(max(1, most // 2), most)))
    strips = tuple(_strip(f"S{n}", slab) for n, slab in enumerate(slabs) if rng.random() < 0.4)
    run_mm = sum(slab.length_mm for slab in slabs)
    return Work(
        pieces=slabs + strips,
        seams=_seams(rng, slabs),
        supports=tuple(
            Support(piece=slab.name, kind=SupportKind.BRACKET, is_in_place=rng.random() < 0.3)
            for slab in slabs
            for _ in range(rng.choice((0, 0, 0, 1, 2)))
        ),
        route=_route(rng),
        tear_out_mm=run_mm if rng.random() < 0.3 else 0.0,
        cabinet_run_mm=run_mm * rng.choice((0.0, 1.0, 1.0)),
        temperature_deg_c=rng.uniform(2, 35),
    )


def random_team(rng: Random) -> Team:
    return Team(hands=rng.choice((1, 2, 2, 2, 3, 3, 4)))


def _slab(rng: Random, name: str) -> Piece:
    is_island = rng.random() < 0.2
    return make.piece(
        name,
        rng.uniform(700, 3000),
        rng.uniform(800, 1250) if is_island else 648,
        thickness_mm=rng.choice((20, 30)),
        kind=PieceKind.ISLAND if is_island else PieceKind.TOP,
        needs_field_cut=rng.random() < 0.15,
        cutouts=_cutouts(rng),
    )


def _cutouts(rng: Random) -> tuple[Cutout, ...]:
    kinds = [rng.choice(BIG)] * (rng.random() < 0.5)
    kinds += [CutoutKind.TAP_HOLE] * rng.choice((0, 0, 1, 2))
    return tuple(
        Cutout(
            kind=kind,
            x_mm=350,
            y_mm=324,
            width_mm=SIZES_MM[kind][0],
            height_mm=SIZES_MM[kind][1],
            is_made_on_site=rng.random() < 0.3,
        )
        for kind in kinds
    )


def _strip(name: str, slab: Piece) -> Piece:
    return make.piece(name, slab.length_mm, 100, thickness_mm=20, kind=PieceKind.BACKSPLASH)


def _seams(rng: Random, slabs: tuple[Piece, ...]) -> tuple[Seam, ...]:
    return tuple(
        make.seam(a.name, b.name, method=rng.choice(tuple(SeamMethod)))
        for a, b in pairwise(slabs)
        if rng.random() < 0.7
    )


def _route(rng: Random) -> tuple[RouteElement, ...]:
    flights = rng.choice((0, 0, 1, 2, 3))
    return (
        RouteElement(kind=RouteKind.PATH, length_mm=rng.uniform(3_000, 50_000)),
        *(RouteElement(kind=RouteKind.STAIRS, steps=14),) * flights,
        *(RouteElement(kind=RouteKind.TURN),) * rng.randint(0, 4),
        *(RouteElement(kind=RouteKind.LIFT),) * (rng.random() < 0.12),
    )
