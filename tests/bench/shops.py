"""Invented shops with a hidden pace, whose work is written apart from the hours that are tested.

Nothing here asks ``crewjobs.domain.hours``: the tasks, their minutes, how they grow, who does them
and in which order are the world's own. Only the words of a job (``facts``) are shared.
"""

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from heapq import heappop, heappush
from itertools import pairwise
from typing import NamedTuple

import numpy as np

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

CREWS = ("Red", "Blue", "Green", "Grey")
SKILLS = {
    "site": ("welcome", "seal", "sweep", "talk"),
    "strip": ("strip",),
    "carry": ("unload", "walk"),
    "climb": ("climb",),
    "lay": ("lay",),
    "shim": ("shim", "drawers"),
    "bracket": ("bracket",),
    "scribe": ("scribe",),
    "glue": ("glue", "fill", "dress"),
    "chemistry": ("chemistry",),
    "openings": ("bowl", "hob", "drill"),
    "upstand": ("upstand",),
}
"""What a crew may be good or bad at, and the chores that ask for it: twelve, as in the study."""

FAMILIES = {chore: n for n, chores in enumerate(SKILLS.values()) for chore in chores}
CHEMISTRY = FAMILIES["chemistry"]
FIRST_DAY = dt.date(2026, 1, 5)


class Job(NamedTuple):
    """A visit as the shop knows it beforehand."""

    number: int
    day: dt.date
    work: Work
    team: Team


class Chore(NamedTuple):
    """One thing to do: the skill it asks for, how many people, usual minutes, what goes before."""

    family: int
    people: int
    minutes: float
    after: tuple[int, ...]
    mass_kg: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Kind:
    """What is true in a shop, and how badly it keeps its clock."""

    family_sd: float = 0.30
    level_sd: float = 0.20
    crew_sd: float = 0.12
    job_sd: float = 0.13
    chore_sd: float = 0.30
    wrong_share: float = 0.10
    drift_log: float = 0.0
    """Spread over the first 200 jobs."""
    step_log: float = 0.0
    """All at once, at job 150."""
    is_serial: bool = False
    """No network at all: hand minutes over hands, and every wait waited for."""


