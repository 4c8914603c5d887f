"""How much to allow, and what becomes of plans made so: ``python -m tests.bench.chances``.

An invented board of 60 visits and 15 crew-days, planned at the P50, at the share that is to bring
80 % of full days home in time, and at the P80; then each plan lived through a thousand times.
Planned against simulated: the share is found by simulating full days, held against other draws.
"""

from dataclasses import replace

from crewjobs.domain.scheduling import Problem, after_iterations, risk, solve, verify
from crewjobs.domain.scheduling.risk import Hours
from tests.bench.crew_boards import Size, crew_board

SIZE = Size(5, 3, 60)
WANTED_SHARE = 0.8
ITERATIONS = 60


def main() -> None:
    problem = with_hours(crew_board(SIZE, seed=1))
    days = full_days(problem)
    found = risk.planning_share(days, wanted_share=WANTED_SHARE, seed=1)
    print(f"{SIZE}, {ITERATIONS} iterations, {risk.DRAWS} draws\n")
    print(f"full days home in time: wanted {found.wanted_share:.1%}, planning share", end=" ")
    print(f"{found.share:.2f}, simulated {found.simulated_share:.1%}", end=", ")
    print(f"with every visit at its P80 {found.planned_at_p80_share:.1%}\n")
    print("share  placed  home in shift  within overtime  windows met  least sure window")
    for share in (0.0, found.share, 1.0):
        print(line(at_share(problem, share), share))


def with_hours(problem: Problem) -> Problem:
    """The board with a P80 a third above the P50 for all."""
    visits = (
        replace(each, p50_min=each.duration_min, p80_min=round(each.duration_min * 4 / 3))
        for each in problem.visits
    )
    return replace(problem, visits=tuple(visits))


def at_share(problem: Problem, share: float) -> Problem:
    """The board planned at a share of the way from P50 to P80."""
    visits = (
        replace(each, duration_min=round(each.p50_min + share * (each.p80_min - each.p50_min)))
        for each in problem.visits
    )
    return replace(problem, visits=tuple(visits))


def full_days(problem: Problem) -> list[list[Hours]]:
    """The visits of each crew-day of a plan made at the P50."""
    plan = solve(problem, seed=1, stop=after_iterations(ITERATIONS))
    hours = {v.id: Hours(p50_min=v.p50_min, p80_min=v.p80_min) for v in problem.visits}
    days = sorted({(stop.crew, stop.day) for stop in plan.placed})
    return [[hours[s.visit] for s in plan.placed if (s.crew, s.day) == day] for day in days]


def line(problem: Problem, share: float) -> str:
    """One plan and what becomes of it."""
    plan = solve(problem, seed=1, stop=after_iterations(ITERATIONS))
    if verify(problem, plan):
        raise SystemExit(f"share {share}: the judge rejects the plan")
    days = risk.chances(problem, plan, seed=2)
    stops = [stop.in_window_share for each in days for stop in each.stops]
    in_shift = sum(each.in_shift_share for each in days) / len(days)
    in_limit = sum(each.in_limit_share for each in days) / len(days)
    met = sum(stops) / len(stops)
    return (
        f"{share:5.2f}  {len(plan.placed):6}  {in_shift:13.1%}  {in_limit:15.1%}  {met:11.1%}"
        f"  {min(stops):17.1%}"
    )


if __name__ == "__main__":
    main()
