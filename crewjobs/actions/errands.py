"""What the shop itself does later, by name. Each says in a line what it did."""

from collections.abc import Callable, Mapping

from crewjobs.actions import learning

DO: Mapping[str, Callable[..., str]] = {
    learning.LEARN: learning.refit,
}
