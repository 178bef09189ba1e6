"""Slopes: one and the same as percent, inches per foot, ratio and degrees; the fall over a distance."""

from math import atan, degrees, radians, tan

from app.domain.trades.validity import above_zero, within


def fall_over(distance: float, slope: float) -> float:
    """How far a surface of `slope` [rise over run, 0 to 2] falls [ft] over a level `distance` [ft].

    Raises: OutsideValidity. Source: geometry.

    >>> round(fall_over(20, 0.02) * 12, 3)
    4.8
    """
    return distance * within("Slope", slope, 0, 2)


def slope_of(fall: float, distance: float) -> float:
    """The slope [rise over run] of `fall` over a level `distance`, both [ft].

    Raises: OutsideValidity without a distance. Source: geometry.

    >>> slope_of(0.5, 10)
    0.05
    """
    return fall / above_zero("Distance", distance, "ft")


def angle_of(slope: float) -> float:
    """The angle [°] of a `slope` [rise over run].

    >>> round(angle_of(0.5), 2)
    26.57
    """
    return degrees(atan(slope))


def slope_at(angle: float) -> float:
    """The slope [rise over run] of an `angle` [°, 0 to 63.4]. Raises: OutsideValidity.

    >>> round(slope_at(45), 6)
    1.0
    """
    return tan(radians(within("Angle", angle, 0, 63.4, "°")))


def along(distance: float, fall: float) -> float:
    """The length along the slope [ft] over a level `distance` [ft] that falls by `fall` [ft].

    >>> along(4, 3)
    5.0
    """
    return float((distance**2 + fall**2) ** 0.5)
