"""Off-cuts used again: how few units the cut pieces could be sawn from, each piece by its bounding rectangle.

First fit, largest piece first; a piece is sawn from the corner of a free rectangle, the saw takes its kerf, and what is
left right of it and above it stays free (guillotine cuts). A feasible plan, so the count is an upper bound of the best.
"""

from collections.abc import Iterable

KERF = 1 / 8 / 12  # ft: what a masonry blade takes; common practice, no source
TRIED = 40  # free rectangles looked at before another unit is opened: keeps the time linear
_SLACK = 1e-6  # ft


def units_reusing(pieces: Iterable[tuple[float, float]], unit: tuple[float, float], kerf: float = KERF) -> int:
    """Units opened for pieces (along, across) [ft] of one unit size (along, across) [ft].

    >>> units_reusing([(0.3, 0.5)] * 4, (0.75, 0.5)), units_reusing([(0.4, 0.5)] * 4, (0.75, 0.5))
    (2, 4)
    """
    opened = 0
    free: list[tuple[float, float]] = []  # smallest of those tried last
    for along, across in sorted(pieces, key=lambda one: (-one[0] * one[1], -one[0], -one[1])):
        place = _fitting(free, along, across)
        if place is None:
            opened += 1
            room = unit
        else:
            room = free.pop(place)
        free += _left(room, along, across, kerf)
    return opened


def _fitting(free: list[tuple[float, float]], along: float, across: float) -> int | None:
    """The place of a free rectangle that holds a piece; newest first, as the off-cut at hand is used first."""
    for place in range(len(free) - 1, max(-1, len(free) - 1 - TRIED), -1):
        if along <= free[place][0] + _SLACK and across <= free[place][1] + _SLACK:
            return place
    return None


def _left(room: tuple[float, float], along: float, across: float, kerf: float) -> list[tuple[float, float]]:
    """What stays free: the cut runs so that the larger rectangle stays in one piece."""
    right, above = room[0] - along - kerf, room[1] - across - kerf
    if right * room[1] >= above * room[0]:
        left = [(right, room[1]), (along, above)]
    else:
        left = [(right, across), (room[0], above)]
    return sorted((one for one in left if one[0] > kerf and one[1] > kerf), key=lambda one: one[0] * one[1])
