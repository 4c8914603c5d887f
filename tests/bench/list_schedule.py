"""Orders of work against the best known: ``python -m tests.bench.list_schedule``.

List scheduling alone (the goal: 6 % over the optimum on average on 30 tasks), then the search with
and without the exact solver. Needs the data that rcpsp.py describes.
"""

import time
from statistics import mean

from crewjobs.domain.hours import order_proof
from crewjobs.domain.hours.network import Network, Timeline, schedule
from crewjobs.domain.hours.order_search import Effort, shortest_found
from tests.bench import rcpsp

GOAL_SHARE = 0.06


def line(gaps: dict[str, float]) -> str:
    worst = max(gaps, key=gaps.__getitem__)
    reached = sum(gap < 1e-9 for gap in gaps.values())
    return (
        f"{len(gaps)} instances: {mean(gaps.values()):.2%} above the best known on average, "
        f"{reached} reach it ({reached / len(gaps):.0%}), at most {gaps[worst]:.1%} ({worst})"
    )


def main() -> None:
    if not rcpsp.folder().is_dir():
        raise SystemExit(f"there is no {rcpsp.folder()}; name the data's folder in {rcpsp.DATA}")
    for name in ("j30", "j60"):
        told(name, "list scheduling", schedule)
        told(name, "search alone", lambda net: shortest_found(net, effort=Effort(proof_s=0)))
        if order_proof.IS_INSTALLED:
            told(name, "search and solver", shortest_found)


def told(name: str, way: str, planned) -> None:
    """One way on one set, with the CPU seconds that it took at most."""
    took_s = []

    def timed(net: Network) -> Timeline:
        began_s = time.process_time()
        found: Timeline = planned(net)
        took_s.append(time.process_time() - began_s)
        return found

    said = line(rcpsp.gaps(name, timed))
    print(f"{name}, {way}: {said}; {mean(took_s):.2f} s on average, {max(took_s):.2f} s at most")


if __name__ == "__main__":
    main()
