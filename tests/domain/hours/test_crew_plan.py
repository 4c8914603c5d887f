"""Who does what when: nobody twice at once, and everybody who is needed."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.facts import Team, VisitKind
from crewjobs.domain.hours import estimate
from crewjobs.domain.hours.crew_plan import meanwhile
from tests import make
from tests.domain.hours.random_work import random_team, random_work

WORKS = st.randoms(use_true_random=False).map(lambda rng: (random_work(rng), random_team(rng)))


@given(WORKS)
@settings(max_examples=60, deadline=None)
def test_nobody_does_two_things_at_once(visit):
    work, team = visit
    tasks = estimate(VisitKind.INSTALL, work, team).tasks
    assert all(len(task.people) == task.hands for task in tasks)
    assert all(set(task.people) <= set(range(1, team.hands + 1)) for task in tasks)
    for one, other in combinations(tasks, 2):
        if one.start_min < other.end_min - 1e-6 and other.start_min < one.end_min - 1e-6:
            assert not set(one.people) & set(other.people)


def test_the_wait_for_adhesive_is_used():
    tasks = estimate(VisitKind.INSTALL, make.work(), Team(hands=2)).tasks
    assert meanwhile(tasks)["seam A-B hardens"] == ("drawers back", "undermount sink in A")
