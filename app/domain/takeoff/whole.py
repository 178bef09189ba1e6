"""Rounding up to wholes: packs, loads, hours. Float noise never buys one more."""

from math import ceil, floor

NEARLY_WHOLE = 1e-9  # what is this near above a whole number is that whole


def whole_up(number: float) -> int:
    """The whole number at or above; what lies within 1e-9 of a whole (relative above 1) is that whole.

    >>> whole_up(4.0000000001), whole_up(4.01), whole_up(0.0)
    (4, 5, 0)
    """
    tolerance = NEARLY_WHOLE * max(1.0, abs(number))
    return floor(number + 0.5) if abs(number - floor(number + 0.5)) <= tolerance else ceil(number)
