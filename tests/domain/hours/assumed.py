"""A model of which the coefficients are given, not learned."""

from dataclasses import replace

import numpy as np

from crewjobs.domain.hours import Model
from crewjobs.domain.hours.pace import unlearned_pace


def assumed(network_share: float = 1.0, **logs: float) -> Model:
    """As before any visit, but with these coefficients by the names of their columns."""
    pace = unlearned_pace()
    new = tuple(name for name in logs if name not in pace.columns)
    size = len(pace.columns)
    covariance = np.zeros((size + len(new), size + len(new)))
    covariance[:size, :size] = pace.covariance
    columns = (*pace.columns, *new)
    mean = np.array([logs.get(name, 0.0) for name in columns])
    pace = replace(pace, columns=columns, mean=mean, covariance=covariance)
    return Model(network=pace, additive=pace, network_share=network_share)
