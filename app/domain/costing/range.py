"""How far the price may move: every input low, likely, high; what moves together is one group.

Each group (labor, each supplier) is a beta-PERT value of its members' sums, because its members move as one; the
groups are independent. Measures move as one, too, and stretch every group by the share of it that was measured roughly.
The closed form takes the first four moments of the whole exactly and reads its 10th and 90th percentile by a
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
A_POINT = 1e-6  # cents: what deviates by less is a point; powers of it would vanish


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


@dataclass(frozen=True, slots=True)
class Moments:
    """Mean, and second to fourth central moment."""

    mean: float
    second: float
    third: float
    fourth: float


def moments(spread: Spread) -> Moments:
    """The moments of a beta-PERT value: α = 1 + 4(m−a)/(b−a), β = 1 + 4(b−m)/(b−a) on [a, b]."""
    width = spread.high - spread.low
    if width <= 0:
        return Moments(spread.likely, 0.0, 0.0, 0.0)
    a, b = _shape(spread)
    n = a + b
    variance = width**2 * a * b / (n**2 * (n + 1))
    skew = 2 * (b - a) * sqrt(n + 1) / ((n + 2) * sqrt(a * b))
    excess = 6 * ((a - b) ** 2 * (n + 1) - a * b * (n + 2)) / (a * b * (n + 2) * (n + 3))
    return Moments(spread.low + width * a / n, variance, skew * variance**1.5, (3 + excess) * variance**2)


def _shape(spread: Spread) -> tuple[float, float]:
    width = spread.high - spread.low
    return 1 + SHAPE * (spread.likely - spread.low) / width, 1 + SHAPE * (spread.high - spread.likely) / width


def closed_form(inputs: Inputs) -> tuple[float, float, float]:
    """10th percentile, mean, 90th percentile of the whole [cents]."""
    whole = _whole(inputs)
    deviation = sqrt(whole.second)
    if deviation < A_POINT:
        return whole.mean, whole.mean, whole.mean
    skew, excess = whole.third / deviation**3, whole.fourth / deviation**4 - 3
    low, high = (whole.mean + deviation * _cornish_fisher(z, skew, excess) for z in (P10, -P10))
    return low, whole.mean, high


def _whole(inputs: Inputs) -> Moments:
    """The moments of V + U·W: V the sum of the groups, W of what was measured of them, U how far measures are off.

    U is even about 0, so its odd moments vanish.
    """
    known = [(moments(spread), inputs.measured.get(name, 0.0)) for name, spread in sorted(inputs.groups.items())]
    off = moments(MEASURES)
    plain, measured = _sum((one, 1.0) for one, _ in known), _sum(known)
    together = sum(one.second * r for one, r in known)  # covariance of V and W
    apart = sum((one.second * r) ** 2 for one, r in known)
    mixed = sum(one.third * r for one, r in known)  # E[(V − mean)² (W − mean)]
    crossed = sum(one.fourth * r * r for one, r in known) + plain.second * measured.second + 2 * together**2 - 3 * apart
    m = measured.mean
    square = m * m + measured.second  # E[W²]
    fourth = m**4 + 6 * m * m * measured.second + 4 * m * measured.third + measured.fourth  # E[W⁴]
    return Moments(
        plain.mean,
        plain.second + off.second * square,
        plain.third + 3 * off.second * (2 * m * together + sum(one.third * r * r for one, r in known)),
        plain.fourth + 6 * off.second * (m * m * plain.second + 2 * m * mixed + crossed) + off.fourth * fourth,
    )


def _sum(parts: Iterable[tuple[Moments, float]]) -> Moments:
    """The moments of a sum of independent values, each times its factor."""
    scaled = [(one.mean * r, one.second * r * r, one.third * r**3, one.fourth * r**4) for one, r in parts]
    second = sum(row[1] for row in scaled)
    fourth = sum(row[3] for row in scaled) + 3 * (second**2 - sum(row[1] ** 2 for row in scaled))
    return Moments(sum(row[0] for row in scaled), second, sum(row[2] for row in scaled), fourth)


def _cornish_fisher(z: float, skew: float, excess: float) -> float:
    return z + (z * z - 1) * skew / 6 + (z**3 - 3 * z) * excess / 24 - (2 * z**3 - 5 * z) * skew**2 / 36


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
