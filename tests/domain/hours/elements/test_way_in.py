from crewjobs.domain.facts import RouteElement, RouteKind
from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans


def test_each_piece_pays_for_flights_turns_and_lift():
    kinds = (RouteKind.STAIRS, RouteKind.STAIRS, RouteKind.LANDING, RouteKind.TURN, RouteKind.LIFT)
    work = make.work(route=tuple(RouteElement(kind=kind) for kind in kinds))
    extras = items("way_in", work)
    assert spans(extras) == [2 * 2.2 + 2 * 0.6 + 4] * 2
    assert [extra.goal for extra in extras] == [Goal(Milestone.CARRIED, name) for name in "AB"]


def test_a_level_way_adds_nothing():
    assert items("way_in", make.work(route=())) == []
