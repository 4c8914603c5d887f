"""A visit as its kit sees it: its stone, its way in, its team, and the tasks of its working plan.

Knows which tasks raise dust and for how long; refuses to know any single tool.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from crewjobs.domain import carrying
from crewjobs.domain.adhesives import Mixed, mixed
from crewjobs.domain.carrying import CarryIn
from crewjobs.domain.dust import DustyWork, Task
from crewjobs.domain.facts import Cutout, CutoutKind, Job, Piece, VisitKind, Work
from crewjobs.domain.hours import working_plan
from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Visit

DRILLED = frozenset({CutoutKind.TAP_HOLE, CutoutKind.ACCESSORY_HOLE})
"""Holes made with a core drill; other cutouts are sawn."""
CUTTING = frozenset({Milestone.CUT, Milestone.OPENED})
"""What a task that cuts stone on site reaches."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Doing:
    """One task of the working plan."""

    name: str
    minutes_min: float
    """By the standard minutes, rest and delays among them."""
    reaches: Goal | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Outing:
    """What the kit of one visit is counted from."""

    kind: VisitKind
    job: Job
    """With the stone of this visit alone, and the team that comes."""
    doings: tuple[Doing, ...]
    carry_in: CarryIn

    @classmethod
    def of(cls, job: Job, kind: VisitKind, standard: Mapping[str, float]) -> "Outing":
        """The outing of a visit; `standard` holds the minutes that the shop has changed."""
        visit = Visit(kind=kind, work=job.work, team=job.team, carrier_kg=job.carrier_kg)
        tasks = working_plan.network(visit, standard).tasks
        goals = working_plan.goals(visit, standard)
        return cls(
            kind=kind,
            job=job,
            doings=tuple(
                Doing(name=task.name, minutes_min=sum(task.minutes.values()), reaches=goal)
                for task, goal in zip(tasks, goals, strict=True)
            ),
            carry_in=carrying.carry_in(job),
        )

    @property
    def work(self) -> Work:
        """The stone and what the site asks for."""
        return self.job.work

    @property
    def cuts(self) -> tuple[Doing, ...]:
        """The tasks that cut or drill stone on site."""
        return tuple(each for each in self.doings if each.reaches and each.reaches[0] in CUTTING)

    @property
    def holes(self) -> tuple[Cutout, ...]:
        """The holes that are made on site."""
        found = (cutout for piece in self.work.pieces for cutout in piece.cutouts)
        return tuple(cutout for cutout in found if cutout.is_made_on_site)

    @property
    def sawn(self) -> tuple[Piece, ...]:
        """The pieces that a saw is needed for on site."""
        return tuple(piece for piece in self.work.pieces if _is_sawn(piece))

    @property
    def dusty(self) -> tuple[DustyWork, ...]:
        """The dusty tasks of the shift, indoors, where the rules ask for most."""
        found = []
        for doing in self.cuts:
            tools = self._tools(doing)
            found += [
                DustyWork(task=tool, minutes_min=doing.minutes_min / len(tools), is_outdoors=False)
                for tool in tools
            ]
        return tuple(found)

    @property
    def mixed(self) -> tuple[Mixed, ...]:
        """What is mixed for each seam."""
        return mixed(self.work, self.job.limits)

    def _tools(self, doing: Doing) -> list[Task]:
        """What a task is done with; its minutes are shared evenly among them."""
        assert doing.reaches is not None  # noqa: S101  it cuts
        if doing.reaches.milestone is Milestone.CUT:
            return [Task.WET_HANDHELD_SAW]
        (piece,) = (each for each in self.work.pieces if each.name == doing.reaches.about)
        drilled = {hole.kind in DRILLED for hole in piece.cutouts if hole.is_made_on_site}
        return [Task.WET_CORE_DRILL if each else Task.WET_HANDHELD_SAW for each in sorted(drilled)]

    @property
    def stone_is_set(self) -> bool:
        """Whether stone is carried in and set, as on all visits but those that measure."""
        return self.kind in ON_SITE and bool(self.work.pieces)


def _is_sawn(piece: Piece) -> bool:
    holes = (cutout for cutout in piece.cutouts if cutout.is_made_on_site)
    return piece.needs_field_cut or any(hole.kind not in DRILLED for hole in holes)


def names(pieces: Iterable[Piece]) -> str:
    """The names of some pieces, for a line's reason."""
    return ", ".join(piece.name for piece in pieces)
