"""What it takes to ask about one visit of a draft: `python -m tests.bench.choices`.

10 crews over a week, with so many visits to plan. Its database is in memory; the milliseconds are
of the processor, for the whole request.
"""

# isort: off
from tests.bench import memory  # noqa: F401  sets up the database
# isort: on

import datetime as dt
import gc
import statistics
import time

from crewjobs.actions import plans
from crewjobs.domain.facts import Stage
from crewjobs.domain.scheduling import after_iterations
from crewjobs.models import Inspection, Piece, Plan, Role, Skill
from tests import rows
from tests.app.api.asking import api, at

CREWS = 10
SIZES = (40, 80, 160)
GOAL_MS = 200
TIMES = 9
FIRST_ON = dt.date(2026, 6, 2)


def staff() -> None:
    """Crews of three that may install."""
    rows.shop()
    skill = Skill.objects.create(created_at=rows.NOW, code="install", name="Installing")
    for number in range(CREWS):
        crew = rows.crew(f"Crew {number}")
        for hand in range(3):
            rows.person(Role.CREW_MEMBER, f"{crew.name} {hand}", crew=crew).skills.add(skill)


def fill(numbers: range) -> None:
    """Jobs that are ready, each with a visit, spread over a town."""
    for number in numbers:
        site = rows.site(lat=44.95 + (number % 13) * 0.01, lon=-91.85 - (number % 17) * 0.01)
        rows.visit(rows.job(str(2000 + number), stage=Stage.READY, site=site), hands=3)
    by = rows.dispatcher()
    Inspection.objects.bulk_create(
        Inspection(created_at=rows.NOW, piece=piece, by=by, passed=True)
        for piece in Piece.objects.filter(inspections=None)
    )


def drafted() -> Plan:
    """The week's plan."""
    last_on = FIRST_ON + dt.timedelta(days=6)
    return plans.draft(
        first_on=FIRST_ON, last_on=last_on, by=rows.dispatcher(), now=rows.NOW,
        stop=after_iterations(10),
    )  # fmt: skip


def main() -> None:
    staff()
    print(f"goal for all cells: {GOAL_MS} ms on an idle core")
    for before, count in zip((0, *SIZES), SIZES, strict=False):
        fill(range(before, count))
        plan = drafted()
        left_out = plan.unplaced.first()
        asked = left_out or plan.planned.first()
        assert asked is not None
        where = f"plans/{plan.pk}/visits/{asked.visit_id}/"
        print(f"{count} visits:", *(line(f"{where}{what}/") for what in ("cells", "remedies")))


def line(where: str) -> str:
    """The middle and the most of some requests, in a process that is warm."""
    client, works = api(rows.dispatcher()), []
    assert client.get(at(where)).status_code == 200
    gc.collect()
    gc.freeze()
    for _ in range(TIMES):
        began = time.process_time()
        client.get(at(where))
        works.append(1000 * (time.process_time() - began))
    return f"{where.split('/')[-2]} {statistics.median(works):.0f} ms, at most {max(works):.0f};"


if __name__ == "__main__":
    main()
