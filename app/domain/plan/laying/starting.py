"""Where laying starts: the line the courses follow and a point where joints meet, as a good layer would choose them.

The courses follow the edge at the door, else the longest straight edge. Along it the pattern is set out from the
middle of the door, else of the field, so that both sides end in equal cuts; across it, so that no end is a sliver.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.domain.plan.arcs import Line, Point
from app.domain.plan.laying.chains import chains_of
from app.domain.plan.laying.modules import Floats, Lattice, Module
from app.domain.plan.laying.pattern import Laying
from app.domain.plan.outline import Outline
from app.domain.units import format_length

DOOR_NEAR = 6.0  # ft: a door farther than this from the zone does not decide its pattern
_LEAST_EDGE = 2.0  # ft: a shorter edge gives no direction to courses
_NONE_LEFT = 1e-4  # share of a unit: no cut is left


@dataclass(frozen=True, slots=True)
class Start:
    """The start line: a point where joints meet, the direction of the courses [degrees], and why, in words."""

    point: Point
    angle: float
    reason: str


@dataclass(frozen=True, slots=True)
class Sight:
    """The line courses are set out from: direction [rad], a point its middle passes, an edge it runs along, why."""

    heading: float
    middle: Point | None
    edge: Point | None
    reason: str


def sight_of(outline: Outline, doors: tuple[Point, ...] = ()) -> Sight:
    """The edge at a door, else the longest straight edge; a round outline is set out from its middle."""
    edges = [one for chain in chains_of(outline) for one in chain.pieces if isinstance(one, Line)]
    edges = [edge for edge in edges if edge.length >= _LEAST_EDGE]
    for door in doors:
        near = min(edges, key=lambda edge: (round(_distance(edge, door), 6), -edge.length), default=None)
        if near and _distance(near, door) <= DOOR_NEAR:
            return Sight(_way(near), door, near.start, "lined up with the edge at the door, from its middle")
    if edges:
        longest = max(edges, key=lambda edge: round(edge.length, 6))
        words = f"lined up with the longest edge, {format_length(longest.length)}"
        return Sight(_way(longest), None, longest.start, words)
    return Sight(0.0, None, None, "set out from the middle")


def choose_start(sight: Sight, laying: Laying, module: Module, pattern: Lattice, field: BaseGeometry) -> Start:
    """The start of a pattern in a field, with what was typed kept as it is."""
    angle = degrees(sight.heading) if laying.angle is None else laying.angle
    if laying.start is not None:
        return Start(laying.start, angle, laying.because or "set by hand")
    west, south, east, north = shapely.bounds(shapely.transform(field, to_frame(angle + module.turned)))
    middle, edge = (_in_frame(point, angle + module.turned) for point in (sight.middle, sight.edge))
    steps = np.array([pattern.step, pattern.rise])
    if not module.bond:
        # a woven pattern has no course to align: its joints meet at the middle
        x, y = middle[0] if middle else (west + east) / 2, (south + north) / 2
        words = sight.reason
    else:
        x, across = _balanced(west, east, float(steps[0, 0]), [middle[0] if middle else (west + east) / 2])
        y, along = _balanced(south, north, float(steps[1, 1]), [(south + north) / 2, *([edge[1]] if edge else [])])
        words = f"{sight.reason}; {_cuts_said(across, along)}"
    if laying.angle is not None:
        words = words.replace(sight.reason, "direction set by hand")
    return Start(from_frame((float(x), float(y)), angle + module.turned), angle, words)


def to_frame(angle: float) -> Callable[[Any], Floats]:
    """The function that turns points on the plan into a pattern's frame, turned by an angle [degrees]."""
    turn = _turn(-angle)

    def turned(points: Any) -> Floats:
        found: Floats = np.asarray(points) @ turn
        return found

    return turned


def from_frame(point: Point, angle: float) -> Point:
    """A point of a pattern's frame on the plan."""
    x, y = np.asarray(point) @ _turn(angle)
    return float(x), float(y)


def _turn(angle: float) -> Floats:
    along, across = cos(radians(angle)), sin(radians(angle))
    return np.array([[along, across], [-across, along]])


def _in_frame(point: Point | None, angle: float) -> Point | None:
    return from_frame(point, -angle) if point is not None else None


def _balanced(low: float, high: float, pitch: float, lines: list[float]) -> tuple[float, float]:
    """Where a joint lies so that the smaller of both end pieces is as large as can be, and its share of a unit.

    Tried are a joint and the middle of a unit on each of the `lines`.
    """
    tried = [line + half * pitch / 2 for line in lines for half in (0, 1)]
    best = max(tried, key=lambda joint: (round(min(_ends(low, high, pitch, joint)), 4), -tried.index(joint)))
    return best, min(_ends(low, high, pitch, best))


def _ends(low: float, high: float, pitch: float, joint: float) -> Iterator[float]:
    for distance in (joint - low, high - joint):
        rest = distance / pitch % 1.0
        yield 1.0 if rest < _NONE_LEFT or rest > 1 - _NONE_LEFT else rest


def _cuts_said(across: float, along: float) -> str:
    if min(across, along) >= 0.995:
        return "whole units at the ends"
    return f"equal cuts, none under {round(min(across, along) * 100)}% of a unit at the ends"


def _way(edge: Line) -> float:
    return atan2(edge.end[1] - edge.start[1], edge.end[0] - edge.start[0])


def _distance(edge: Line, point: Point) -> float:
    (ax, ay), (bx, by) = edge.start, edge.end
    length = edge.length
    along = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / length
    near = min(max(along, 0.0), length) / length
    return hypot(point[0] - ax - near * (bx - ax), point[1] - ay - near * (by - ay))
