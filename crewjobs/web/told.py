"""What the parts of a visit's sheet are made of."""

from dataclasses import dataclass

from crewjobs.actions.hours import WorkingPlan
from crewjobs.domain.facts import Job
from crewjobs.domain.findings import Finding
from crewjobs.domain.kit import Line, Outing
from crewjobs.domain.sheets import Block
from crewjobs.models import Shop
from crewjobs.web.wording import extent


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """What the parts are made of."""

    shop: Shop
    job: Job
    """With the stone of this visit alone, and the team that comes."""
    outing: Outing
    plan: WorkingPlan
    findings: tuple[Finding, ...]
    lines: tuple[Line, ...]
    """The kit."""
    off: tuple[Block, ...] = ()
    """What comes off the truck."""

    def long(self, value_mm: float | None) -> str:
        """A length in the shop's units."""
        return extent(value_mm, self.shop)
