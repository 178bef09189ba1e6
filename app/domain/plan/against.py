"""Where an outline lies when it is told by what it lies against: right of the house, below zone B."""

from collections.abc import Callable, Mapping

from app.domain.errors import BadValue
from app.domain.plan.measures import bounds, moved
from app.domain.plan.outline import Outline

Box = tuple[float, float, float, float]  # west, south, east, north [ft]

# side → how far to move, so that the boxes touch on that side and line up at their west or south ends
SIDES: Mapping[str, Callable[[Box, Box], tuple[float, float]]] = {
    "right": lambda own, other: (other[2] - own[0], other[1] - own[1]),
    "left": lambda own, other: (other[0] - own[2], other[1] - own[1]),
    "below": lambda own, other: (other[0] - own[0], other[1] - own[3]),
    "above": lambda own, other: (other[0] - own[0], other[3] - own[1]),
}


def put_against(outline: Outline, other: Outline, side: str, *, right: float = 0.0, up: float = 0.0) -> Outline:
    """An outline moved until its frame touches the frame of `other` on one side (left, right, above, below).

    `right` and `up` [ft] move it on from there; negative: left and down.
    Raises: BadValue for another side.

    >>> from app.domain.plan.shapes import rectangle
    >>> bounds(put_against(rectangle(10, 4), rectangle(20, 12), "below", right=5))
    (5.0, -4.0, 15.0, 0.0)
    """
    if side not in SIDES:
        raise BadValue(f"“{side}” is no side. Choose left, right, above or below.", field="side")
    east, north = SIDES[side](bounds(outline), bounds(other))
    return moved(outline, east + right, north + up)
