"""Beta-PERT values by their quantiles: one table for all of them, read by where the likely lies between low and high.

With the weight 4 both shapes add up to 6 (α = 1 + 4t, β = 5 − 4t for a likely at t between 0 and 1), so two numbers
name a quantile: t and a share of cases. The table holds them at nodes that lie close at both ends, where they are
steep; its figures are rounded, so that every machine reads the same ones.

Source: Malcolm, Roseboom, Clark and Fazar, Operations Research 7 (1959): mean (a + 4m + b)/6; from memory. Golub and
Welsch, Mathematics of Computation 23 (1969): Gauss nodes from a recurrence; from memory.
"""

from functools import lru_cache

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
SHAPE = 4.0  # weight of the likely value
MODES = 65  # places of the likely value in the table
NODES = 129  # shares of cases in the table
FINE = 2_049  # points its distributions are added up at
DIGITS = 9


@lru_cache(maxsize=1)
def shares_of_cases() -> Floats:
    """The shares of cases [0 to 1] that the table stands at."""
    nodes: Floats = np.round((1 - np.cos(np.linspace(0.0, np.pi, NODES))) / 2, DIGITS)
    return nodes


@lru_cache(maxsize=1)
def weights() -> Floats:
    """How much of all cases each node of the table stands for; they add up to 1."""
    gaps = np.diff(shares_of_cases())
    return np.concatenate((gaps, [0.0])) / 2 + np.concatenate(([0.0], gaps)) / 2


@lru_cache(maxsize=1)
def quantiles() -> Floats:
    """Quantiles on 0 to 1: a row for each place of the likely value, a column for each share of cases."""
    points = (1 - np.cos(np.linspace(0.0, np.pi, FINE, dtype=np.float64))) / 2
    rows = [_row(points, at / (MODES - 1)) for at in range(MODES)]
    return np.array(rows, dtype=np.float64).round(DIGITS)


def _row(points: Floats, likely: float) -> Floats:
    density = points ** (SHAPE * likely) * (1 - points) ** (SHAPE * (1 - likely))
    summed = np.concatenate(([0.0], np.cumsum((density[1:] + density[:-1]) * np.diff(points))))
    return np.interp(shares_of_cases(), summed / summed[-1], points)


def places(likely: Floats) -> tuple[npt.NDArray[np.int64], Floats]:
    """For likely values at 0 to 1: the row of the table below each, and how far it lies toward the next."""
    at = likely * (MODES - 1)
    below = np.minimum(at.astype(np.int64), MODES - 2)
    return below, at - below


@lru_cache(maxsize=256)
def gauss(likely: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Three nodes on 0 to 1 and their weights, which give the mean of any polynomial up to the fifth power exactly.

    >>> [round(one, 4) for one in gauss(0.5)[0]]
    [0.2113, 0.5, 0.7887]
    """
    up, down = SHAPE * likely, SHAPE * (1 - likely)  # powers at the lower and the upper end
    both = up + down
    middle = [(up - down) / (both + 2)]
    middle += [(up**2 - down**2) / ((2 * n + both) * (2 * n + both + 2)) for n in (1, 2)]
    beside = [
        4 * n * (n + down) * (n + up) * (n + both) / ((2 * n + both) ** 2 * (2 * n + both + 1) * (2 * n + both - 1))
        for n in (1, 2)
    ]
    roots = np.sqrt(beside)
    values, vectors = np.linalg.eigh(np.diag(middle) + np.diag(roots, 1) + np.diag(roots, -1))
    nodes = np.round((1 + values) / 2, 12)
    parts = np.round(vectors[0] ** 2, 12)
    return tuple(nodes.tolist()), tuple((parts / parts.sum()).tolist())
