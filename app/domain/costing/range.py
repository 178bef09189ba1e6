"""How far the price may move: every input low, likely, high; what moves together is one group.

Each group (labor, each supplier) is a beta-PERT value of its members' sums, because its members move as one; the
groups are independent. Measures move as one, too, and stretch every group by the share of it that was measured roughly.
The closed form takes mean, variance and skew of the whole exactly and reads its 10th and 90th percentile by a
Cornish–Fisher expansion; the simulation draws groups and measures themselves.

Source: Malcolm, Roseboom, Clark and Fazar, Operations Research 7 (1959): mean (a + 4m + b)/6; Cornish and Fisher
(1937); both from memory.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import sqrt

import numpy as np

from app.domain.errors import BadValue

P10 = -1.2815515655446004  # standard normal quantile
SHAPE = 4.0  # weight of the likely value in beta-PERT


@dataclass(frozen=True, slots=True)
class Spread:
    """What a group may come to [cents]: low, likely, high, in order."""

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


@dataclass(frozen=True, slots=True)
class Inputs:
    """What may move: groups by name, and by group the share it moves when all measures are off as far as they may."""

    groups: Mapping[str, Spread]
    measured: Mapping[str, float] = field(default_factory=dict)


MEASURES = Spread(-1.0, 0.0, 1.0)  # how far all measures are off, as a share of how far they may be


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


def closed_form(inputs: Inputs) -> tuple[float, float, float]:
    """10th percentile, mean, 90th percentile of the whole [cents].

    The whole is V + U·W: V the sum of the groups, W the sum of what was measured of them, U how far measures are off.
    U is even about 0, so its odd moments vanish and what is left is exact up to the third moment.
    """
    known = [(moments(spread), inputs.measured.get(name, 0.0)) for name, spread in sorted(inputs.groups.items())]
    off = moments(MEASURES)[1]
    mean = sum(m for (m, _, _), _ in known)
    measured = sum(m * r for (m, _, _), r in known)
    variance = sum(v for (_, v, _), _ in known) + off * (sum(v * r * r for (_, v, _), r in known) + measured**2)
    third = sum(t * (1 + 3 * off * r * r) + 6 * off * measured * r * v for (_, v, t), r in known)
    if variance <= 0:
        return mean, mean, mean
    deviation = sqrt(variance)
    low, high = (mean + deviation * _cornish_fisher(z, third / variance**1.5) for z in (P10, -P10))
    return low, mean, high


def _cornish_fisher(z: float, skew: float) -> float:
    return z + (z * z - 1) * skew / 6 - (2 * z**3 - 5 * z) * skew**2 / 36


def simulate(inputs: Inputs, *, seed: int, trials: int = 10_000) -> tuple[float, float, float]:
    """The same three figures by drawing measures and every group `trials` times from a seeded generator [cents]."""
    generator = np.random.default_rng(seed)
    total = np.zeros(trials)
    off = _drawn(MEASURES, generator, trials)
    for name, spread in sorted(inputs.groups.items()):
        total += _drawn(spread, generator, trials) * (1 + off * inputs.measured.get(name, 0.0))
    low, high = np.percentile(total, [10, 90])
    return float(low), float(total.mean()), float(high)


def _drawn(spread: Spread, generator: np.random.Generator, trials: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    width = spread.high - spread.low
    if width <= 0:
        return np.full(trials, spread.likely)
    return spread.low + width * generator.beta(*_shape(spread), trials)
