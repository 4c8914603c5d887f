"""The crew board planned by PyVRP, told of it as our own long days tell it."""

from crewjobs.domain.scheduling import Problem, long_routes
from crewjobs.domain.scheduling.board import Board, Draft
from tests.bench.crew_words import cpu_clock


def draft(problem: Problem, *, seconds: float, seed: int) -> Draft:
    """What it finds within so many CPU seconds."""
    is_over = cpu_clock(seconds)
    found = long_routes.answer(Board(problem), seed=seed, stop=lambda _: is_over())
    return {k: tuple(order) for k, order in found.items()}
