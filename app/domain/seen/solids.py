"""What is seen: upright bodies over a convex base, and round masses of leaves; from one of eight corners.

The plan is turned, not bent: every length on the ground and every height is drawn at the one scale (an axonometric of
the plan, its heights drawn upward). So what lies nearer is what lies lower on the drawing, and a point of the plan at a
height is drawn that much further up.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import cos, radians, sin

from app.domain.plan.arcs import Point

CORNERS = 8
FIRST = 22.5  # degrees: so that no wall along the paper is seen edge on
NEAR = 1e-6  # ft


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """An upright body: its base (convex, counterclockwise [ft]) from `bottom` to `top` [ft].

    `drawn` says of each side of the base whether it is an edge of the thing, or a seam within it. A `round` one is a
    mass of leaves that fills the body without its corners. `ground` takes shadows and pools of light on its top.
    """

    key: str
    base: tuple[Point, ...]
    bottom: float
    top: float
    color: str
    hatch: str = ""
    top_color: str = ""  # where the top is of another color than the sides
    drawn: tuple[bool, ...] = ()
    round: bool = False
    ground: bool = False
    open: bool = False  # an open roof: what is below shows through
    casts: bool = True
    line: tuple[tuple[Point, float], tuple[Point, float]] | tuple[()] = ()  # a wire: its two ends and their heights


@dataclass(frozen=True, slots=True)
class Lamp:
    """A light: where, at which level its pool lies, how far the pool reaches [ft]."""

    at: Point
    level: float
    reach: float


@dataclass(frozen=True, slots=True)
class Scene:
    """All that is seen of a yard, what is drawn flat because its height is not known, and the ground it stands on.

    `blooming` names what blooms in the month that was asked for, with its colors in words.
    """

    solids: tuple[Solid, ...] = ()
    lamps: tuple[Lamp, ...] = ()
    flat: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    lot: tuple[Solid, ...] = ()
    blooming: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class Turned:
    """Points of the plan turned for one of eight corners: across the drawing, and away from who looks."""

    across: Point  # what the plan's x and y add to the way across
    away: Point

    def of(self, point: Point) -> Point:
        """A point of the plan turned [ft]."""
        x, y = point
        return x * self.across[0] + y * self.across[1], x * self.away[0] + y * self.away[1]


@lru_cache(maxsize=CORNERS)
def turned(corner: int) -> Turned:
    """How the plan is turned for a corner, 0 to 7: each one an eighth of a turn further.

    >>> u, v = turned(0).of((10.0, 0.0))
    >>> round((u * u + v * v) ** 0.5, 9)
    10.0
    """
    angle = radians(FIRST + 45 * (corner % CORNERS))
    return Turned((cos(angle), sin(angle)), (-sin(angle), cos(angle)))


def projected(point: Point, height: float, corner: int) -> Point:
    """Where a point of the plan at a height lies on the drawing [ft: right, up].

    >>> low, high = projected((3.0, 4.0), 0.0, 2), projected((3.0, 4.0), 10.0, 2)
    >>> round(high[0] - low[0], 9), round(high[1] - low[1], 9)
    (0.0, 10.0)
    """
    across, away = turned(corner).of(point)
    return across, away + height


def is_convex(points: Sequence[Point]) -> bool:
    """Whether a ring turns left (or runs straight on) at every corner."""
    count = len(points)
    for place in range(count):
        (ax, ay), (bx, by), (cx, cy) = points[place - 1], points[place], points[(place + 1) % count]
        if (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < -NEAR:
            return False
    return count > 2
