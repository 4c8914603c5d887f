"""Why an action did not happen.

ActionError
  RefusedError      a rule says stop; carries every finding, all at once
  InvalidError      what was given cannot be; carries a message for each field
  ConflictError     somebody else was faster, or the thing is no longer in that state
  NotAllowedError   this person may not
"""

from collections.abc import Iterable, Mapping

from crewjobs.domain.findings import Finding


class ActionError(Exception):
    """The action did not happen, and nothing was written."""


class RefusedError(ActionError):
    """Rules say stop: the findings say which."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("; ".join(finding.message for finding in self.findings))


class InvalidError(ActionError):
    """What was given cannot be. Keys are JSON pointers such as `/pieces/0/name`."""

    def __init__(self, problems: Mapping[str, str]) -> None:
        self.problems = dict(problems)
        super().__init__("; ".join(f"{where}: {what}" for where, what in self.problems.items()))


class ConflictError(ActionError):
    """The thing is no longer as the caller thought."""


class NotAllowedError(ActionError):
    """The person may not do that."""

    def __init__(self, verb: str) -> None:
        self.verb = verb
        super().__init__(f"you may not {verb.replace('.', ' ')}")
