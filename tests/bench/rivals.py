"""Simpler ways to foretell the hours of a visit, to be beaten.

Each takes finished jobs, the minutes that the clock told, and jobs to come, and gives three rows:
the minutes that 50, 80 and 90 % are to keep.
"""

import importlib
import importlib.util
import math
import sys
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from crewjobs.domain.facts import CutoutKind, PieceKind, SeamMethod, VisitKind
from crewjobs.domain.hours import estimate
from crewjobs.domain.hours.conformal import student_factor
from tests.bench.shops import CREWS, Job, mass

SHARES = (0.5, 0.8, 0.9)
Rows = np.ndarray[Any, Any]
Rival = Callable[[Sequence[Job], Rows, Sequence[Job]], Rows]


def area_m2(job: Job) -> float:
    return sum(p.length_mm * p.depth_mm for p in job.work.pieces) / 1e6


def square_foot(done: Sequence[Job], told: Rows, to_come: Sequence[Job]) -> Rows:
    """One rate for all stone; limits from how far off it was."""
    areas = np.array([area_m2(job) for job in done])
    rate = told.sum() / areas.sum()
    ratios = np.quantile(told / (rate * areas), SHARES[1:])
    plain = rate * np.array([area_m2(job) for job in to_come])
    return np.array([plain, *(plain * ratio for ratio in ratios)])


def linear(done: Sequence[Job], told: Rows, to_come: Sequence[Job]) -> Rows:
    """Least squares of minutes on what is counted and measured, with its own t limits."""
    seen = np.array([features(job) for job in done])
    used = seen.std(0) > 1e-9
    centre, scale = seen[:, used].mean(0), seen[:, used].std(0)
    a, b = (
        np.column_stack([np.ones(len(x)), (x[:, used] - centre) / scale])
        for x in (seen, np.array([features(job) for job in to_come]))
    )
    inverse = np.linalg.pinv(a.T @ a)
    slopes = np.linalg.lstsq(a, told, rcond=None)[0]
    freedom = max(5, len(a) - a.shape[1])
    spread = math.sqrt(((told - a @ slopes) ** 2).sum() / freedom)
    wide = spread * np.sqrt(1 + np.einsum("ij,jk,ik->i", b, inverse, b))
    return np.maximum(15, [b @ slopes + student_factor(s, freedom) * wide for s in SHARES])


def conformal_ridge(done: Sequence[Job], told: Rows, to_come: Sequence[Job]) -> Rows:
    """Ridge regression of the logarithm on our own standard hours, limits by CV+ in 20 folds."""
    (a, base_a), (b, base_b) = standard(done), standard(to_come)
    target = np.log(told) - base_a
    folds = np.arange(len(a)) % min(20, len(a))
    above = []
    for fold in range(folds.max() + 1):
        kept, left = folds != fold, folds == fold
        residual = target[left] - ridge(a[kept], target[kept], a[left])
        above.append(ridge(a[kept], target[kept], b)[:, None] + residual[None, :])
    limits = np.sort(np.hstack(above), axis=1)
    places = [min(len(a) - 1, math.ceil(s * (len(a) + 1)) - 1) for s in SHARES[1:]]
    middle = ridge(a, target, b)
    found: Rows = np.exp(base_b + np.array([middle, *(limits[:, place] for place in places)]))
    return found


def ridge(a: Rows, target: Rows, b: Rows, penalty: float = 1.0) -> Rows:
    centre = a.mean(0)
    gram = (a - centre).T @ (a - centre) + penalty * np.eye(a.shape[1])
    slopes = np.linalg.solve(gram, (a - centre).T @ (target - target.mean()))
    found: Rows = target.mean() + (b - centre) @ slopes
    return found


def boosting(done: Sequence[Job], told: Rows, to_come: Sequence[Job]) -> Rows:
    """Gradient-boosted quantiles of minutes on what is counted and measured (scikit-learn)."""
    regressor = importlib.import_module("sklearn.ensemble").GradientBoostingRegressor
    a, b = (np.array([features(job) for job in jobs]) for jobs in (done, to_come))
    options = {"n_estimators": 150, "max_depth": 3, "learning_rate": 0.06, "subsample": 0.8}
    leaf = max(3, min(15, len(a) // 12))
    return np.array(
        [
            regressor(
                loss="quantile", alpha=share, min_samples_leaf=leaf, random_state=0, **options
            )
            .fit(a, told)
            .predict(b)
            for share in SHARES
        ]
    )


def features(job: Job) -> list[float]:
    """What a clerk could count without knowing the trade."""
    work = job.work
    slabs = [piece for piece in work.pieces if piece.kind is not PieceKind.BACKSPLASH]
    holes = [cutout.kind for piece in work.pieces for cutout in piece.cutouts]
    return [
        area_m2(job),
        len(slabs),
        len(work.pieces) - len(slabs),
        sum(piece.length_mm for piece in slabs),
        max(map(mass, slabs)),
        len(work.seams),
        sum(seam.method is SeamMethod.FLOW_GRADE for seam in work.seams),
        *(holes.count(kind) for kind in list(CutoutKind)[:4]),
        sum(piece.needs_field_cut for piece in slabs),
        len(work.supports),
        work.tear_out_mm,
        work.cabinet_run_mm,
        *(len(slabs) * way for way in (work.flights, work.walk_mm, work.turns, work.has_lift)),
        job.team.hands,
        work.temperature_deg_c,
        *(job.team.name == crew for crew in CREWS[1:]),
    ]


def standard(jobs: Sequence[Job]) -> tuple[Rows, Rows]:
    """The share of each element in our standard hours with the crew, and those hours' logarithm."""
    rows, base = [], []
    for job in jobs:
        hours = estimate(VisitKind.INSTALL, job.work, job.team)
        shares = {line.element: line.value_min / hours.p50_min for line in hours.lines}
        rows.append([*(shares.get(name, 0.0) for name in SHOWN)])
        rows[-1] += [float(job.team.name == crew) for crew in CREWS[1:]]
        base.append(math.log(hours.p50_min))
    return np.array(rows), np.array(base)


SHOWN = (
    "arrive", "backsplash", "carry", "cooktop", "cure", "field_cut", "finish", "level", "place",
    "seam", "sink", "site_holes", "supports", "tear_out", "way_in",
)  # fmt: skip

RIVALS: dict[str, Rival] = {
    "hours per square foot": square_foot,
    "linear regression": linear,
    "conformal ridge": conformal_ridge,
}
if importlib.util.find_spec("sklearn"):
    RIVALS["gradient boosting"] = boosting
else:
    print("!! SKIPPED: gradient boosting, for scikit-learn is not installed !!", file=sys.stderr)
