"""Visits that go together: the parts of a long one, and the hands that a second crew lends.

A part is done by the same crew on the next day that it works; a crew that lends a hand is another
one and starts with the first. Such a group is placed whole or not at all. How its members are
timed is reckoned in ``evaluate``.
"""

from collections.abc import Iterator
from dataclasses import replace

from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.problem import Visit, Window


def in_parts(
    visit: Visit, most_min: int, *, windows: tuple[Window, ...] | None = None
) -> tuple[Visit, ...]:
    """The visit as parts of about the same length, none longer than `most_min`.

    The first part keeps the name, the load and the customer's windows; `windows` are those of the
    later ones.

    Examples
    --------
    >>> from crewjobs.domain.scheduling.travel import Place
    >>> long = Visit(id="v", place=Place(at_lat=0, at_lon=0), duration_min=1000)
    >>> [(part.id, part.duration_min, part.continues) for part in in_parts(long, 400)]
    [('v', 334, None), ('v#2', 333, 'v'), ('v#3', 333, 'v#2')]
    """
    count = max(1, -(-visit.duration_min // max(1, most_min)))
    lengths = [len(range(n, visit.duration_min, count)) for n in range(count)]
    first = replace(visit, duration_min=lengths[0])
    later = replace(
        visit, windows=windows, mass_kg=0.0, longest_piece_mm=0.0, load_thickness_mm=0.0,
        after=None, lock=None, promise=None,
    )  # fmt: skip
    names = [visit.id, *(f"{visit.id}#{n}" for n in range(2, count + 1))]
    return (
        first,
        *(
            replace(later, id=names[n], duration_min=lengths[n], continues=names[n - 1])
            for n in range(1, count)
        ),
    )


def is_linked(board: Board, visit: int) -> bool:
    """Whether the visit is placed with others or not at all."""
    return visit in board.groups


def placed_pairs(board: Board, draft: Draft) -> list[tuple[int, int]]:
    """Visits and those that lend them a hand, as far as both are in the draft."""
    if not board.assists:
        return []
    placed = {visit for order in draft.values() for visit in order}
    return [pair for pair in board.assists if placed.issuperset(pair)]


def torn(board: Board, draft: Draft) -> set[int]:
    """The placed visits of groups that are not whole, or not together as they must be."""
    on = {visit: k for k, order in draft.items() for visit in order} if board.groups else {}
    return {
        visit
        for group in set(board.groups.values())
        if not _is_together(board, on, group)
        for visit in group
        if visit in on
    }


def _is_together(board: Board, on: dict[int, int], group: tuple[int, ...]) -> bool:
    if not on.keys() & set(group):
        return True
    return on.keys() >= set(group) and all(_holds(board, on, visit) for visit in group)


def _holds(board: Board, on: dict[int, int], visit: int) -> bool:
    """Whether the visit's next part and its helpers are where they must be."""
    after, k = board.continued_by.get(visit), on[visit]
    if after is not None and board.next_day.get(k) != on[after]:
        return False
    helpers = [on[helper] for helped, helper in board.assists if helped == visit]
    crews = {board.crew_days[each].crew for each in (k, *helpers)}
    return len(crews) == len(helpers) + 1 and all(
        board.day[each] == board.day[k] for each in helpers
    )


def coupled(board: Board, draft: Draft, crew_day: int, visit: int) -> set[int]:
    """The crew-days whose times hang on one of them, were the visit on it."""
    pairs = placed_pairs(board, {**draft, -1: (visit,)})
    if not pairs:
        return {crew_day}
    on = {each: k for k, order in draft.items() for each in order} | {visit: crew_day}
    found, is_growing = {crew_day}, True
    while is_growing:
        more = {on[each] for pair in pairs if _touches(found, on, pair) for each in pair} - found
        found, is_growing = found | more, bool(more)
    return found


def _touches(crew_days: set[int], on: dict[int, int], pair: tuple[int, int]) -> bool:
    return any(on[visit] in crew_days for visit in pair)


def places(board: Board, group: tuple[int, ...], crew_day: int) -> Iterator[tuple[int, list[int]]]:
    """Each visit of a group, if its first is on this crew-day: where it can be, helpers last."""
    visit: int | None = next(i for i in group if _is_first(board, i))
    at: int | None = crew_day
    while visit is not None:
        options = [] if at is None else [at]
        yield visit, options
        for helped, helper in board.assists:
            if helped == visit:
                yield helper, [] if at is None else _same_day(board, at)
        visit = board.continued_by.get(visit)
        at = None if at is None else board.next_day.get(at)


def _is_first(board: Board, visit: int) -> bool:
    who = board.visits[visit]
    return who.continues is None and who.assists is None


def _same_day(board: Board, crew_day: int) -> list[int]:
    """The crew-days of other crews on the same day."""
    return [k for k, day in enumerate(board.day) if day == board.day[crew_day] and k != crew_day]
