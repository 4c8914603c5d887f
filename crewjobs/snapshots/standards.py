"""The standard minutes of a shop: what counts now, and who changed what when. Reads only."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from crewjobs.domain import hours
from crewjobs.models import AuditEntry, Shop


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One change of a standard time."""

    at: datetime
    by: str
    before_min: float
    after_min: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Standard:
    """A standard time as it counts in this shop."""

    time: hours.StandardTime
    value_min: float
    history: tuple[Change, ...]
    """The newest first."""

    @property
    def is_own(self) -> bool:
        """Whether the shop has put another value for the prior one."""
        return self.value_min != self.time.value_min


def standards(of: Shop) -> tuple[Standard, ...]:
    """Every standard time, in the order of the elements."""
    own: Mapping[str, float] = of.standard_minutes
    changes = _changes()
    return tuple(
        Standard(
            time=time,
            value_min=own.get(time.name, time.value_min),
            history=tuple(changes.get(time.name, ())),
        )
        for time in hours.standard_minutes()
    )


def _changes() -> Mapping[str, Sequence[Change]]:
    """What the log says of each standard time, the newest first."""
    found: dict[str, list[Change]] = defaultdict(list)
    entries = AuditEntry.objects.filter(verb="shop.change", detail__has_key="minutes")
    for entry in entries.select_related("by"):
        for name, (before_min, after_min) in entry.detail["minutes"].items():
            by = entry.by.name if entry.by else ""
            found[name].append(
                Change(at=entry.at, by=by, before_min=before_min, after_min=after_min)
            )
    return found
