"""Water for plants: what a grown plant uses, what a new one is given, emitters, their flow and how long they run.

Figures are for the first dry week of a plan of watering; the soil under the finger decides.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import pi

GALLONS = 0.6233  # in an inch of water over a square foot: 7.4805 / 12. Source: geometry
# share of the day's water that a kind of plant uses. Source: Washington State University Extension, drip design for
# landscapes: trees 1.1, shrubs 0.9, ground cover 1.0; the others are taken as ground cover
KIND: Mapping[str, float] = {"tree": 1.1, "shrub": 0.9, "vine": 0.9}
NEED: Mapping[str, float] = {"low": 0.5, "medium": 0.75, "high": 1.0}  # by the water a species wants. Assumption
PART = 0.3  # of a container's volume, each watering. University of Minnesota Extension: 1/4 to 1/3, from memory
PER_INCH = 1.5  # gal each watering for each inch of trunk. University of Minnesota Extension: 1 to 1.5, from memory
LONGEST = 120.0  # min that a line runs for one watering; what wants more has a hose besides. Assumption
TUBE = 200.0  # gal an hour that 1/2 in tubing carries over 200 ft. Common practice, no source
# weeks after planting, and how often. University of Minnesota Extension, new trees and shrubs: from memory
WEEKS: tuple[tuple[str, str, float], ...] = (
    ("Weeks 1 and 2", "every day", 7.0),
    ("Weeks 3 to 12", "every two to three days", 2.8),
    ("From week 13 to frost", "once a week", 1.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Watered:
    """Plants of one kind in one size.

    `spread` [ft] grown, `gallons` of their pot or `trunk` [in], `emitters` of `flow` [gal an hour] each.
    """

    title: str
    kind: str
    need: str
    count: int
    spread: float
    gallons: float
    trunk: float
    emitters: int
    flow: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterRow:
    """What one plant of a row is given when new [gal each watering], and uses when grown [gal a week at the most]."""

    of: Watered
    each: float
    grown: float

    @property
    def minutes(self) -> float:
        """How long its emitters run for one watering."""
        return 60 * self.each / (self.of.emitters * self.of.flow) if self.of.emitters else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterGroup:
    """Plants that want as much water as each other: one valve."""

    need: str
    rows: tuple[WaterRow, ...]

    @property
    def emitters(self) -> int:
        """All emitters of the group."""
        return sum(row.of.count * row.of.emitters for row in self.rows)

    @property
    def flow(self) -> float:
        """What they let out together [gal an hour]."""
        return sum(row.of.count * row.of.emitters * row.of.flow for row in self.rows)

    @property
    def minutes(self) -> float:
        """How long the valve runs so that the thirstiest row has enough."""
        return max((row.minutes for row in self.rows), default=0.0)

    @property
    def gallons(self) -> float:
        """What one watering takes."""
        return self.flow * self.minutes / 60

    @property
    def lines(self) -> int:
        """How many runs of 1/2 in tubing the flow wants."""
        return max(1, -int(-self.flow // TUBE))


@dataclass(frozen=True, slots=True, kw_only=True)
class LineWater:
    """How a bed's drip line waters its new plants: `flow` of it all [gal an hour], rows it serves, rows by hand.

    Each row counts the emitters that lie near one of its plants; what would want more than `LONGEST` has a hose.
    """

    flow: float
    rows: tuple[WaterRow, ...]
    by_hand: tuple[WaterRow, ...]

    @property
    def minutes(self) -> float:
        """How long the line runs for one watering, so that the thirstiest row it serves has enough."""
        return max((row.minutes for row in self.rows), default=0.0)

    @property
    def gallons(self) -> float:
        """What one watering takes, all of the bed."""
        return self.flow * self.minutes / 60


def line_water(plants: Sequence[Watered], flow: float) -> LineWater:
    """New plants of a bed watered by its drip line, of `flow` [gal an hour] in all.

    >>> pot = {"title": "", "kind": "shrub", "need": "medium", "count": 3, "spread": 4, "gallons": 3, "trunk": 0}
    >>> found = line_water([Watered(**pot, emitters=2, flow=0.6)], 60.0)
    >>> round(found.minutes), round(found.gallons)
    (45, 45)
    """
    rows = [WaterRow(of=one, each=new_each(one.gallons, one.trunk), grown=0.0) for one in plants if one.count]
    return LineWater(
        flow=flow,
        rows=tuple(row for row in rows if row.of.emitters and row.minutes <= LONGEST),
        by_hand=tuple(row for row in rows if not row.of.emitters or row.minutes > LONGEST),
    )


def grown_week(kind: str, need: str, spread: float, day: float) -> float:
    """What a grown plant uses in a hot week without rain [gal]: `spread` [ft], `day` [in of water a day].

    Validity: a single plant that covers its spread. Source: Washington State University Extension, drip design for
    landscapes; the share by need is an assumption.

    >>> round(grown_week("shrub", "high", 4.0, 0.20), 1)
    9.9
    """
    area = pi * spread**2 / 4
    return 7 * GALLONS * area * day * KIND.get(kind, 1.0) * NEED.get(need, 0.75)


def new_each(gallons: float, trunk: float) -> float:
    """What a new plant is given each watering [gal], by its pot, or by its trunk [in] where it is balled.

    >>> new_each(3.0, 0.0), new_each(0.0, 2.0)
    (0.9, 3.0)
    """
    return round(PER_INCH * trunk if trunk else PART * gallons, 4)


def water_groups(plants: Sequence[Watered], day: float) -> tuple[WaterGroup, ...]:
    """Plants by what they want, the thirstiest first."""
    rows = [
        WaterRow(of=one, each=new_each(one.gallons, one.trunk), grown=grown_week(one.kind, one.need, one.spread, day))
        for one in plants
        if one.count
    ]
    needs = ("high", "medium", "low")
    grouped = [(need, tuple(row for row in rows if row.of.need == need)) for need in needs]
    return tuple(WaterGroup(need=need, rows=held) for need, held in grouped if held)
