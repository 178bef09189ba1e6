"""Letters of zones in the yard seen from aside: each where its zone is seen; one that is hidden has none."""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import shapely

from app.domain.plan.arcs import Point
from app.domain.seen.solids import NEAR, Solid, projected

TALL = 2.0  # ft above a zone: what is lower hides little of it. Assumption
ROOM = 0.75  # ft: a letter stands where so much around it is seen
FINE = 0.25  # ft: how exactly the place with most room around it is found


class Lettered(NamedTuple):
    """A letter, its zone's key in the scene, where it stands on the plan and how high [ft]."""

    letter: str
    key: str
    at: Point
    level: float


class Placed(NamedTuple):
    """Letters with their places on the drawing [ft: right, up], and those of zones that are hidden."""

    seen: tuple[tuple[str, Point], ...]
    hidden: tuple[str, ...]


def placed(letters: Sequence[Lettered], ordered: Sequence[Solid], corner: int) -> Placed:
    """Letters of zones from a corner; `ordered` is in the order in which solids are drawn."""
    seen, hidden = [], []
    for one in letters:
        at = _place(one, ordered, corner)
        if at is None:
            hidden.append(one.letter)
        else:
            seen.append((one.letter, at))
    return Placed(tuple(seen), tuple(hidden))


def _place(one: Lettered, ordered: Sequence[Solid], corner: int) -> Point | None:
    """Its own place where that is seen, else the middle of what is seen of the zone; None where nothing is."""
    usual = projected(one.at, one.level, corner)
    over = list(_over(one, ordered, corner))
    spot = shapely.points(usual)
    if not any(shape.contains(spot) for _, shape in over):
        return usual
    parts = [_open(solid, place, over, corner) for place, solid in enumerate(ordered) if solid.key == one.key]
    largest = max(
        (piece for part in parts for piece in shapely.get_parts(part)), key=lambda one: one.area, default=None
    )
    if largest is None or largest.is_empty:
        return None
    spoke = shapely.maximum_inscribed_circle(largest, tolerance=FINE)  # type: ignore[no-untyped-call]
    if spoke.length < ROOM:
        return None
    x, y = shapely.get_coordinates(spoke)[0]
    return float(x), float(y)


def _over(one: Lettered, ordered: Sequence[Solid], corner: int) -> Iterator[tuple[int, Any]]:
    """What stands taller than a zone and may lie before it: its place in the order, what it covers of the drawing."""
    first = min((place for place, solid in enumerate(ordered) if solid.key == one.key), default=0)
    for place, solid in enumerate(ordered[first:], first):
        if solid.top > one.level + TALL and solid.key != one.key and not solid.open and not solid.line:
            yield place, _outline(solid, corner, (solid.bottom, solid.top))


def _open(solid: Solid, place: int, over: Sequence[tuple[int, Any]], corner: int) -> Any:
    """What is seen of the top of a zone's part."""
    later = [shape for at, shape in over if at > place]
    return _outline(solid, corner, (solid.top,)).difference(shapely.union_all(later))


def _outline(solid: Solid, corner: int, heights: tuple[float, ...]) -> Any:
    points = [projected(point, height, corner) for point in solid.base for height in heights]
    return shapely.multipoints(points).convex_hull.buffer(NEAR)
