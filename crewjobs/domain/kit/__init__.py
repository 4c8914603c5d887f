"""The tools and materials of a visit: what to load, how much of it, and why.

``kit`` gives the lines, those of one group together; ``Outing`` is what they are counted from;
``of_day`` brings the kits of a day's visits together. Each amount follows from a rule that its line
names; where the rule is a guess the line says so.
"""

from crewjobs.domain.kit.days import of_day
from crewjobs.domain.kit.lines import GUESS, Group, Line, Unit
from crewjobs.domain.kit.outings import Outing
from crewjobs.domain.kit.things import kit

__all__ = ["GUESS", "Group", "Line", "Outing", "Unit", "kit", "of_day"]