@dataclass
class Shop:
    """One shop: its hidden truth, its jobs, and what its clock says."""

    seed: int
    kind: Kind = field(default_factory=Kind)

    def __post_init__(self) -> None:
        rng = self.rng = np.random.default_rng(self.seed)
        factors = rng.normal(0, self.kind.family_sd, len(SKILLS))
        factors += rng.normal(0, self.kind.level_sd)
        factors[CHEMISTRY] = rng.normal(0, 0.1)
        self.factors = np.exp(factors)
        self.crews = dict(zip(CREWS, np.exp(rng.normal(0, self.kind.crew_sd, 4)), strict=True))
        self.mass_power = rng.uniform(0.0, 0.4)
        self.carries_first = rng.random() < 0.4

    def job(self, number: int) -> Job:
        work, hands = kitchen(self.rng)
        crew = CREWS[self.rng.integers(len(CREWS))]
        day = FIRST_DAY + dt.timedelta(days=number // 2)
        return Job(number, day, work, Team(hands=hands, name=crew))

    def true_min(self, job: Job, times: int = 1) -> np.ndarray:
        """How long the job takes, as often as it is done."""
        chores = self.chores(job)
        rng, kind = self.rng, self.kind
        usual = np.array([chore.minutes for chore in chores])
        usual *= self.factors[[chore.family for chore in chores]]
        waits = np.array([chore.people == 0 for chore in chores])
        mass = np.array([max(10.0, chore.mass_kg) if chore.mass_kg else 70.0 for chore in chores])
        usual *= (mass / 70.0) ** self.mass_power
        sd = np.where(waits, 0.08, kind.chore_sd)
        noise = np.exp(rng.normal(0, 1, (times, len(usual))) * sd - np.where(waits, 0, sd**2 / 2))
        whole = np.array([self._worked(job, chores, row) for row in usual * noise])
        whole *= np.exp(rng.normal(0, kind.job_sd, times)) * self.crews[job.team.name]
        whole *= np.where(rng.random(times) < 0.10, 1 + rng.exponential(0.15, times), 1.0)
        drift = kind.drift_log * min(1.0, job.number / 200) + kind.step_log * (job.number >= 150)
        return whole * math.exp(drift)

    def _worked(self, job: Job, chores: Sequence[Chore], spans: np.ndarray) -> float:
        if self.kind.is_serial:
            hands = job.team.hands
            return float(
                sum(s * (c.people / hands or 1) for c, s in zip(chores, spans, strict=True))
            )
        order: Sequence[float] = range(len(chores))
        if self.rng.random() < 0.3:
            order = self.rng.random(len(chores)).tolist()
        return worked(chores, spans.tolist(), job.team.hands, order)

    def clock_min(self, true_min: float) -> tuple[float, bool]:
        """What is written down, in steps of 5 minutes, and whether it is plainly wrong."""
        rng = self.rng
        told = true_min + rng.normal(0, 4)
        is_wrong = rng.random() < self.kind.wrong_share
        if is_wrong:
            kind = rng.random()
            if kind < 0.55:
                told = true_min + rng.uniform(90, 840)  # nobody clocked out
            elif kind < 0.75:
                told = true_min + rng.uniform(30, 75)  # lunch
            else:
                told = true_min * rng.uniform(0.25, 0.7)  # closed early
        return max(10.0, 5.0 * round(told / 5)), is_wrong

    def chores(self, job: Job) -> list[Chore]:
        return _Site(job, self.carries_first).chores()


class _Site:
    """Writes down what there is to do at one job."""

    def __init__(self, job: Job, carries_first: bool) -> None:
        self.work, self.hands, self.carries_first = job.work, job.team.hands, carries_first
        self.list: list[Chore] = []
        self.slabs = [p for p in self.work.pieces if p.kind is not PieceKind.BACKSPLASH]

    def add(self, family: str, people: int, minutes: float, *after: int, mass_kg: float = 0) -> int:
        there = min(people, self.hands)
        slower = 1 + 0.3 * (people - there)
        chore = Chore(FAMILIES[family], there, minutes * slower, after, mass_kg)
        self.list.append(chore)
        return len(self.list) - 1

    def chores(self) -> list[Chore]:
        level = self._make_ready()
        lying = self._bring(level)
        ends = [*self._cut_and_glue(lying), *self._fit_out(lying)]
        run_m = sum(piece.length_mm for piece in self.work.pieces) / 1000
        sealed = self.add("seal", 1, 2 + 1.7 * run_m, *ends)
        back = self.add("drawers", 1, 0.4 * run_m, *lying.values())
        swept = self.add("sweep", 2, 10 + 0.3 * run_m, sealed, back)
        self.add("talk", 1, 9.0, swept)
        return self.list

    def _make_ready(self) -> int:
        work = self.work
        here = self.add("welcome", 2, 11 + 0.22 * work.walk_mm / 1000 + 2.5 * work.flights)
        if work.tear_out_mm:
            here = self.add("strip", 2, 7 + 9.0 * work.tear_out_mm / 1000, here)
        cabinets = math.ceil(work.cabinet_run_mm / 600)
        out = self.add("drawers", 1, 0.3 * cabinets, here)
        return self.add("shim", 1, 2.0 * cabinets, out)

    def _bring(self, level: int) -> dict[str, int]:
        """Where each slab lies at last; all of them are brought first in some shops."""
        carried = {piece.name: self._carry(piece) for piece in self.slabs}
        lying: dict[str, int] = {}
        for piece in self.slabs:
            before = [*carried.values()] if self.carries_first else [carried[piece.name]]
            held = [s for s in self.work.supports if s.piece == piece.name]
            if held:
                before.append(self.add("bracket", 1, 2 + 8.0 * len(held), level))
            people = 2 if mass(piece) < 110 else porters(piece)
            span = 6 + 2.4 * piece.length_mm / 1000
            lying[piece.name] = self.add(
                "lay", people, span, level, *before, *list(lying.values())[-1:], mass_kg=mass(piece)
            )
        for piece in self.slabs:
            if piece.needs_field_cut:
                cut = self.add("scribe", 1, 21.0, lying[piece.name])
                lying[piece.name] = self.add("lay", 2, 4.0, cut)
        return lying

    def _carry(self, piece: Piece) -> int:
        work, people, here = self.work, porters(piece), 0
        off = self.add("unload", 2, 2.0 + 0.02 * mass(piece), here)
        walk = work.walk_mm / 1000 * (1 / 42 + 1 / 70)
        there = self.add("walk", people, walk, off, mass_kg=mass(piece))
        climb = 2.4 * work.flights + 0.5 * work.turns + 3.6 * work.has_lift
        return self.add("climb", people, climb, there, mass_kg=mass(piece)) if climb else there

    def _cut_and_glue(self, lying: dict[str, int]) -> list[int]:
        dressed = []
        for seam in self.work.seams:
            start, length_m = [*lying.values()], seam.length_mm / 1000
            if seam.method is SeamMethod.FLOW_GRADE:
                poured = self.add("glue", 2, 5 + 1.5 * length_m, *start)
                start = [self.add("chemistry", 0, hardening(6.0, self.work), poured)]
                start = [self.add("fill", 1, 3 + 2 * length_m, *start)]
            glued = self.add("glue", 2, 8 + 8 * length_m, *start)
            hard = self.add("chemistry", 0, hardening(12.5, self.work), glued)
            dressed.append(self.add("dress", 1, 6 + 7 * length_m, hard))
        for piece in self.work.pieces:
            if piece.kind is PieceKind.BACKSPLASH:
                span = 4 + 5 * piece.length_mm / 1000
                hard_or_lying = dressed or [*lying.values()]
                dressed = [*dressed, self.add("upstand", 1, span, *hard_or_lying)]
        return dressed or [*lying.values()]

    def _fit_out(self, lying: dict[str, int]) -> list[int]:
        ends = []
        for piece in self.slabs:
            lies = lying[piece.name]
            taps = sum(c.kind is CutoutKind.TAP_HOLE for c in piece.cutouts)
            if taps:
                ends.append(self.add("drill", 1, 4 + 6.5 * taps, lies))
            for cutout in piece.cutouts:
                if cutout.kind is CutoutKind.UNDERMOUNT_SINK:
                    hung = self.add("bowl", 1, 19.0, lies)
                    ends.append(self.add("chemistry", 0, hardening(18.0, self.work), hung))
                elif cutout.kind is CutoutKind.DROP_IN_SINK:
                    ends.append(self.add("bowl", 1, 10.0, lies))
                elif cutout.kind is CutoutKind.COOKTOP:
                    ends.append(self.add("hob", 1, 8.0, lies))
        return ends


def worked(
    chores: Sequence[Chore], spans: Sequence[float], hands: int, order: Sequence[float]
) -> float:
    """When the last chore ends if free people always take the next one that can be begun."""
    waits = [len(chore.after) for chore in chores]
    followers: list[list[int]] = [[] for _ in chores]
    for place, chore in enumerate(chores):
        for earlier in chore.after:
            followers[earlier].append(place)
    ready = [(order[place], place) for place, count in enumerate(waits) if not count]
    running: list[tuple[float, int]] = []
    now = 0.0
    while ready or running:
        later = []
        for entry in sorted(ready):
            place = entry[1]
            if chores[place].people <= hands:
                hands -= chores[place].people
                heappush(running, (now + spans[place], place))
            else:
                later.append(entry)
        ready = later
        now, place = heappop(running)
        hands += chores[place].people
        for follower in followers[place]:
            waits[follower] -= 1
            if not waits[follower]:
                ready.append((order[follower], follower))
    return now


def mass(piece: Piece) -> float:
    return piece.length_mm * piece.depth_mm * piece.thickness_mm * piece.density_kg_m3 / 1e9


def porters(piece: Piece) -> int:
    return min(4, max(2, math.ceil(mass(piece) / 45)))


def hardening(usual_min: float, work: Work) -> float:
    return min(60.0, max(4.0, usual_min * 2 ** ((20 - work.temperature_deg_c) / 10)))


def kitchen(rng: np.random.Generator) -> tuple[Work, int]:
    """A job from a vanity top to a large kitchen, and how many people are sent."""
    size = rng.choice(4, p=(0.15, 0.30, 0.40, 0.15))
    low, high = ((1, 2), (1, 4), (2, 6), (4, 9))[size]
    thickness = 20.0 if rng.random() < 0.25 else 30.0
    slabs = [slab(rng, n, thickness, is_bath=size == 0) for n in range(rng.integers(low, high))]
    if len(slabs) > 1 and rng.random() < (0.15, 0.15, 0.6, 0.6)[size]:
        deep = box(slabs[-1].name, rng.uniform(1500, 2900), rng.uniform(800, 1250), thickness)
        slabs[-1] = replace(deep, kind=PieceKind.ISLAND)
    tops = [piece for piece in slabs if piece.kind is PieceKind.TOP]
    slabs[0] = replace(slabs[0], cutouts=cutouts(rng))
    if size > 1 and rng.random() < 0.5:
        last = slabs.index(tops[-1]) if len(tops) > 1 else len(slabs) - 1
        hob = hole(CutoutKind.COOKTOP, 560, 490)
        slabs[last] = replace(slabs[last], cutouts=(*slabs[last].cutouts, hob))
    strips: list[Piece] = []
    if rng.random() < 0.55:
        upright = [piece for piece in tops if rng.random() < 0.8]
        strips = [
            replace(box(f"S{n}", piece.length_mm, 100, 20), kind=PieceKind.BACKSPLASH)
            for n, piece in enumerate(upright)
        ]
    run_mm = sum(piece.length_mm for piece in slabs)
    heaviest = max(map(mass, slabs))
    hands = 3 if heaviest > 95 or size == 3 else 2
    work = Work(
        pieces=(*slabs, *strips),
        seams=seams(rng, tops),
        supports=tuple(
            Support(piece=piece.name, kind=SupportKind.BRACKET)
            for piece in slabs
            if piece.kind is PieceKind.ISLAND and rng.random() < 0.5
            for _ in range(rng.integers(1, 4))
        ),
        route=route(rng),
        tear_out_mm=run_mm * rng.uniform(0.8, 1.1) if rng.random() < 0.3 else 0.0,
        cabinet_run_mm=run_mm * (1 if rng.random() < 0.8 else 0.4),
        temperature_deg_c=float(np.clip(rng.normal(20, 4), 8, 32)),
    )
    return work, 4 if size == 3 and rng.random() < 0.3 else hands


def box(name: str, length_mm: float, depth_mm: float, thickness_mm: float) -> Piece:
    outline = ((0, 0), (length_mm, 0), (length_mm, depth_mm), (0, depth_mm))
    return Piece(name=name, outline_mm=outline, thickness_mm=thickness_mm)


def slab(rng: np.random.Generator, number: int, thickness: float, *, is_bath: bool) -> Piece:
    length_mm = rng.uniform(700, 1500) if is_bath else rng.uniform(600, 3000)
    piece = box(f"P{number}", length_mm, 560 if is_bath else 648, thickness)
    return replace(piece, needs_field_cut=rng.random() < 0.18)


def hole(kind: CutoutKind, width_mm: float, height_mm: float) -> Cutout:
    on_site = kind is CutoutKind.TAP_HOLE
    return Cutout(
        kind=kind,
        x_mm=350,
        y_mm=300,
        width_mm=width_mm,
        height_mm=height_mm,
        is_made_on_site=on_site,
    )


def cutouts(rng: np.random.Generator) -> tuple[Cutout, ...]:
    if rng.random() > 0.9:
        return ()
    is_hung = rng.random() < 0.75
    kind = CutoutKind.UNDERMOUNT_SINK if is_hung else CutoutKind.DROP_IN_SINK
    taps = rng.integers(0, 4)
    return (hole(kind, 500, 400), *(hole(CutoutKind.TAP_HOLE, 35, 35) for _ in range(taps)))


def seams(rng: np.random.Generator, tops: Sequence[Piece]) -> tuple[Seam, ...]:
    return tuple(
        Seam(
            name=f"{first.name}-{second.name}",
            first=first.name,
            second=second.name,
            length_mm=rng.uniform(500, 700),
            method=SeamMethod.FLOW_GRADE if rng.random() < 0.4 else SeamMethod.KNIFE_GRADE,
        )
        for first, second in pairwise(tops)
        if rng.random() < 0.7
    )


def route(rng: np.random.Generator) -> tuple[RouteElement, ...]:
    has_lift = rng.random() < 0.12
    flights = 0 if has_lift else int(rng.choice((0, 0, 0, 1, 1, 2, 3)))
    return (
        RouteElement(kind=RouteKind.PATH, length_mm=float(rng.gamma(3, 8000)) + 1),
        *(RouteElement(kind=RouteKind.STAIRS, steps=14),) * flights,
        *(RouteElement(kind=RouteKind.TURN),) * int(rng.integers(0, 5)),
        *(RouteElement(kind=RouteKind.LIFT),) * has_lift,
    )
