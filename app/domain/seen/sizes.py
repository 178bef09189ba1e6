"""How large a thing at a point is on the ground, and which way it stands: as typed, else as such things are."""

from math import atan2

from app.domain.job import Feature, Job
from app.domain.plan.arcs import Line
from app.domain.plan.outline import segments
from app.domain.plan.walls import from_wall

# About how long and wide a thing of that name is [ft], where it was not typed. Common practice, no source.
NATURAL: tuple[tuple[str, float, float], ...] = (
    ("tree", 8, 8),
    ("shrub", 3, 3),
    ("fire", 4, 4),
    ("light", 0.8, 0.8),
    ("outlet", 0.5, 0.5),
    ("transformer", 0.8, 0.8),
    ("sprinkler", 0.6, 0.6),
    ("grill", 3, 2),
    ("counter", 6, 2.5),
    ("table", 6, 3.3),
    ("column", 2, 2),
    ("structure", 10, 10),
)


def size_of(feature: Feature, words: str) -> tuple[float, float]:
    """Length and width of a feature on the ground [ft]: as typed, else from its area, else as such things are."""
    name = next((one for one in NATURAL if one[0] in words), ("", 2.0, 2.0))
    if feature.length:
        share = name[2] if name[0] else feature.length
        width = feature.thickness or (feature.area / feature.length if feature.area else min(share, feature.length))
        return feature.length, width
    if feature.area:
        long = (feature.area * name[1] / name[2]) ** 0.5
        return long, feature.area / long
    return name[1], name[2]


def stands_along(job: Job, feature: Feature) -> float:
    """Which way its length runs [radians, counterclockwise from the plan's x]: along the nearest side of its zone."""
    zone = next((one for one in job.zones if one.id == feature.zone_id), None)
    way = job.chosen(zone) if zone else None
    if way is None or way.outline is None or feature.x is None or feature.y is None:
        return 0.0
    place = feature.x, feature.y
    sides = [piece for piece in segments(way.outline) if isinstance(piece, Line)]
    if not sides:
        return 0.0
    side = min(sides, key=lambda one: from_wall(place, one))
    return atan2(side.end[1] - side.start[1], side.end[0] - side.start[0])
