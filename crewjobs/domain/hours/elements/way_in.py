"""Stairs, turns and the lift on the way in."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE, Extra, Goal, Milestone, Minutes, Prior, Visit

SOURCE = "not measured; team-lifting guidance does not cover stairs: rest on each landing"
VISITS = ON_SITE
STANDARD = {
    "flight_min": Prior(value_min=2.2, note="a piece up or down one flight of stairs, and back"),
    "turn_min": Prior(value_min=0.6, note="a piece round one turn or landing"),
    "lift_min": Prior(value_min=4.0, note="a piece in the lift: call, load, ride, unload"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Extra]:
    """What the way adds to carrying each piece."""
    work = visit.work
    way_min = (
        minutes["flight_min"] * work.flights
        + minutes["turn_min"] * work.turns
        + minutes["lift_min"] * work.has_lift
    )
    for piece in visit.slabs if way_min else ():
        yield Extra(goal=Goal(Milestone.CARRIED, piece.name), normal_min=way_min)
