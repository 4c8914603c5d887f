"""When a running visit will be over, as far as its reports tell.

What is done is done, adhesive goes on hardening from when it was reported, and the rest follows the
network of the work. Knows reports and the pace of the shop; refuses to know the clock.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import exp, log, sqrt
from statistics import NormalDist

from crewjobs.domain.facts import Report, ReportKind
from crewjobs.domain.hours import crew_plan, working_plan
from crewjobs.domain.hours.crew_plan import PlannedTask
from crewjobs.domain.hours.model import Model, Outlook
from crewjobs.domain.hours.network import Network, Task
from crewjobs.domain.hours.pace import TASK_LOG
from crewjobs.domain.hours.ready import Ready, on_chain, ready, rest
from crewjobs.domain.hours.steps import Goal, Milestone, Visit

MEANS: Mapping[ReportKind, tuple[Milestone, ...]] = {
    ReportKind.WALK_THROUGH_DONE: (Milestone.WALK_THROUGH,),
    ReportKind.PIECE_SET: (Milestone.SET, Milestone.STRIP_FIXED),
    ReportKind.SEAM_POURED: (Milestone.POURED, Milestone.BONDED),
    ReportKind.SEAM_HARD: (Milestone.HARD,),
    ReportKind.SINK_SET: (Milestone.SINK_HUNG, Milestone.SINK_IN),
}
"""The milestones that a report may speak of; the first that the visit has is meant."""

LAST = frozenset({ReportKind.SILICONE_DONE, ReportKind.CLEANED})
"""Reports after which only the last task goes on."""

OVER = frozenset({ReportKind.REVIEWED, ReportKind.LEFT})
ELSEWHERE = frozenset({ReportKind.ON_THE_WAY, ReportKind.PHOTO, ReportKind.PROBLEM})
"""Reports that say nothing of the work."""

REPORTED_MIN = 10.0
"""Not measured: how late or early a report is tapped."""

SHARES = (0.5, 0.8, 0.9)


@dataclass(frozen=True, kw_only=True, slots=True)
class LiveFinish:
    """When half, 80 and 90 % of such visits would be over, and what is left to do."""

    p50_at: datetime
    p80_at: datetime
    p90_at: datetime
    since_at: datetime
    """The last word of the work; the tasks left count from here."""
    left: tuple[PlannedTask, ...]


def finish(
    visit: Visit, *, reports: Sequence[Report], starts_at: datetime, now: datetime, model: Model
) -> LiveFinish:
    """The finish of a visit that starts, or started, at `starts_at`.

    Silence lengthens it: the rest is known to take longer than the time since the last report.

    References
    ----------
    The pace of the day: a normal mean with a normal prior, in logarithms. The rest: a log-normal
    distribution above what has passed already.
    """
    told = sorted((r for r in reports if r.kind not in ELSEWHERE), key=lambda r: r.happened_at)
    began_at = told[0].happened_at if told else starts_at
    since_at = told[-1].happened_at if told else starts_at
    whole = ready(visit, model.standard)
    done = _done(whole.network, working_plan.goals(visit, model.standard), told)
    if len(done) == len(whole.network.tasks):
        ended_at = max(done.values(), default=since_at)
        return LiveFinish(
            p50_at=ended_at, p80_at=ended_at, p90_at=ended_at, since_at=ended_at, left=()
        )
    left = rest(whole, _rest(whole.network, done, since_at, model.network.factors))
    outlook = _seen_today(model, whole, left, (since_at - began_at) / timedelta(minutes=1))
    silent_min = max(0.0, (now - since_at) / timedelta(minutes=1))
    p50_at, p80_at, p90_at = (
        since_at + timedelta(minutes=_beyond_min(outlook, silent_min, share)) for share in SHARES
    )
    return LiveFinish(
        p50_at=p50_at,
        p80_at=p80_at,
        p90_at=p90_at,
        since_at=since_at,
        left=crew_plan.tasks(left.network, outlook.line, exp(outlook.mean_log)),
    )


def _done(
    network: Network, goals: Sequence[Goal | None], told: Sequence[Report]
) -> dict[int, datetime]:
    """The tasks that are done, and since when; whatever they waited for is done too."""
    places: dict[Goal, list[int]] = {}
    for place, goal in enumerate(goals):
        if goal:
            places.setdefault(goal, []).append(place)
    done: dict[int, datetime] = {}
    for report in told:
        todo = _meant(report, places, network)
        while todo:
            place = todo.pop()
            if place not in done:
                done[place] = report.happened_at
                todo += network.tasks[place].after
    return done


def _meant(report: Report, places: Mapping[Goal, list[int]], network: Network) -> list[int]:
    """The tasks that a report says are done."""
    last = [place for place in range(len(network.tasks)) if not network.before[place]]
    if report.kind in OVER:
        return last
    if report.kind in LAST:
        return [earlier for place in last for earlier in network.tasks[place].after]
    for milestone in MEANS.get(report.kind, ()):
        if found := places.get(Goal(milestone, report.about)):
            return list(found)
    return []


def _rest(
    network: Network,
    done: Mapping[int, datetime],
    since_at: datetime,
    factors: Mapping[str, float],
) -> Network:
    """The tasks that are left; adhesive that was at work before is the nearer to its end."""
    left = [place for place in range(len(network.tasks)) if place not in done]
    number = {place: n for n, place in enumerate(left)}
    tasks = []
    for place in left:
        task = network.tasks[place]
        if not any(task.demand) and task.after and all(before in done for before in task.after):
            passed = since_at - max(done[before] for before in task.after)
            task = _shortened(task, passed / timedelta(minutes=1), factors)
        after = tuple(number[before] for before in task.after if before in number)
        tasks.append(replace(task, after=after))
    return Network(tasks=tuple(tasks), capacity=network.capacity)


def _shortened(task: Task, passed_min: float, factors: Mapping[str, float]) -> Task:
    whole_min = sum(minutes * factors.get(name, 1.0) for name, minutes in task.minutes.items())
    left_share = max(0.0, 1 - passed_min / whole_min) if whole_min else 0.0
    return replace(task, minutes={name: left_share * m for name, m in task.minutes.items()})


def _seen_today(model: Model, whole: Ready, left: Ready, passed_min: float) -> Outlook:
    """The outlook on the rest, at the pace of the day as far as it can be told from chance."""
    before, after = model.outlook(whole), model.outlook(left)
    expected_min = exp(before.mean_log) - exp(after.mean_log)
    if passed_min <= 0 or expected_min <= 0:
        return after
    chance = TASK_LOG**2 * _tasks_share(model, whole, before)
    shared = max(0.0, before.sd_log**2 - chance)
    noise = chance + (REPORTED_MIN / expected_min) ** 2
    trust_share = shared / (shared + noise) if shared else 0.0
    faster_log = log(max(passed_min, 1.0) / max(expected_min, 1.0))
    own = TASK_LOG**2 * _tasks_share(model, left, after)
    return Outlook(
        after.mean_log + trust_share * faster_log,
        sqrt(max(0.0, after.sd_log**2 - own) * (1 - trust_share) + own),
        after.line,
    )


def _tasks_share(model: Model, of: Ready, outlook: Outlook) -> float:
    return on_chain(of.network, outlook.line, model.network.factors).tasks_share


def _beyond_min(outlook: Outlook, silent_min: float, level_share: float) -> float:
    """The minutes that a share of the visits keep which have taken `silent_min` already."""
    spread = NormalDist(outlook.mean_log, max(outlook.sd_log, 1e-9))
    passed_share = spread.cdf(log(silent_min)) if silent_min > 0 else 0.0
    reached_share = passed_share + level_share * (1 - passed_share)
    if reached_share >= 1 - 1e-9:
        return silent_min
    return max(silent_min, exp(spread.inv_cdf(max(reached_share, 1e-9))))
