"""Retaining walls of dry-laid block: what goes in, and three numbers for talking to an engineer.

The ratios are of a plain gravity wall on level ground by Rankine. They never say that a wall is right: water, slopes,
slip circles, frost, quakes and bad soil are not in them.
"""

from dataclasses import dataclass
from math import ceil, radians, tan

from app.domain.trades.validity import OutsideValidity, above_zero, within

_WHOLE = 1e-9
ENGINEER_FROM = 4.0  # ft from the bottom of the footing: trade association and model code; some towns say less
PAD_LEAST, PAD_WIDTH_LEAST, STONE_LEAST = 0.5, 2.0, 1.0  # ft: Masonry Magazine, June 2001


def buried(exposed: float) -> float:
    """How deep the wall begins [ft]: a tenth of what is seen [ft, to 20], 6 in at least.

    Two sources differ (H/10; the larger of 6 in and H/20): the larger is taken. Raises: OutsideValidity.
    Source: Masonry Magazine (June 2001); trade association manual (from memory).

    >>> buried(3), buried(8)
    (0.5, 0.8)
    """
    return max(0.5, within("Height that is seen", exposed, 0, 20, "ft") / 10)


def block_courses(exposed: float, below: float, course: float) -> int:
    """Courses of `course` [ft] for what is seen and what is `below` ground, both [ft].

    >>> block_courses(1.5, 0.5, 0.5)
    4
    """
    return ceil((exposed + below) / above_zero("Height of a course", course, "ft") - _WHOLE)


def pieces(length: float, piece: float) -> int:
    """Blocks or caps of length `piece` along `length`, both [ft].

    >>> pieces(14, 1)
    14
    """
    return ceil(length / above_zero("Length of a piece", piece, "ft") - _WHOLE)


def active_share(friction: float) -> float:
    """Share of the soil's weight that pushes sideways (Rankine, level ground): `friction` angle [°, 24 to 40].

    Raises: OutsideValidity. Source: Rankine, tan²(45° - phi/2).

    >>> round(active_share(30), 4)
    0.3333
    """
    return tan(radians(45 - within("Angle of friction", friction, 24, 40, "°") / 2)) ** 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Push:
    """What acts on one foot of wall: `thrust` [lb], `turning` and `holding` [lb-ft] about the toe, `weight` [lb]."""

    thrust: float
    turning: float
    holding: float
    weight: float


def push(*, height: float, depth: float, soil: float, wall: float, share: float, surcharge: float) -> Push:
    """The forces on a foot of plain gravity wall: `height` from its footing [ft, 1 to 6], `depth` front to back [ft].

    `soil` and `wall` weigh [lb/cu ft], `share` pushes sideways, `surcharge` stands on the ground behind [psf, 0 to
    250]. Drained, level ground. Raises: OutsideValidity. Source: Rankine; statics.

    >>> one = push(height=4, depth=2, soil=120, wall=130, share=1/3, surcharge=0)
    >>> round(one.thrust), round(one.turning), round(one.holding), round(one.weight)
    (320, 427, 1040, 1040)
    """
    within("Height from the footing", height, 1, 6, "ft")
    within("Depth of the wall", depth, 0.5, 6, "ft")
    within("Soil weighs", soil, 80, 140, "lb/cu ft")
    within("Wall weighs", wall, 80, 160, "lb/cu ft")
    within("Load behind", surcharge, 0, 250, "psf")
    of_soil, of_load = share * soil * height**2 / 2, share * surcharge * height
    weight = wall * height * depth
    return Push(
        thrust=of_soil + of_load,
        turning=of_soil * height / 3 + of_load * height / 2,
        holding=weight * depth / 2,
        weight=weight,
    )


def sliding_ratio(one: Push, base_friction: float) -> float:
    """What holds by friction over what pushes: `base_friction` [0.3 to 0.7] at the pad. Raises: OutsideValidity.

    >>> round(sliding_ratio(Push(thrust=320, turning=427, holding=1040, weight=1040), 0.5), 3)
    1.625
    """
    return one.weight * within("Friction below", base_friction, 0.3, 0.7) / one.thrust


def overturning_ratio(one: Push) -> float:
    """What holds the wall down over what turns it about its toe.

    >>> round(overturning_ratio(Push(thrust=320, turning=427, holding=1040, weight=1040)), 2)
    2.44
    """
    return one.holding / one.turning


def bearing(one: Push, depth: float) -> float:
    """Pressure on the pad [psf], spread evenly about where the load falls (Meyerhof), for a wall `depth` deep [ft].

    Raises: OutsideValidity where the load falls at the toe or beyond it. Source: statics.

    >>> round(bearing(Push(thrust=320, turning=427, holding=1040, weight=1040), 2))
    882
    """
    from_toe = (one.holding - one.turning) / one.weight
    if from_toe <= 0.05 * depth:
        raise OutsideValidity("The load falls at the toe: by these numbers the wall turns over. It must be deeper.")
    return one.weight / min(2 * from_toe, depth)


def tiers_act_together(lower: float, gap: float) -> bool:
    """Whether an upper wall loads the `lower` one [ft high]: nearer than twice its height [ft, face to face].

    Source: common practice of makers' guides, no source.

    >>> tiers_act_together(3, 5.9), tiers_act_together(3, 6)
    (True, False)
    """
    return gap < 2 * lower - _WHOLE
