"""How fast drawings are made, in processor time: ``python -m tests.bench.drawings``.

A job of 12 pieces, each with a sink, joined in a row; a tight corner; a truck with all of them.
"""

import time
from collections.abc import Callable

from crewjobs.domain import access, drawings, loading
from crewjobs.domain.facts import RouteElement, RouteKind, Work
from tests import make
from tests.domain.drawings.lettered import PLAIN

ROUNDS = 20
PIECES = tuple(
    make.piece(f"P{n}", 1500 + 100 * n, 635, cutouts=(make.sink(700, 300),)) for n in range(12)
)
WORK = Work(
    pieces=PIECES,
    seams=tuple(make.seam(f"P{n}", f"P{n + 1}", length_mm=635) for n in range(11)),
)
CORNER = RouteElement(kind=RouteKind.TURN, width_mm=1067, depth_mm=914, height_mm=2438, turn_deg=90)
VERDICT = access.check(PIECES[-1], (CORNER,))
PLAN = loading.plan([loading.item_of(p, stop=1 + n // 4) for n, p in enumerate(PIECES)])
KNOWN = {piece.name: piece for piece in PIECES}


def main() -> None:
    for name, draw in {
        "12 pieces": lambda: [drawings.piece(each, PLAIN) for each in PIECES],
        "layout of 12 pieces": lambda: drawings.layout(WORK, PLAIN),
        "tightest place": lambda: drawings.tightest(PIECES[-1], (CORNER,), VERDICT, PLAIN),
        "load of 12 pieces": lambda: drawings.load(PLAN, loading.Frame(), PLAIN, KNOWN),
    }.items():
        print(f"{name}: {_ms(draw):.1f} ms")


def _ms(draw: Callable[[], object]) -> float:
    began = time.process_time()
    for _ in range(ROUNDS):
        draw()
    return (time.process_time() - began) / ROUNDS * 1000


if __name__ == "__main__":
    main()
