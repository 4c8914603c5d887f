"""What the shop itself does later, by name. Each says in a line what it did."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from crewjobs.actions import large_plans, learning, searching


@dataclass(frozen=True, kw_only=True, slots=True)
class Errand:
    """Something that is done later, in one step or two."""

    act: Callable[..., str]
    """Done in the transaction that notes it: given `now`, and `found` where it was computed."""
    compute: Callable[[Mapping[str, Any]], object] | None = None
    """Before that and outside of any transaction, from the payload: what takes its time."""


DO: Mapping[str, Errand] = {
    large_plans.PLAN_PART: Errand(act=large_plans.note, compute=large_plans.compute),
    searching.SEARCH: Errand(act=searching.note, compute=searching.compute),
    learning.LEARN: Errand(act=learning.refit),
}
