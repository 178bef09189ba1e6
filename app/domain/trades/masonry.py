"""Block and brick laid in mortar: units by the face, mortar by the unit, the mix of a mortar."""

from math import ceil

from app.domain.trades.validity import above_zero, within

_WHOLE = 1e-9


def units_by_face(area: float, length: float, height: float) -> float:
    """Units in a face of `area` [sq ft] of nominal face `length` × `height` [ft, joint included]; not rounded.

    Raises: OutsideValidity. Source: geometry (8 × 16 in: 1.125 a sq ft, as NCMA TEK 14, 1969, prints).

    >>> units_by_face(100, 16 / 12, 8 / 12)
    112.5
    """
    return area / (above_zero("Length of the unit", length, "ft") * above_zero("Height of the unit", height, "ft"))


def courses(height: float, course: float) -> int:
    """Courses that make `height` [ft] of `course` [ft] each; within a billionth of a whole is that whole.

    >>> courses(10, 8 / 12)
    15
    """
    return ceil(height / above_zero("Height of a course", course, "ft") - _WHOLE)


def per_course(length: float, unit: float) -> int:
    """Units of length `unit` in a course of `length`, both [ft].

    >>> per_course(100, 16 / 12)
    75
    """
    return ceil(length / above_zero("Length of the unit", unit, "ft") - _WHOLE)


def mortar_volume(units: float, by_hundred: float) -> float:
    """Mortar [cu ft] for `units` at `by_hundred` [cu ft a hundred units, 0.5 to 15].

    Raises: OutsideValidity. Source: the rate put in; 8 × 16 block 3.2 cu ft by 112.5 (face shell and web), modular
    brick 7.2 by 675 (a published estimating table).

    >>> round(mortar_volume(112.5, 3.2 / 1.125), 6)
    3.2
    """
    return units * within("Mortar a hundred", by_hundred, 0.5, 15, "cu ft") / 100


def sacks_by_rule(volume: float, sand_parts: float) -> float:
    """Sacks of cement of one cubic foot in `volume` [cu ft] of mortar of 1 part cement to `sand_parts` [2 to 4].

    38 cu ft of dry parts make a cubic yard of mortar. Raises: OutsideValidity. Source: Builder Basic, NAVEDTRA 14043
    (rule 38).

    >>> sacks_by_rule(27, 3)
    9.5
    """
    return volume / 27 * 38 / (1 + within("Parts of sand", sand_parts, 2, 4))
