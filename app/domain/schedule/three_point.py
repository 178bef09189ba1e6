"""How sure a finish is: low, likely and high days of each activity, added up along the critical path.

Source: Malcolm, Roseboom, Clark and Fazar, Operations Research 7 (1959): mean (a + 4m + b)/6, deviation (b − a)/6;
from memory.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import fsum, sqrt
from statistics import NormalDist
from typing import NamedTuple

from app.domain.schedule.axis import SAME


class Days(NamedTuple):
    """Days of an activity: if all goes well, most likely, if much goes wrong. 0 ≤ low ≤ likely ≤ high."""

    low: float
    likely: float
    high: float

    @property
    def mean(self) -> float:
        """What to expect.

        >>> round(Days(4, 6, 12).mean, 2)
        6.67
        """
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def deviation(self) -> float:
        """How far it spreads.

        >>> round(Days(4, 6, 12).deviation, 2)
        1.33
        """
        return (self.high - self.low) / 6


@dataclass(frozen=True, slots=True)
class Finish:
    """Days to the end: what to expect, and how far it spreads when activities slip for reasons of their own.

    `together` is the spread when one cause moves them all, such as the way in or a wet month: the cautious one.
    """

    mean: float
    apart: float
    together: float

    def chance(self, days: float, *, together: bool = False) -> float:
        """The chance [0 to 1] that all is done within so many days.

        >>> round(Finish(17, 3, 3).chance(20), 4)
        0.8413
        """
        spread = self.together if together else self.apart
        if spread <= SAME:
            return 1.0 if days >= self.mean - SAME else 0.0
        return NormalDist(self.mean, spread).cdf(days)

    def sure(self, chance: float, *, together: bool = False) -> float:
        """Within how many days all is done at such a chance [between 0 and 1]."""
        spread = self.together if together else self.apart
        return self.mean if spread <= SAME else NormalDist(self.mean, spread).inv_cdf(chance)


def along(path: Iterable[str], days: Mapping[str, Days], *, waits: float = 0.0) -> Finish:
    """The finish along one path of activities. `waits` [days] are lags on it, which do not spread."""
    each = [days[key] for key in path]
    return Finish(
        mean=waits + fsum(one.mean for one in each),
        apart=sqrt(fsum(one.deviation**2 for one in each)),
        together=fsum(one.deviation for one in each),
    )
