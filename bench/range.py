"""The range of 500 lines: in closed form, and drawn in 10,000 trials with groups and common causes.

Floors: as many values multiplied and summed by the array library for the closed form; as many betas drawn one by one
from its own generator for the trials. Held are the ratios; milliseconds stand beside the targets.
"""

import numpy as np

from app.domain.costing.estimate import estimate
from app.domain.costing.pert import quantiles
from app.domain.costing.range import Inputs, distribution
from app.domain.costing.simulation import TRIALS, simulate
from bench import Result
from bench.estimate import basis, best, job

CURVES = (27, 12, 129)  # combinations of causes, groups, shares of cases


def bare_curves(like: np.ndarray) -> float:
    """Four powers of as many values, each summed."""
    return float(sum((like**power).sum() for power in range(1, 5)))


def bare_draws(lines: int) -> float:
    """As many betas as there are lines and trials, summed."""
    generator = np.random.default_rng(1)
    total = np.zeros(TRIALS)
    for _ in range(lines):
        total += generator.beta(2.2, 3.8, TRIALS)
    return float(total.mean())


def run() -> list[Result]:
    """Closed form and trials of one job."""
    worked = estimate(job(30), basis())
    inputs: Inputs = worked.inputs
    quantiles()
    like = np.linspace(0.0, 1.0, int(np.prod(CURVES))).reshape(CURVES)
    bare, closed = best(lambda: bare_curves(like), lambda: distribution(inputs).at(0.9))
    drawn, trials = best(lambda: bare_draws(len(inputs.inputs)), lambda: simulate(inputs), rounds=3)
    note = f"{len(inputs.inputs)} lines, {len(inputs.groups)} groups, {len(inputs.common)} common causes"
    return [
        Result(name="floor: powers of as many values", value=bare, unit="ms", note=note),
        Result(name="range in closed form", value=closed, unit="ms", note="target 1 ms"),
        Result(name="closed form over floor", value=closed / bare, unit="×", most=4.0),
        Result(name="floor: as many betas drawn", value=drawn, unit="ms"),
        Result(name="range drawn in 10,000 trials", value=trials, unit="ms", note="target 600 ms"),
        Result(name="trials over floor", value=trials / drawn, unit="×", most=1.0),
    ]
