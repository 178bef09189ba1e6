"""What may happen or not, in the range: each risk with its chance, and what it then costs; apart from all else.

Its mean is in the price already, as a step of its own; here it widens the range around that. A rare dear thing bends
the upper end far more than moments tell, so the whole is added up on an even grid: the distribution of everything else
convolved with each risk, by Fourier's transform.

Source: the sum of independent amounts has the convolution of their distributions (any textbook of probability).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from app.domain.costing.fitted import A_POINT, Fitted, Moments
from app.domain.costing.pert import Floats, places, quantiles, shares_of_cases

RISKS = "risks"  # what they are called beside groups and common causes
LEAST_CELLS, MOST_CELLS = 2_048, 8_192  # of the grid; a little is left free at its end for what rounding moves
FINE = 12  # cells to a deviation of everything else, as far as there are so many
ROOM = 64
Waves = npt.NDArray[np.complex128]
DIGITS = 12


class Chance(NamedTuple):
    """Something that may happen: its chance [0 to 1], and what it then costs [cents], low, likely and high."""

    chance: float
    low: float
    likely: float
    high: float

    @property
    def mean(self) -> float:
        """What it comes to on average [cents].

        >>> Chance(0.25, 0.0, 600.0, 1200.0).mean
        150.0
        """
        return self.chance * (self.low + 4 * self.likely + self.high) / 6

    @property
    def variance(self) -> float:
        """Its variance [cents²]: of a three-point cost that is there in a share of cases."""
        mean, width = (self.low + 4 * self.likely + self.high) / 6, self.high - self.low
        own = (mean - self.low) * (self.high - mean) / 7 if width > 0 else 0.0  # of a beta with shapes adding to 6
        return self.chance * (own + mean**2) - self.mean**2


@dataclass(frozen=True)
class Summed:
    """A distribution by the shares of cases below even values [cents]."""

    moments: Moments
    values: Floats
    below: Floats

    def at(self, share: float) -> float:
        """What a share of all cases stays below."""
        return float(np.interp(share, self.below, self.values))

    def above(self, value: float) -> float:
        """The share of cases above a value."""
        return 1.0 - float(np.interp(value, self.values, self.below))


def summed(base: Fitted, chances: Sequence[Chance]) -> Summed:
    """Everything else and what may happen, around the same mean."""
    first, last = (base.at(0.0), base.at(1.0)) if base.deviation >= A_POINT else (base.moments.mean,) * 2
    span = last - first + sum(one.high for one in chances)
    cells = _cells(span, base.deviation)
    step = span / (cells - ROOM) or 1.0
    edges: Floats = np.arange(cells + 1, dtype=np.float64) * step - step / 2
    whole: Waves = np.fft.rfft(np.diff(_below(base, first, edges)), cells)
    for one in chances:
        whole *= np.fft.rfft(_of(one, edges), cells)
    found = np.clip(np.cumsum(np.fft.irfft(whole, cells)), 0.0, 1.0).round(DIGITS)
    moved = first - sum(one.mean for one in chances)
    moments = base.moments
    wider = Moments(moments.mean, moments.second + sum(one.variance for one in chances), moments.third, moments.fourth)
    return Summed(wider, moved + edges, np.concatenate(([0.0], np.maximum.accumulate(found))))


def _cells(span: float, deviation: float) -> int:
    """How many cells the grid takes: a power of 2, enough for everything else to be seen beside one dear risk."""
    wanted = FINE * span / deviation if deviation >= A_POINT else 0.0
    return min(MOST_CELLS, max(LEAST_CELLS, 1 << int(wanted).bit_length()))


def _below(base: Fitted, first: float, edges: Floats) -> Floats:
    """The share of cases of everything else below each edge of the grid."""
    if base.deviation < A_POINT:
        return (edges > 0).astype(np.float64)
    known, below = base.table
    return np.interp(first + edges, known, below, left=0.0, right=1.0)


def _of(one: Chance, edges: Floats) -> Floats:
    """How much of all cases a risk comes to each cell of the grid: mostly nothing at all."""
    if one.high > one.low:
        row = _row((one.likely - one.low) / (one.high - one.low))
        below = np.interp(edges, one.low + (one.high - one.low) * row, shares_of_cases(), left=0.0, right=1.0)
    else:
        below = (edges > one.likely).astype(np.float64)
    cells = one.chance * np.diff(below)
    cells[0] += 1 - one.chance
    return cells


@lru_cache(maxsize=256)
def _row(likely: float) -> Floats:
    """Quantiles of a three-point cost on 0 to 1, at the shares of cases of the table."""
    below, near = places(np.array([likely]))
    table: Floats = quantiles()
    found: Floats = table[below[0]] * (1 - near[0]) + table[below[0] + 1] * near[0]
    return found


def drawn(one: Chance, shares: Floats) -> Floats:
    """What a risk comes to in cases of even shares: the uppermost shares are those in which it happens."""
    if one.chance <= 0:
        return np.zeros(len(shares))
    inside = (shares - (1 - one.chance)) / one.chance
    likely = (one.likely - one.low) / (one.high - one.low) if one.high > one.low else 0.0
    cost = one.low + (one.high - one.low) * np.interp(inside, shares_of_cases(), _row(likely))
    return np.where(inside > 0, cost, 0.0)
