"""The checks: one file each, found by its name. A check speaks in findings and certifies nothing.

A rule file holds ``SOURCE``, what it guards (``GUARDS``, the stages that it must let pass; empty
when it only advises) and ``check(job)``, which yields findings. The file's name is the code, its
docstring the title. Rules do not know each other.
"""

import sys
from collections.abc import Iterator
from types import ModuleType

from crewjobs.domain import catalogue
from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity


def titles() -> dict[str, str]:
    """The title of every rule by its code."""
    return {name: (module.__doc__ or "").splitlines()[0] for name, module in _modules()}


def advise(job: Job) -> tuple[Finding, ...]:
    """What the advising rules and the guards of the job's next stage say, heaviest first."""
    ahead = job.record.stage.following
    asked = [m for _, m in _modules() if not m.GUARDS or ahead in m.GUARDS]
    found = [finding for module in asked for finding in module.check(job)]
    return tuple(sorted(found, key=lambda f: list(Severity).index(f.severity)))


def stopped(job: Job) -> tuple[Finding, ...]:
    """What the advising rules stop, whatever the stage: no visit goes out like this unasked."""
    asked = [module for _, module in _modules() if not module.GUARDS]
    found = (finding for module in asked for finding in module.check(job))
    return tuple(finding for finding in found if finding.severity is Severity.STOP)


def guard(job: Job, entering: Stage) -> tuple[Finding, ...]:
    """What the rules that guard a stage have to say against entering it."""
    guards = [module for _, module in _modules() if entering in module.GUARDS]
    return tuple(finding for module in guards for finding in module.check(job))


def _modules() -> Iterator[tuple[str, ModuleType]]:
    return catalogue.modules(sys.modules[__name__])
