"""Along which sides of an outline its border runs, how it ends where it stops, and the ground it takes.

A side is a stretch of the outer edge between true corners. A border along some of them stops at the corners to the
others: it runs through to the outline there, or is mitered. Where the outline turns inward it ends square.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import acos, ceil, cos, hypot, isfinite, pi, sin, tan

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Point
from app.domain.plan.edges import halfway
from app.domain.plan.laying.chains import Chain, End, chains_of
from app.domain.plan.outline import Outline, chords

FINE = 1 / 64 / 12  # ft: how far chords may lie from an arc here
FAR = 3.0  # ft: a point that chooses a side lies no further from it


@dataclass(frozen=True, slots=True)
class BorderSide:
    """One side of an outline: its number from 1, the point in its middle, its length [ft], whether borders go there."""

    number: int
    at: Point
    length: float
    chosen: bool
    inward: Point = (0.0, 0.0)  # the direction into the outline there


def sides_of(outline: Outline, along: Sequence[Point] = ()) -> tuple[BorderSide, ...]:
    """The sides of the outer edge in the order they are walked; those that `along` names are chosen; none named: all.

    >>> square = Outline("POLYGON ((0 0, 4 0, 4 3, 0 3, 0 0))")
    >>> [(one.number, one.at, one.length, one.chosen) for one in sides_of(square, [(2, 0)])][:2]
    [(1, (2.0, 0.0), 4.0, True), (2, (4.0, 1.5), 3.0, False)]
    """
    chains = chains_of(outline)
    chosen = chosen_of(outline, tuple(along))
    found = []
    for place, chain in enumerate(chains):
        at, inward = _middle(chain)
        found.append(BorderSide(place + 1, at, sum(piece.length for piece in chain.pieces), place in chosen, inward))
    return tuple(found)


@lru_cache(maxsize=512)
def chosen_of(outline: Outline, along: tuple[Point, ...]) -> frozenset[int]:
    """The places of the sides that points on them name; all where there are no points.

    Raises: BadValue where none of the points lies near the outline any more.
    """
    chains = chains_of(outline)
    if not along:
        return frozenset(range(len(chains)))
    paths = [shapely.linestrings(_path(chain)) for chain in chains]
    found = set()
    for point in along:
        if not (isfinite(point[0]) and isfinite(point[1])):
            continue
        away = [float(shapely.distance(path, shapely.points(point))) for path in paths]
        if min(away) <= FAR:
            found.add(away.index(min(away)))
    if not found:
        raise BadValue("The sides chosen for the border are not there any more. Choose them again.", field="border")
    return frozenset(found)


def bordered(outline: Outline, along: tuple[Point, ...], *, mitered: bool = False) -> tuple[Chain, ...]:
    """The chosen sides, each with how its border ends at its two corners.

    Where the next side has none, it runs through to the outline, or is mitered; at an inward corner it ends square.
    """
    chains, chosen = chains_of(outline), chosen_of(outline, along)
    count = len(chains)
    return tuple(
        replace(chain, ends=_ends(((place - 1) % count in chosen, (place + 1) % count in chosen), chain.turns, mitered))
        for place, chain in enumerate(chains)
        if place in chosen
    )


def ground_of_border(
    outline: Outline, along: tuple[Point, ...], depth: float, *, mitered: bool = False
) -> BaseGeometry:
    """The ground along the chosen sides as far in as `depth` [ft]."""
    solid = Polygon(chords(outline, FINE).polygon.exterior)
    bands = [_band(chain, depth) for chain in bordered(outline, along, mitered=mitered)]
    taken: BaseGeometry = shapely.union_all(bands).intersection(solid)
    return taken


def stops_of(outline: Outline, along: tuple[Point, ...], depth: float, *, mitered: bool = False) -> tuple[Point, ...]:
    """The inner corners of a border as deep as that [ft] where it stops: on the next side, or square off its own.

    >>> square = Outline("POLYGON ((0 0, 4 0, 4 3, 0 3, 0 0))")
    >>> [(round(x, 6), round(y, 6)) for x, y in stops_of(square, ((2, 0),), 1.0)]
    [(0.0, 1.0), (4.0, 1.0)]
    """
    chains = bordered(outline, along, mitered=mitered)
    ends = ((chain, place) for chain in chains for place in (0, 1) if not chain.closed and chain.ends[place] != "on")
    return tuple(_stop(chain, place, depth) for chain, place in ends)


def _stop(chain: Chain, place: int, depth: float) -> Point:
    x, y = chain.end if place else chain.begin
    turn, own = chain.turns[place], chain.headings[place]
    if chain.ends[place] == "square":
        way, far = own + pi / 2, depth
    elif chain.ends[place] == "miter":
        arriving = own if place else chain.before
        way, far = arriving + turn / 2 + pi / 2, depth / cos(turn / 2)
    else:  # along the next side, which may lie at a slant
        way, far = (chain.after if place else chain.before + pi), depth / sin(turn)
    return x + far * cos(way), y + far * sin(way)


def _ends(beside: tuple[bool, bool], turns: tuple[float, float], mitered: bool) -> tuple[End, End]:
    return _end(beside[0], turns[0], mitered), _end(beside[1], turns[1], mitered)


def _end(goes_on: bool, turn: float, mitered: bool) -> End:
    if goes_on:
        return "on"
    if turn <= 0:
        return "square"
    return "miter" if mitered else "through"


def through(turn: float, depths: tuple[float, ...]) -> float:
    """How far past a corner a band reaches that runs through to the outline [ft]; negative: it ends before it."""
    return max(depth / tan(turn) for depth in depths)


def _band(chain: Chain, depth: float) -> BaseGeometry:
    """The ground along one side: its path, longer or shorter at the corners, as wide as it is deep."""
    path = _path(chain)
    if chain.closed:
        solid = Polygon(path)
        ring: BaseGeometry = solid.difference(solid.buffer(-depth, join_style="mitre"))
        return ring
    for place in (0, 1):
        turn, end = chain.turns[place], chain.ends[place]
        longer = max(0.0, through(turn, (depth,))) if end == "through" else 0.0
        longer = depth * tan(min(-turn, 0.95 * pi) / 2) if end == "on" and turn < 0 else longer
        if longer:
            beyond, corner = (path[1], path[0]) if not place else (path[-2], path[-1])
            long = hypot(corner[0] - beyond[0], corner[1] - beyond[1])
            x, y = ((corner[at] - beyond[at]) / long * longer for at in (0, 1))
            further = (corner[0] + x, corner[1] + y)
            path = [*path, further] if place else [further, *path]
    band: BaseGeometry = shapely.buffer(shapely.linestrings(path), depth, single_sided=True, join_style="mitre")
    for place in (0, 1):
        turn, end = chain.turns[place], chain.ends[place]
        if end == "miter" or (end == "on" and turn < 0):
            band = band.difference(_past_miter(chain, place, depth))
    return band


def _past_miter(chain: Chain, place: int, depth: float) -> BaseGeometry:
    """What lies beyond the line that halves a corner, as far as a band of that depth can reach."""
    x, y = chain.end if place else chain.begin
    turn = chain.turns[place]
    arriving = chain.headings[1] if place else chain.before
    half = arriving + turn / 2 + pi / 2
    way, off = (cos(half), sin(half)), (sin(half), -cos(half))
    reach, side = 3 * depth / max(cos(turn / 2), 0.05), 1.0 if place else -1.0
    around = ((-1.0, 0.0), (1.0, 0.0), (1.0, side), (-1.0, side))
    corners = [(x + (u * way[0] + v * off[0]) * reach, y + (u * way[1] + v * off[1]) * reach) for u, v in around]
    return Polygon(corners)


def _path(chain: Chain) -> list[Point]:
    """A side as points, arcs as fine chords."""
    path = [chain.begin]
    for piece in chain.pieces:
        if isinstance(piece, Arc):
            steps = max(2, ceil(abs(piece.sweep) / (2 * acos(max(0.0, 1 - FINE / piece.radius)))))
            turns = (piece.from_angle + piece.sweep * step / steps for step in range(1, steps))
            x, y = piece.center
            path += [(x + piece.radius * cos(turn), y + piece.radius * sin(turn)) for turn in turns]
        path.append(piece.end)
    return path


def _middle(chain: Chain) -> tuple[Point, Point]:
    """The point halfway along a side, and the direction into the outline there."""
    path = _path(chain)
    at = halfway(path)
    (ax, ay), (bx, by) = min(pairwise(path), key=lambda ends: _detour(ends, at))
    long = hypot(bx - ax, by - ay) or 1.0
    return at, (-(by - ay) / long, (bx - ax) / long)


def _detour(ends: tuple[Point, Point], at: Point) -> float:
    (ax, ay), (bx, by) = ends
    return hypot(at[0] - ax, at[1] - ay) + hypot(bx - at[0], by - at[1]) - hypot(bx - ax, by - ay)
