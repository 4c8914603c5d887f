"""Which rules a way of loading breaks: each with its figure and its limit."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.loading.frames import Frame, Item
from crewjobs.domain.loading.stacks import BACKED_SHARE, Stack, Stacks

CODE = "load_plan"
SOURCE = "the truck's own figures and the shop's limits for loading; common practice, not measured"
EPSILON = 1e-6


def broken(stacks: Stacks, left: Stack, right: Stack) -> Iterator[Finding]:
    """What is wrong with two stacks; nothing where they break no rule that is known here."""
    yield from of_pieces(stacks)
    yield from _of_sides(stacks, left, right)
    yield from _of_balance(stacks, left, right)


def of_all(items: Sequence[Item], frame: Frame) -> Iterator[Finding]:
    """What is wrong with everything on the truck together."""
    yield from _above("the load", sum(i.mass_kg for i in items), frame.payload_kg, "kg")


def no_truck(mass_kg: float) -> Finding:
    """That there is stone to bring and no truck to bring it."""
    return replace(
        _stop("", mass_kg, 0.0, "kg"), message=f"there is no truck for {mass_kg:.0f} kg of stone"
    )


def apart_kg(stacks: Stacks, left: Stack, right: Stack) -> tuple[float, ...]:
    """Left less right, on departure and after each stop."""
    return tuple(
        float(sum(on_board[list(left)]) - sum(on_board[list(right)]))
        for on_board in stacks.on_board
    )


def of_pieces(stacks: Stacks) -> Iterator[Finding]:
    """What is wrong with single pieces, wherever they stand."""
    frame = stacks.frame
    for item in stacks.items:
        name = item.name
        yield from _above(f"{name} is long", item.length_mm, frame.length_mm, "mm", name)
        yield from _above(f"{name} is high", item.height_mm, frame.height_mm, "mm", name)


def _of_sides(stacks: Stacks, left: Stack, right: Stack) -> Iterator[Finding]:
    frame = stacks.frame
    for name, side in (("left", left), ("right", right)):
        thick = sum(stacks.thick[item] for item in side)
        heavy = sum(stacks.mass[item] for item in side)
        yield from _above(f"the {name} stack is thick", thick, frame.depth_mm, "mm")
        yield from _above(f"the {name} side bears", heavy, frame.side_kg, "kg")
        for behind, item in zip([len(stacks.items), *side], side, strict=False):
            over, piece = float(stacks.over[item, behind]), stacks.items[item].name
            yield from _above(f"{piece} overhangs", over, frame.most_overhang_mm, "mm", piece)
            if not stacks.backed[item, behind]:
                yield _unbacked(stacks.items[item], stacks.items[behind])


def _of_balance(stacks: Stacks, left: Stack, right: Stack) -> Iterator[Finding]:
    """On departure, and after each stop by its own number; after the last one nothing is left."""
    before = [0, *stacks.stops]
    for after, difference in zip(before, apart_kg(stacks, left, right), strict=False):
        when = f"after stop {after}" if after else "on departure"
        said = f"the sides differ {when} by"
        yield from _above(said, abs(difference), stacks.frame.most_imbalance_kg, "kg")


def _unbacked(item: Item, behind: Item) -> Finding:
    least_mm = BACKED_SHARE * item.height_mm
    return Finding(
        code=CODE,
        severity=Severity.STOP,
        message=f"{item.name} leans on {behind.name}, which is high {behind.height_mm:.0f} mm, "
        f"the least is {least_mm:.0f}",
        about=item.name,
        source="statics: what is held below its centre of gravity slides out at its foot",
        value=behind.height_mm,
        limit=least_mm,
        unit="mm",
    )


def _above(said: str, value: float, limit: float, unit: str, about: str = "") -> Iterator[Finding]:
    if value > limit + EPSILON:
        yield _stop(said, value, limit, unit, about)


def _stop(said: str, value: float, limit: float, unit: str, about: str = "") -> Finding:
    return Finding(
        code=CODE,
        severity=Severity.STOP,
        message=f"{said} {value:.0f} {unit}, the most is {limit:.0f}",
        about=about,
        source=SOURCE,
        value=value,
        limit=limit,
        unit=unit,
    )
