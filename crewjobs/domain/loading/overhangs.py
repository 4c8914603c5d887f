"""What a stricter or a looser limit for overhang would cost in pieces lifted for nothing."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from crewjobs.domain.loading.frames import Frame, Item
from crewjobs.domain.loading.plans import LoadPlan, plan

OTHERS_MM = (900.0, 500.0, 300.0, 200.0)
"""To compare with; no source names any of them."""
ITERATIONS = 24_000
"""Of each search beyond 16 pieces."""


@dataclass(frozen=True, kw_only=True, slots=True)
class AtLimit:
    """What a load's plan comes to under one limit."""

    most_overhang_mm: float
    is_own: bool
    """It is the frame's own limit."""
    rehandles: int
    rehandle_kg: float
    is_feasible: bool

    @classmethod
    def of(cls, found: LoadPlan, most_overhang_mm: float, *, is_own: bool) -> "AtLimit":
        """The figures of a plan that was made under a limit."""
        return cls(
            most_overhang_mm=most_overhang_mm,
            is_own=is_own,
            rehandles=found.rehandles,
            rehandle_kg=found.rehandle_kg,
            is_feasible=found.is_feasible,
        )


def at_limits(items: Sequence[Item], frame: Frame, found: LoadPlan) -> tuple[AtLimit, ...]:
    """The plan that was found under the frame's own limit beside those under others."""
    return tuple(sorted(_at_limits(items, frame, found), key=lambda each: -each.most_overhang_mm))


def _at_limits(items: Sequence[Item], frame: Frame, found: LoadPlan) -> Iterator[AtLimit]:
    yield AtLimit.of(found, frame.most_overhang_mm, is_own=True)
    for most_mm in OTHERS_MM:
        if most_mm != frame.most_overhang_mm:
            other = plan(items, replace(frame, most_overhang_mm=most_mm), iterations=ITERATIONS)
            yield AtLimit.of(other, most_mm, is_own=False)
