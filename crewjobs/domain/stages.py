"""How a job goes from stage to stage: one step at a time, past every guard of that step.

Some stages are somebody's act (in fabrication, ready, signed off). The others follow from what
was reported or published; they wait for the acts before them.
"""

from collections.abc import Iterable
from dataclasses import replace

from crewjobs.domain import rules
from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

DERIVED = frozenset({Stage.TEMPLATED, Stage.PLANNED, Stage.ON_SITE, Stage.INSTALLED})
"""Stages that follow from reports and published visits."""

REPORTED = DERIVED - {Stage.PLANNED}
"""Those of them that reports alone speak for."""

SOURCE = "the shop's own order of work"


def advance(job: Job, entering: Stage) -> tuple[Finding, ...]:
    """Everything there is to say about entering a stage; a stop among it means no.

    Examples
    --------
    >>> [finding.message for finding in advance(Job(), Stage.IN_FABRICATION)]
    ... # doctest: +NORMALIZE_WHITESPACE
    ['the job is booked: templated comes before in fabrication',
     'the job has 0 pieces, the least is 1',
     'the site is not templated: no template visit is done, and no sizes came in']
    """
    return (*_order(job.record.stage, entering), *rules.guard(job, entering))


def stops(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Those of the findings that refuse."""
    return tuple(finding for finding in findings if finding.severity is Severity.STOP)


def follow(job: Job, reached: Stage) -> tuple[Stage, tuple[Finding, ...]]:
    """How far towards a reached stage the job may go by itself, and what stops it there.

    A job that is already as far, or farther, stays where it is.
    """
    stage = job.record.stage
    while (step := stage.following) and stage.rank < reached.rank:
        here = replace(job, record=replace(job.record, stage=stage))
        refused = (*_acts(stage, step), *stops(rules.guard(here, step)))
        if refused:
            return stage, refused
        stage = step
    return stage, ()


def back(before: Job, after: Job, reached: Stage) -> Stage:
    """Where a job stands once a report is withdrawn: not beyond what the others speak for.

    What somebody said or signed stays; so does what the withdrawn report made no difference to.
    """
    stage, order = after.record.stage, list(Stage)
    while stage in REPORTED and _is_lost(stage, before, after, reached):
        stage = order[stage.rank - 1]
    return stage


def _is_lost(stage: Stage, before: Job, after: Job, reached: Stage) -> bool:
    refused_before = {finding.code for finding in stops(rules.guard(before, stage))}
    refused = {finding.code for finding in stops(rules.guard(after, stage))}
    is_of_install = stage.rank > Stage.PLANNED.rank
    return bool(refused - refused_before) or (is_of_install and reached.rank < stage.rank)


def _order(stage: Stage, entering: Stage) -> tuple[Finding, ...]:
    if entering is stage:
        return (_out_of_order(f"the job is {stage} already"),)
    if entering.rank < stage.rank:
        return (_out_of_order(f"the job is {stage}: it does not go back to {entering}"),)
    if entering is not stage.following:
        return (_out_of_order(f"the job is {stage}: {stage.following} comes before {entering}"),)
    return ()


def _acts(stage: Stage, step: Stage) -> tuple[Finding, ...]:
    if step in DERIVED:
        return ()
    return (_out_of_order(f"the job is {stage}: nobody has said that it is {step}"),)


def _out_of_order(message: str) -> Finding:
    return Finding(code="stage_order", severity=Severity.STOP, message=message, source=SOURCE)
