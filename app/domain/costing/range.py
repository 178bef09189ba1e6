"""How far the price may move: every input low, likely, high; what moves together is one group.

Each group is a beta-PERT value (Malcolm et al., 1959: mean (a + 4m + b)/6) of its members' sums, because its members
move as one; groups are independent. The closed form takes mean, variance and skew of the sum and reads its 10th and
90th percentile by a Cornish–Fisher expansion; the simulation draws the groups themselves.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.domain.errors import BadValue

P10 = -1.2815515655446004  # standard normal quantile
SHAPE = 4.0  # weight of the likely value in beta-PERT


@dataclass(frozen=True, slots=True)
class Spread:
    """What a group may add to the cost [cents]: low, likely, high, in order."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise BadValue("Low, likely and high must be in order.")

    def __add__(self, other: "Spread") -> "Spread":
        """Both moving together."""
        return Spread(self.low + other.low, self.likely + other.likely, self.high + other.high)


@dataclass(frozen=True, slots=True)
class Range:
    """A band [cents]: 10th percentile, what the estimate says, 90th percentile."""

    low: int
    likely: int
    high: int


def grouped(inputs: Iterable[tuple[str, Spread]]) -> Mapping[str, Spread]:
    """Inputs summed by group."""
    groups: dict[str, Spread] = {}
    for name, spread in inputs:
        groups[name] = groups[name] + spread if name in groups else spread
    return groups


def moments(spread: Spread) -> tuple[float, float, float]:
    """Mean, variance and third central moment of a beta-PERT value.

    With α = 1 + 4(m−a)/(b−a), β = 1 + 4(b−m)/(b−a) on [a, b].
    """
    width = spread.high - spread.low
    if width <= 0:
        return spread.likely, 0.0, 0.0
    a, b = _shape(spread)
    mean = spread.low + width * a / (a + b)
    variance = width**2 * a * b / ((a + b) ** 2 * (a + b + 1))
    skew = 2 * (b - a) * sqrt(a + b + 1) / ((a + b + 2) * sqrt(a * b))
    return mean, variance, skew * variance**1.5


def _shape(spread: Spread) -> tuple[float, float]:
    width = spread.high - spread.low
    return 1 + SHAPE * (spread.likely - spread.low) / width, 1 + SHAPE * (spread.high - spread.likely) / width


def closed_form(groups: Mapping[str, Spread]) -> tuple[float, float, float]:
    """10th percentile, mean, 90th percentile of the sum of independent groups [cents]."""
    known = [moments(groups[name]) for name in sorted(groups)]
    mean = sum(one for one, _, _ in known)
    variance = sum(one for _, one, _ in known)
    if variance <= 0:
        return mean, mean, mean
    deviation = sqrt(variance)
    skew = sum(one for _, _, one in known) / variance**1.5
    low, high = (mean + deviation * _cornish_fisher(z, skew) for z in (P10, -P10))
    return low, mean, high


def _cornish_fisher(z: float, skew: float) -> float:
    return z + (z * z - 1) * skew / 6 - (2 * z**3 - 5 * z) * skew**2 / 36


def simulate(groups: Mapping[str, Spread], *, seed: int, trials: int = 10_000) -> tuple[float, float, float]:
    """The same three figures by drawing every group `trials` times from a seeded generator [cents]."""
    generator = np.random.default_rng(seed)
    total = np.zeros(trials)
    for name in sorted(groups):
        spread = groups[name]
        width = spread.high - spread.low
        if width <= 0:
            total += spread.likely
        else:
            total += spread.low + width * generator.beta(*_shape(spread), trials)
    low, high = np.percentile(total, [10, 90])
    return float(low), float(total.mean()), float(high)
