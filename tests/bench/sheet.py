"""How long a visit's sheet takes as PDF: `python -m tests.bench.sheet`. Database in memory."""

# isort: off
from tests.bench import memory  # noqa: F401  sets up the database
# isort: on

from django.test import Client

from crewjobs.domain import rails
from crewjobs.domain.facts import RouteKind
from tests import rows
from tests.bench.feed import timed

GOAL_S = 0.3
PIECES = 12


def fill() -> str:
    """The address of a visit with twelve pieces, seams between them, cutouts and a way in."""
    rows.shop()
    job = rows.job()
    tops = list(job.pieces.order_by("position"))
    for number in range(len(tops), PIECES):
        top = rows.piece(job, f"P{number}", 1200 + 100 * number, position=number)
        top.cutouts.create(
            created_at=rows.NOW, kind="cooktop", x_mm=600, y_mm=325, width_mm=560, height_mm=490
        )
        job.seams.create(
            created_at=rows.NOW, name=f"S{number}", first=tops[-1], second=top, length_mm=650
        )
        tops.append(top)
    for place, kind in enumerate((RouteKind.DOOR, RouteKind.TURN, RouteKind.LANDING), start=1):
        job.route.create(
            created_at=rows.NOW, position=place, kind=kind, width_mm=1000, depth_mm=1000,
            height_mm=2400, turn_deg=90 if kind is not RouteKind.DOOR else None, pitch_deg=None,
        )  # fmt: skip
    visit = rows.visit(job)
    rows.placement(visit)
    return f"/visits/{visit.pk}/sheet"


def ask(client: Client, address: str) -> None:
    """Read it as if nobody had read it before."""
    rails.grip_mm.cache_clear()
    assert client.get(address).status_code == 200


def main() -> None:
    where, client = fill(), Client()
    client.force_login(rows.dispatcher())
    for name in (".pdf", "/"):
        client.get(where + name)
        wall_s, work_s = timed(lambda name=name: ask(client, where + name), 9)
        size = len(client.get(where + name).content)
        print(
            f"sheet{name} of {PIECES} pieces, {size / 1000:.0f} kB: {wall_s:.3f} s, of it the "
            f"processor {work_s:.3f} s; goal {GOAL_S} s on an idle core"
        )


if __name__ == "__main__":
    main()
