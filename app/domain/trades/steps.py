"""Steps where two levels meet: how many risers, how high, how deep the treads.

A flight has one tread less than it has risers: the last riser ends on the upper surface. All its risers are alike.
"""

from dataclasses import dataclass
from math import ceil

FINEST = 1 / 16 / 12  # ft: what a crew measures a riser to
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLimits:
    """What steps keep to [ft]; the defaults are a model code and common practice, the basis' rules replace them.

    `riser_most`, `tread_least`: International Residential Code R311.7.5. `easy_least`, `easy_most`: risers that walk
    easily outdoors. `stride`: two risers and a tread together. `least`: a drop below this is no step but a slope.
    Source of the last four: common practice, no source.
    """

    riser_most: float = 7.75 / 12
    tread_least: float = 10 / 12
    easy_least: float = 5 / 12
    easy_most: float = 7 / 12
    stride: float = 26 / 12
    least: float = 4 / 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """A flight of steps: `risers` of `riser` [ft], treads of `tread` [ft]. `going` [ft] is how far it reaches out."""

    risers: int
    riser: float
    tread: float

    @property
    def going(self) -> float:
        """How far the flight reaches out from the upper edge [ft]."""
        return (self.risers - 1) * self.tread


STANDARD = StepLimits()


def flight_for(drop: float, limits: StepLimits = STANDARD) -> Flight | None:
    """The flight that a drop [ft, whichever side lies above] wants; None where it is so low that a slope does.

    Risers between the easy limits where that goes, else as near to them as the highest riser allowed lets them be; of
    two numbers that are as good, the one whose tread is nearer to a stride of 2 R + T with the deeper tread.

    >>> flight_for(2.0)
    Flight(risers=4, riser=0.5, tread=1.1666666666666665)
    """
    rise = abs(drop)
    if rise < limits.least - _NOTHING:
        return None
    fewest = max(1, ceil(rise / limits.riser_most - _NOTHING))
    most = max(fewest, int(rise / limits.easy_least + _NOTHING) + 1)
    middle = (limits.easy_least + limits.easy_most) / 2

    def strain(risers: int) -> tuple[float, float]:
        riser = rise / risers
        outside = max(limits.easy_least - riser, riser - limits.easy_most, 0.0)
        return round(outside, 9), abs(riser - middle)

    risers = min(range(fewest, most + 1), key=strain)
    riser = rise / risers
    return Flight(risers=risers, riser=riser, tread=max(limits.stride - 2 * riser, limits.tread_least))


def riser_to_build(flight: Flight) -> float:
    """The riser [ft] rounded up to 1/16 in, so that the drop over it still makes the flight's number of risers.

    >>> round(12 * riser_to_build(Flight(risers=3, riser=19.1 / 36, tread=1.1)), 4)
    6.375
    """
    return ceil(flight.riser / FINEST - 1e-6) * FINEST
