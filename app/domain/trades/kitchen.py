"""Kitchen and fire outdoors: counters with landings, tops and what holds them, seats around a fire.

Lengths in ft, weights in lb. Comfort and common practice unless a source is named: the appliance's own manual, the
listing, the gas fitter and the local code decide.
"""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, floor, pi, tau

from app.domain.trades.validity import OutsideValidity, above_zero, within

SHARED = 1.0  # ft added to the longer of two landings that meet. Kitchen planning guidelines (from memory)
# how far a stone top reaches past what carries it, by its thickness [in]: Marble Institute of America (from memory): 6
# in of 3/4 in stone, 10 in of 1 1/4 in, never more than a third of its depth
OVERHANG = ((1.25, 10 / 12), (0.75, 6 / 12))
DEEPEST_SHARE = 1 / 3
BRACKETS = 2.0  # ft between brackets. Common practice, no source
LIFTED_BY_ONE = 50.0  # lb; NIOSH lifting equation, 51 lb under ideal conditions
ON_SOIL = 1500.0  # psf: International Residential Code table R401.4.1, the least presumed bearing (from memory)
Appliance = tuple[float, float, float]  # its width, landing on its left, on its right


def counter_length(appliances: Sequence[Appliance]) -> float:
    """The shortest counter [ft] that holds appliances in a row with a landing on each side.

    `appliances` are (width, left landing, right landing) [ft], from left to right. Where two landings meet they share:
    the longer one and 12 in. Raises: OutsideValidity. Source: kitchen planning guidelines (from memory).

    >>> counter_length([(3.0, 1.0, 2.0)]), counter_length([(3.0, 1.0, 2.0), (2.0, 2.0, 1.5)])
    (6.0, 10.5)
    """
    if not appliances:
        raise OutsideValidity("No appliance was typed. Type one to a line.")
    for width, left, right in appliances:
        above_zero("Width of an appliance", width, "ft")
        within("Landing", left, 0, 10, "ft")
        within("Landing", right, 0, 10, "ft")
    between = sum(shared(one[2], other[1]) for one, other in pairwise(appliances))
    return sum(one[0] for one in appliances) + appliances[0][1] + between + appliances[-1][2]


def shared(right: float, left: float) -> float:
    """Counter [ft] between two appliances whose landings `right` and `left` [ft] meet; a missing one adds nothing.

    >>> shared(2.0, 1.5), shared(2.0, 0.0)
    (3.0, 2.0)
    """
    return max(right, left) + SHARED if right and left else max(right, left)


def longest_stretch(appliances: Sequence[Appliance]) -> float:
    """The longest counter [ft] without an appliance in it, of the row that `counter_length` makes. Source: geometry.

    >>> longest_stretch([(3.0, 1.0, 2.0), (2.0, 2.0, 1.5)]), longest_stretch([(3.0, 1.0, 0.0), (2.0, 0.5, 1.5)])
    (3.0, 1.5)
    """
    between = [shared(one[2], other[1]) for one, other in pairwise(appliances)]
    return max(appliances[0][1], *between, appliances[-1][2])


def overhang_allowed(thickness: float, deep: float) -> float:
    """How far [ft] a stone top of a `thickness` [in, 0.75 to 3] and depth `deep` [ft] reaches without brackets.

    By its thickness, and never more than a third of its depth. Raises: OutsideValidity. Source: Marble Institute of
    America (from memory); the fabricator decides.

    >>> round(overhang_allowed(1.25, 2.5) * 12, 1), round(overhang_allowed(0.75, 2.5) * 12, 1)
    (10.0, 6.0)
    """
    within("Thickness of the top", thickness, 0.75, 3, "in")
    above_zero("Depth", deep, "ft")
    least = next(reach for thick, reach in OVERHANG if thickness >= thick - 1e-9)
    return min(least, deep * DEEPEST_SHARE)


def brackets(length: float, overhang: float, allowed: float) -> int:
    """How many brackets hold an `overhang` [ft] over a `length` [ft]: none up to `allowed` [ft], else one in 2 ft.

    Source: common practice, no source.

    >>> brackets(8, 0.5, 10 / 12), brackets(8, 1.0, 10 / 12)
    (0, 5)
    """
    return 0 if overhang <= allowed + 1e-9 else ceil(length / BRACKETS - 1e-9) + 1


def top_weight(length: float, deep: float, thickness: float, density: float) -> float:
    """What a top weighs [lb]: `length` and `deep` [ft], `thickness` [in], `density` [lb/cu ft]. Source: geometry.

    >>> round(top_weight(8, 2.5, 1.25, 168))
    350
    """
    return length * deep * thickness / 12 * density


def people_for(weight: float) -> int:
    """How many people carry a `weight` [lb] at 50 lb each. Source: NIOSH lifting equation, 51 lb at best.

    >>> people_for(350), people_for(50)
    (7, 1)
    """
    return max(1, ceil(weight / LIFTED_BY_ONE - 1e-9))


def seats_around(fire: float, clear: float, seat: float, each: float) -> int:
    """How many seats `each` [ft] wide stand around a round fire whose outside is `fire` [ft] across.

    Their fronts lie `clear` [ft] from its edge; they touch at their fronts. `seat` [ft] is how deep they are.
    Raises: OutsideValidity. Source: geometry; the clear way is common practice.

    >>> seats_around(4, 3, 2, 2.5)
    12
    """
    above_zero("Width of a seat", each, "ft")
    above_zero("Depth of a seat", seat, "ft")
    return floor(tau * (fire / 2 + clear) / each + 1e-9)


def ring_across(fire: float, clear: float, seat: float, behind: float) -> float:
    """How far across [ft] the ground around a fire is: fire, clear way, seats and the way behind them, both sides.

    >>> ring_across(4, 3, 2.5, 2)
    19.0
    """
    return fire + 2 * (clear + seat + behind)


def round_area(across: float) -> float:
    """The area [sq ft] of a circle. Source: geometry.

    >>> round(round_area(19), 1)
    283.5
    """
    return pi * across**2 / 4
