"""What a shop's finished visits have taught, as one value that can be kept and read again.

Knows both ways of adding up a visit's minutes and how they are weighed, and the limits that 80 and
90 % keep; refuses to know how any of it was learned.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from math import exp, sqrt
from typing import NamedTuple, Self, TypedDict

import numpy as np

from crewjobs.domain import lifting
from crewjobs.domain.hours import conformal
from crewjobs.domain.hours.network import Timeline
from crewjobs.domain.hours.pace import Pace, unlearned_pace
from crewjobs.domain.hours.ready import Ready, on_chain

FORMAT = 1
"""Of the JSON; another one is refused."""

AIMS = (0.8, 0.9)
"""The shares of visits that the two limits are to hold for."""

UNCHANGED: Mapping[str, float] = {}
"""Every standard time as its element gives it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Suspect:
    """A record that looks wrong, for the office to confirm or to exclude."""

    name: str
    gross_share: float
    """The probability that the clock was wrong, not the estimate."""
    actual_min: float
    expected_min: float
    """What the other visits lead to expect."""


class Outlook(NamedTuple):
    """What a model says of one visit."""

    mean_log: float
    sd_log: float
    line: Timeline
    """By the network alone, as the visit may run."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Model:
    """The pace of a shop, with everything that an estimate needs beside the visit itself.

    Its standard minutes and its share of one carrier are those it was learned with: whoever changes
    them learns anew.
    """

    standard: Mapping[str, float] = field(default_factory=dict)
    carrier_kg: float = lifting.CARRIER_KG
    network: Pace = field(default_factory=unlearned_pace)
    """For minutes worked side by side."""
    additive: Pace = field(default_factory=unlearned_pace)
    """For minutes one after the other."""
    network_share: float = 1.0
    """How much the network counts against plain addition."""
    limit_factors: tuple[float, float] = field(default_factory=conformal.prior_factors)
    """How many standard deviations above the median the limits for 80 and 90 % lie."""
    aim_shares: tuple[float, float] = AIMS
    """What is aimed at so that 80 and 90 % are met of late."""
    names: frozenset[str] = frozenset()
    """The visits that it was learned from."""
    suspects: tuple[Suspect, ...] = ()

    def outlook(self, ready: Ready) -> Outlook:
        """The median and the spread of a visit's logarithm."""
        line = ready.timeline(self.network.factors)
        chain = self.network.view(ready, on_chain(ready.network, line, self.network.factors))
        if self.network_share == 1:
            return Outlook(chain.mean_log, chain.sd_log, line)
        plain = self.additive.view(ready, ready.added_up(self.additive.factors))
        share, rest = self.network_share, 1 - self.network_share
        return Outlook(
            share * chain.mean_log + rest * plain.mean_log,
            sqrt(share * chain.sd_log**2 + rest * plain.sd_log**2),
            line,
        )

    def limits_min(self, outlook: Outlook) -> tuple[float, float, float]:
        """The minutes that 50, 80 and 90 % of such visits keep."""
        p50, p80, p90 = (
            exp(outlook.mean_log + factor * outlook.sd_log) for factor in (0.0, *self.limit_factors)
        )
        return p50, p80, p90

    def to_json(self) -> str:
        """The model as text; ``from_json`` gives back one that estimates the very same."""
        held = {
            "format": FORMAT,
            "standard": dict(self.standard),
            "carrier_kg": self.carrier_kg,
            "network": _plain(self.network),
            "additive": _plain(self.additive),
            "network_share": self.network_share,
            "limit_factors": self.limit_factors,
            "aim_shares": self.aim_shares,
            "names": sorted(self.names),
            "suspects": [asdict(suspect) for suspect in self.suspects],
        }
        return json.dumps(held)

    @classmethod
    def from_json(cls, text: str) -> Self:
        """The model that was written down.

        Raises
        ------
        ValueError
            If the text has another format.
        """
        held = json.loads(text)
        if held.pop("format", None) != FORMAT:
            raise ValueError(f"the model is not of format {FORMAT}")
        return cls(
            **held
            | {
                "network": _pace(held["network"]),
                "additive": _pace(held["additive"]),
                "limit_factors": tuple(held["limit_factors"]),
                "aim_shares": tuple(held["aim_shares"]),
                "names": frozenset(held["names"]),
                "suspects": tuple(Suspect(**suspect) for suspect in held["suspects"]),
            }
        )


class _Held(TypedDict):
    """A pace as lists and numbers; of its covariance the lower half."""

    columns: list[str]
    mean: list[float]
    covariance: list[float]
    job_log: float
    crew_log: float
    step_log: float


def _plain(pace: Pace) -> _Held:
    lower = np.tril_indices(len(pace.columns))
    return {
        "columns": list(pace.columns),
        "mean": pace.mean.tolist(),
        "covariance": pace.covariance[lower].tolist(),
        "job_log": pace.job_log,
        "crew_log": pace.crew_log,
        "step_log": pace.step_log,
    }


def _pace(held: _Held) -> Pace:
    size = len(held["columns"])
    covariance = np.zeros((size, size))
    covariance[np.tril_indices(size)] = held["covariance"]
    covariance += np.tril(covariance, -1).T
    return Pace(
        columns=tuple(held["columns"]),
        mean=np.array(held["mean"]),
        covariance=covariance,
        job_log=held["job_log"],
        crew_log=held["crew_log"],
        step_log=held["step_log"],
    )
