"""A distribution with given mean and second to fourth central moment: a beta on the span that gives all four.

Where no beta does (nearly normal, or longer in the tails) the normal is bent by its skew and excess instead.

Source: Pearson, type I from the first four moments; Cornish and Fisher (1937); both from memory.
"""

from dataclasses import dataclass
from functools import cached_property
from math import erf, sqrt

import numpy as np

from app.domain.costing.pert import Floats

CELLS = 600
FAR = 7.0  # deviations from the mean beyond which nothing is looked at
MOST_SHAPE = 1e5  # both shapes of a beta together: above, it is a normal as good as
NORMAL = np.round(np.linspace(-FAR, FAR, CELLS + 1), 9)
BELOW = np.array([(1 + erf(z / sqrt(2))) / 2 for z in NORMAL])
A_POINT = 1e-6  # what deviates by less is a point


@dataclass(frozen=True, slots=True)
class Moments:
    """Mean, and second to fourth central moment."""

    mean: float
    second: float
    third: float
    fourth: float


@dataclass(frozen=True)
class Fitted:
    """A distribution by its moments."""

    moments: Moments

    @property
    def deviation(self) -> float:
        """The standard deviation."""
        return sqrt(max(0.0, self.moments.second))

    @cached_property
    def table(self) -> tuple[Floats, Floats]:
        """Values in order, and the share of cases below each."""
        deviation = self.deviation
        skew, excess = self.moments.third / deviation**3, self.moments.fourth / deviation**4 - 3
        standing = _beta(skew, excess) or (_bent(skew, excess), BELOW)
        return self.moments.mean + deviation * standing[0], standing[1]

    def at(self, share: float) -> float:
        """What a share of all cases stays below."""
        if self.deviation < A_POINT:
            return self.moments.mean
        values, below = self.table
        return float(np.interp(share, below, values))

    def above(self, value: float) -> float:
        """The share of cases above a value."""
        if self.deviation < A_POINT:
            return float(self.moments.mean > value)
        values, below = self.table
        return 1.0 - float(np.interp(value, values, below))


def _beta(skew: float, excess: float) -> tuple[Floats, Floats] | None:
    """The beta with mean 0, deviation 1, this skew and excess: values and shares below; None where there is none."""
    squared = skew * skew
    down = 6 + 3 * squared - 2 * (excess + 3)
    both = 6 * (excess + 2 - squared) / down if down > 1e-9 else 0.0
    if not 0 < both < MOST_SHAPE:
        return None
    root = sqrt((both + 2) ** 2 * squared + 16 * (both + 1))
    part = (1 - abs(skew) * (both + 2) / root) / 2  # of the shapes, that of the steeper end
    steep, flat = both * part, both * (1 - part)
    if steep <= 0:
        return None
    width, mean = root / 2, part
    points = np.linspace(max(0.0, mean - FAR / width), min(1.0, mean + FAR / width), CELLS + 1)
    middle = (points[1:] + points[:-1]) / 2
    density = (steep - 1) * np.log(middle) + (flat - 1) * np.log1p(-middle)
    below = np.concatenate(([0.0], np.cumsum(np.exp(density - density.max()))))
    values, below = (points - mean) * width, below / below[-1]
    return (values, below) if skew >= 0 else (-values[::-1], 1 - below[::-1])


def _bent(skew: float, excess: float) -> Floats:
    """A normal bent by skew and excess, kept in order."""
    z = NORMAL
    bent = z + (z * z - 1) * skew / 6 + (z**3 - 3 * z) * excess / 24 - (2 * z**3 - 5 * z) * skew**2 / 36
    middle = CELLS // 2
    up, down = np.maximum.accumulate(bent[middle:]), np.minimum.accumulate(bent[middle::-1])[::-1]
    return np.concatenate((down[:-1], up))
