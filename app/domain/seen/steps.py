"""Steps built at an edge between two levels: each tread as a slab, going down on the lower side from the middle."""

from collections.abc import Iterator
from math import atan2, hypot

from app.domain.job import PlaceKind
from app.domain.plan.arcs import Point
from app.domain.plan.edges import halfway
from app.domain.seen.bodies import box_around
from app.domain.seen.solids import Solid
from app.domain.seen.standing import Yard, built_on
from app.domain.takeoff.meeting import Meeting, by_edge, meetings

ASIDE = 0.75  # ft from an edge, where the level of either side is looked at
LEAST_DROP = 0.1  # ft


def steps_of(yard: Yard) -> Iterator[Solid]:
    """The steps of every decided edge whose recipe has a riser and a tread; none where both sides lie level."""
    met = by_edge(meetings(yard.job))
    for edge in yard.job.edges:
        built = built_on(yard, PlaceKind.EDGE, edge.id, edge.zone_id)
        riser, tread = (built.parameters.get(name, 0.0) for name in ("riser", "tread"))
        stretches = met.get(edge.id, ())
        if riser > 0 and tread > 0 and stretches:
            longest = max(stretches, key=lambda one: one.stretch.length)
            wide = min(built.parameters.get("width", 5.0), longest.stretch.length)
            yield from _flight(yard, f"edge:{edge.id}", longest, (riser, tread, wide), (built.color, built.hatch))


def _flight(
    yard: Yard, key: str, met: Meeting, sizes: tuple[float, float, float], looks: tuple[str, str]
) -> Iterator[Solid]:
    riser, tread, wide = sizes
    middle, along = halfway(met.stretch.path), _way(met.stretch.path)
    out = (along[1], -along[0])
    sides = [yard.levels.at((middle[0] + out[0] * step, middle[1] + out[1] * step)) for step in (ASIDE, -ASIDE)]
    if sides[0] > sides[1]:
        out, sides = (-out[0], -out[1]), [sides[1], sides[0]]
    low, high = sides
    if high - low < LEAST_DROP:
        return
    count = max(1, round((high - low) / riser))
    rise = (high - low) / count
    for step in range(count - 1):  # the last rise is that onto the lower ground
        away = (step + 0.5) * tread
        center = (middle[0] + out[0] * away, middle[1] + out[1] * away)
        base = box_around(center, wide, tread, atan2(along[1], along[0]))
        yield Solid(key, base, low, high - rise * (step + 1), looks[0], looks[1], ground=True)


def _way(path: tuple[Point, ...]) -> Point:
    """The way from the first to the last point of an edge, of length 1."""
    (ax, ay), (bx, by) = path[0], path[-1]
    long = hypot(bx - ax, by - ay) or 1.0
    return (bx - ax) / long, (by - ay) / long
