import pytest

from crewjobs.domain.facts import Support, SupportKind, Team, VisitKind, Work
from crewjobs.domain.hours.network import Network
from crewjobs.domain.hours.steps import Visit
from crewjobs.domain.hours.working_plan import allowed_min, network
from tests import make


def plan(work: Work, hands: int = 3, **standard: float) -> Network:
    return network(Visit(work=work, team=Team(hands=hands)), standard)


def minutes(net: Network, name: str) -> dict[str, float]:
    (found,) = (task.minutes for task in net.tasks if task.name == name)
    return dict(found)


def predecessors(net: Network, name: str) -> set[str]:
    (found,) = (task.after for task in net.tasks if task.name == name)
    return {net.tasks[place].name for place in found}


def test_rest_and_delays_add_to_the_normal_time():
    assert allowed_min(40, allowance_share=0.15) == pytest.approx(46)


def test_adhesive_needs_no_rest():
    assert minutes(plan(make.work()), "seam A-B hardens") == {"cure": 12}


def test_stairs_lengthen_the_carrying_under_their_own_name():
    carried = minutes(plan(make.work()), "carry A")
    assert carried == pytest.approx({"carry": 1.15 * (3 + 19 / 36 + 19 / 66), "way_in": 1.15 * 2.2})


def test_a_missing_carrier_makes_carrying_slower():
    alone, together = (minutes(plan(make.work(), hands), "carry A") for hands in (2, 3))
    assert alone["carry"] == pytest.approx(1.35 * together["carry"])


def test_milestones_tie_elements_together():
    support = Support(piece="B", kind=SupportKind.RAIL)
    net = plan(make.work(supports=(support,), tear_out_mm=1_000))
    assert predecessors(net, "set B") == {
        "level the cabinets",
        "check the template",
        "take out the old tops",
        "carry B",
        "fit supports for B",
        "set A",
    }
    assert predecessors(net, "scrape seam A-B") == {"seam A-B hardens"}


def test_everything_comes_before_the_review():
    net = plan(make.work())
    others = {task.name for task in net.tasks} - {"silicone, clean, review"}
    assert predecessors(net, "silicone, clean, review") == others


def test_a_milestone_that_nobody_works_towards_holds_nobody_up():
    assert predecessors(plan(make.work()), "drawers out") == {"walk through, protect the floor"}


def test_a_shop_changes_one_standard_time_and_nothing_else():
    usual, changed = plan(make.work()), plan(make.work(), **{"cooktop.cooktop_min": 0.0})
    assert usual == changed
    slower = plan(make.work(), **{"level.run_m_min": 7.0})
    assert minutes(slower, "level the cabinets")["level"] == pytest.approx(1.15 * 7 * 4.5)
    assert minutes(slower, "carry A") == minutes(usual, "carry A")


@pytest.mark.parametrize("kind", VisitKind)
def test_every_kind_of_visit_has_work_even_without_pieces(kind):
    assert network(Visit(kind=kind), {}).tasks
