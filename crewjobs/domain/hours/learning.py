"""What a shop's finished visits say of its pace.

Knows how a model is learned: a level, a factor for each element and each crew, trends, and steps of
the level with time, all shrunk towards the standard minutes. Refuses to know the clock, and drops
no record by itself: those that look wrong count less and are listed.
"""

from collections.abc import Collection, Mapping, Sequence
from math import exp, log
from typing import NamedTuple

import numpy as np

from crewjobs.domain.hours import conformal, robust, stack, standards
from crewjobs.domain.hours.design import (
    Clocked,
    Finished,
    Layout,
    Record,
    Sum,
    as_of_now,
    layout,
    linear,
)
from crewjobs.domain.hours.model import AIMS, Model, Suspect
from crewjobs.domain.hours.ready import Ready, ready
from crewjobs.domain.hours.robust import Array, Fit, Rows, Spreads
from crewjobs.domain.hours.steps import Visit

LINEARIZATIONS = 3
"""How often the records are made linear anew about what was found."""

SUSPICIOUS_SHARE = 0.5
"""A record more likely wrong than right is listed."""


class _Evidence(NamedTuple):
    """The records and single elements, their logarithms, and which of them are beyond doubt."""

    records: Sequence[Record]
    clocked: Sequence[Clocked]
    response: Array
    is_sound: np.typing.NDArray[np.bool_]


class _Learned(NamedTuple):
    """One way of adding up, fitted."""

    layout: Layout
    fit: Fit


def fit(
    finished: Sequence[Finished],
    *,
    standard: Mapping[str, float],
    carrier_kg: float,
    excluded: Collection[str] = (),
    before: Model | None = None,
) -> Model:
    """The model that a shop's finished visits lead to, in whatever order they are given.

    `before` is the model in use until now: how well it foretold the visits that have been finished
    since moves what the limits aim at.

    Raises
    ------
    ValueError
        If a standard time is unknown, two visits have one name, or a visit has no network.

    References
    ----------
    Hierarchical Bayes with empirical spreads (Gelman and others, Bayesian Data Analysis, 3rd ed.
    2013, chapters 5 and 15), Gauss-Newton about the posterior mean.
    """
    standards.check(standard)
    records = _records(finished, standard, carrier_kg, excluded)
    blank = Model(standard=dict(standard), carrier_kg=carrier_kg)
    if not records:
        return blank
    evidence = _evidence(records)
    shape = layout(records)
    network, additive = (
        _fitted(shape, evidence, way) for way in (Ready.side_by_side, Ready.added_up)
    )
    return _model(blank, evidence, (_Learned(shape, network), _Learned(shape, additive)), before)


def _records(
    finished: Sequence[Finished],
    standard: Mapping[str, float],
    carrier_kg: float,
    excluded: Collection[str],
) -> list[Record]:
    """The visits that count, in one order whatever order they came in."""
    kept = sorted(
        (each for each in finished if each.name not in excluded),
        key=lambda each: (each.finished_on, each.name),
    )
    if len({each.name for each in kept}) < len(kept):
        raise ValueError("two finished visits have the same name")
    records = []
    for each in kept:
        visit = Visit(kind=each.visit_kind, work=each.work, team=each.team, carrier_kg=carrier_kg)
        records.append(Record(each, ready(visit, standard)))
    return records


def _evidence(records: Sequence[Record]) -> _Evidence:
    clocked = [
        Clocked(record, element, actual_min, record.ready.element_min(element))
        for record in records
        for element, actual_min in sorted(record.finished.element_minutes.items())
        if record.ready.element_min(element) > 0
    ]
    minutes = [record.finished.actual_min for record in records]
    minutes += [single.actual_min for single in clocked]
    sound = [record.finished.is_confirmed for record in records]
    sound += [single.record.finished.is_confirmed for single in clocked]
    return _Evidence(records, clocked, np.log(minutes), np.array(sound))


def _fitted(shape: Layout, evidence: _Evidence, way: Sum) -> Fit:
    """The fit for one way of adding up, made linear a few times about what was found."""
    groups = shape.groups()
    spreads = Spreads(groups_log=tuple(group.prior_log for group in groups))
    mean, weights = np.zeros(len(shape.columns)), np.ones(len(evidence.response))
    for _ in range(LINEARIZATIONS):
        about = linear(shape, evidence.records, evidence.clocked, way, mean)
        response = evidence.response - about.expected_log + about.design @ mean
        rows = Rows(about.design, response, about.tasks_variance, evidence.is_sound)
        found = robust.fit(rows, groups=groups, start=spreads, weights=weights)
        mean, spreads, weights = found.solved.mean, found.spreads, found.weights
    return found


def _model(
    blank: Model, evidence: _Evidence, learned: tuple[_Learned, _Learned], before: Model | None
) -> Model:
    """Both ways weighed, with limits that held for the records themselves."""
    network, additive = (each.fit for each in learned)
    whole = slice(len(evidence.records))
    response, weights = (
        evidence.response[whole],
        np.minimum(network.weights, additive.weights)[whole],
    )
    first, second = (stack.left_out(each, evidence.response) for each in (network, additive))
    share = stack.first_share(
        stack.densities(first, evidence.response)[whole],
        stack.densities(second, evidence.response)[whole],
        weights,
    )
    left = stack.mixed(share, first, second)
    expected, variance = left.mean_log[whole], left.variance[whole]
    aims = _aims(evidence.records, before)
    residuals = (response - expected) / np.sqrt(variance)
    low, high = (conformal.limit_factor(aim, residuals, weights) for aim in aims)
    paces = [
        as_of_now(each.layout, each.fit.solved.mean, each.fit.solved.covariance, each.fit.spreads)
        for each in learned
    ]
    return Model(
        standard=blank.standard,
        carrier_kg=blank.carrier_kg,
        network=paces[0],
        additive=paces[1],
        network_share=share,
        limit_factors=(max(0.0, low), max(0.0, low, high)),
        aim_shares=aims,
        names=frozenset(record.finished.name for record in evidence.records),
        suspects=tuple(_suspects(evidence.records, weights, expected)),
    )


def _aims(records: Sequence[Record], before: Model | None) -> tuple[float, float]:
    """What to aim at, moved by each visit that the model before had to foretell."""
    if before is None:
        return AIMS
    aims = list(before.aim_shares)
    for record in records:
        if record.finished.name in before.names:
            continue
        outlook = before.outlook(record.ready)
        off_log = log(record.finished.actual_min) - outlook.mean_log
        if abs(off_log) > conformal.SKIP * outlook.sd_log:
            continue
        for place, factor in enumerate(before.limit_factors):
            is_kept = off_log <= factor * outlook.sd_log
            aims[place] = conformal.adapted_share(aims[place], AIMS[place], is_kept=is_kept)
    return aims[0], aims[1]


def _suspects(records: Sequence[Record], weights: Array, expected: Array) -> list[Suspect]:
    """The records that look wrong, the worst first."""
    found = [
        Suspect(
            name=record.finished.name,
            gross_share=float(1 - weight),
            actual_min=record.finished.actual_min,
            expected_min=exp(mean_log),
        )
        for record, weight, mean_log in zip(records, weights, expected, strict=True)
        if 1 - weight > SUSPICIOUS_SHARE
    ]
    return sorted(found, key=lambda suspect: (-suspect.gross_share, suspect.name))
