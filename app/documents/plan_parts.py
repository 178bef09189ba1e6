"""What the layers of a plan drawing share: the sheet in the making, where things lie, what is still undecided."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import cos, pi, sin
from operator import attrgetter
from typing import Any
from uuid import UUID

import shapely
from shapely.geometry import MultiLineString

from app.documents.hatches import Patterns
from app.documents.sheet_view import Box, Taken, View, fitted
from app.domain.basis import Basis
from app.domain.job import Existing, Feature, Job, Note, Run, Zone, zones_by_key
from app.domain.keeping import BoundedByIdentity
from app.domain.plan import bounds, chords
from app.domain.plan.arcs import Point
from app.domain.plan.edges import NO_ZONES, SharedEdge
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import Outline
from app.domain.takeoff.meeting import Meeting, meetings, undecided

COARSE = 1 / 24  # ft: chords of arcs, where text is placed
EDGE = 58  # px: around the plan, where the overall dimensions run
NARROW = 520  # px: a drawing less wide than this is seen on a phone: less around it, smaller bubbles, more numbers
NARROW_EDGE = 46  # px
ROOMY = 0.6  # a center of area this share of the most room away from the edge is good enough
NEAR = 9  # ft: how much of the house and of what lies around the zones a quiet drawing shows
MUCH_LARGER = 1.7  # a lot with this many times the area of what is designed is not shown whole


@dataclass(slots=True)
class Sheet:
    """One drawing in the making: the job on a view, the patterns used so far, where words stand already."""

    job: Job
    basis: Basis
    view: View
    patterns: Patterns
    taken: Taken
    pen: float = 1.0  # how thick lines are drawn
    quiet: bool = False  # for the client: lines in the ground thin and without words
    numbered: bool = False  # on our own page: what has no room for its name shows its number in the list below
    laid: bool = False  # on paper: the units of every zone as they are laid
    link_end: str = ""  # what the address of a bubble or an edge ends with
    marks: list[str] = field(default_factory=list)  # drawn above all lines
    bubbles: dict[str, tuple[Point, float]] = field(default_factory=dict)  # by zone: middle and radius, once drawn
    _numbers: Mapping[int, int] | None = field(default=None, init=False)
    _names: dict[str, str] = field(default_factory=dict, init=False)

    @property
    def narrow(self) -> bool:
        """Whether it is seen on a phone."""
        return self.view.width < NARROW

    def number(self, met: Meeting) -> int:
        """Which of several stretches with one neighbor it is, as its zone counts them from 1; 0 for the only one."""
        if self._numbers is None:
            self._numbers = _numbered([met.stretch for met in meetings(self.job)])
        return self._numbers.get(id(met.stretch), 0)

    def name(self, neighbor: str) -> str:
        """A zone by its letter or title, anything else by its own word."""
        if not self._names:
            keyed = zones_by_key(self.job.zones).items()
            self._names.update({key: zone.letter or zone.title for key, zone in keyed})
        return self._names.get(neighbor, neighbor)

    def outline(self, zone: Zone) -> Outline | None:
        """The outline of a zone's chosen alternative."""
        return outline_of(self.job, zone)

    def drawn_zones(self) -> Iterator[tuple[Zone, Outline]]:
        """The zones that have an outline."""
        return drawn_zones(self.job)


def _numbered(stretches: Sequence[SharedEdge]) -> Mapping[int, int]:
    """The numbers from 1, by identity, of those stretches that are not the only one with their neighbor."""
    pairs = list(map(_PAIR, stretches))
    many = {pair for pair, times in Counter(pairs).items() if times > 1}
    so_far: dict[tuple[str, str], int] = dict.fromkeys(many, 0)
    found: dict[int, int] = {}
    for pair, one in zip(pairs, stretches, strict=True) if many else ():
        if pair in many:
            so_far[pair] += 1
            found[id(one)] = so_far[pair]
    return found


_PAIR = attrgetter("zone", "neighbor")


def sheet_of(
    job: Job,
    basis: Basis,
    width: float,
    *,
    small: bool = False,
    tallest: float | None = None,
    quiet: bool = False,
    crop: Box | None = None,
) -> Sheet | None:
    """A sheet for the part of the plan that is shown, at most `tallest` px high; None where nothing is drawn yet.

    A quiet one is cropped to the zones and the near strip of the house, any to `crop` [ft].
    """
    box = crop or (near_extent(job) if quiet else extent(job))
    if box is None:
        return None
    most = tallest / width if tallest else 1.15
    tall = (0.62, 0.62) if small else (min(0.55, most), most)
    view = fitted(box, width, tall=tall, edge=8 if small else NARROW_EDGE if width < NARROW else EDGE)
    prefix = f"{'small' if small else 'plan'}-{str(job.head.id)[-8:]}"
    size = 0.5 if small else min(max(view.scale / 24, 0.7), 1.3)
    return Sheet(job, basis, view, Patterns(prefix, size), Taken(view.width, view.height), 0.6 if small else 1.0, quiet)


def outline_of(job: Job, zone: Zone) -> Outline | None:
    """The outline of a zone's chosen alternative."""
    chosen = job.chosen(zone)
    return chosen.outline if chosen else None


def drawn_zones(job: Job) -> Iterator[tuple[Zone, Outline]]:
    """The zones that have an outline."""
    found = _DRAWN_ZONES.get(job)
    if found is None:
        ways = ((zone, job.chosen(zone)) for zone in job.zones)
        found = tuple((zone, way.outline) for zone, way in ways if way is not None and way.outline is not None)
        _DRAWN_ZONES.keep(job, found)
    return iter(found)


_DRAWN_ZONES: BoundedByIdentity[Job, tuple[tuple[Zone, Outline], ...]] = BoundedByIdentity(16)


def extent(job: Job) -> Box | None:
    """The part of the plan [ft] that is shown: what is designed and the house; the lot where it is not much larger."""
    outlines = [outline for _zone, outline in drawn_zones(job)]
    outlines += [thing.outline for thing in job.existing if thing.outline]
    outlines += [job.site.house] if job.site.house else []
    boxes = [bounds(outline) for outline in outlines]
    lines: tuple[Run | Existing, ...] = (*job.runs, *job.existing)
    boxes += [(x, y, x, y) for run in lines for x, y in fine_points(run.points, run.rises, COARSE)]
    standing: tuple[Feature | Existing | Note, ...] = (*job.features, *job.existing, *job.notes)
    boxes += [(f.x, f.y, f.x, f.y) for f in standing if f.x is not None and f.y is not None]
    boxes += [(*one.start, *one.start) for one in job.dimensions] + [(*one.end, *one.end) for one in job.dimensions]
    lot = bounds(job.site.lot) if job.site.lot else None
    if not boxes:
        return lot
    box = around(boxes)
    if lot is not None:
        wider = around([box, lot])
        if _area(wider) <= MUCH_LARGER * _area(box):
            return wider
    return box


def near_extent(job: Job) -> Box | None:
    """What is designed and `NEAR` ft around it, as far as anything stands there; all that is known without zones."""
    whole = extent(job)
    boxes = [bounds(outline) for _zone, outline in drawn_zones(job)]
    if whole is None or not boxes:
        return whole
    boxes += [(f.x, f.y, f.x, f.y) for f in job.features if f.x is not None and f.y is not None]
    west, south, east, north = around(boxes)
    return (
        max(whole[0], west - NEAR),
        max(whole[1], south - NEAR),
        min(whole[2], east + NEAR),
        min(whole[3], north + NEAR),
    )


def zone_box(job: Job, zone_id: UUID, *, whole: bool = False) -> Box | None:
    """The ground of one zone [ft] with a quarter of its size around it, at least 4 ft; None where it is not drawn.

    With `whole` the lines and things that belong to it are within, wherever they lie.
    """
    found = next((outline for zone, outline in drawn_zones(job) if zone.id == zone_id), None)
    if found is None:
        return None
    boxes = [bounds(found)]
    if whole:
        boxes += [
            (x, y, x, y)
            for run in job.runs
            if run.zone_id == zone_id
            for x, y in fine_points(run.points, run.rises, COARSE)
        ]
        boxes += [
            (one.x, one.y, one.x, one.y)
            for one in job.features
            if one.zone_id == zone_id and one.x is not None and one.y is not None
        ]
    west, south, east, north = around(boxes)
    margin = max(4.0, (east - west) / 4, (north - south) / 4)
    return west - margin, south - margin, east + margin, north + margin


def around(boxes: list[Box]) -> Box:
    """The box around boxes [ft: west, south, east, north]."""
    west, south, east, north = zip(*boxes, strict=True)
    return min(west), min(south), max(east), max(north)


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def open_edges(job: Job) -> Iterator[Meeting]:
    """Where two zones, or a zone and the house, meet and nobody has decided how: each such stretch once."""
    return (met for met in undecided(meetings(job)) if _told_here(met))


def decided_edges(job: Job) -> Iterator[Meeting]:
    """The stretches where something is built or somebody said that nothing is, each once."""
    return (met for met in meetings(job) if met.decided and _told_here(met))


def _told_here(met: Meeting) -> bool:
    """Whether a stretch is drawn from this side: of the two zones that meet, one draws it."""
    return met.neighbor in NO_ZONES or met.stretch.zone < met.neighbor


def places_within(outline: Outline) -> tuple[tuple[Point, float], ...]:
    """Places where a bubble may stand in an outline, the best first, and how far the nearest edge is [ft].

    First the center of area where it lies well inside, then the roomiest place, then places around that.
    """
    return _places_within(outline.wkt)


@lru_cache(maxsize=1024)
def _places_within(wkt: str) -> tuple[tuple[Point, float], ...]:
    return tuple(_places(Outline(wkt)))


def _places(outline: Outline) -> Iterator[tuple[Point, float]]:
    (x, y), room = _roomiest(outline.wkt)
    polygon: Any = chords(outline, COARSE).polygon
    center = polygon.centroid
    away = float(center.distance(polygon.boundary))
    if polygon.contains(center) and away >= ROOMY * room:
        yield (center.x, center.y), away
    yield (x, y), room
    for share in (0.45, 0.7):
        for step in range(8):
            turn = step * pi / 4
            place = x + share * room * cos(turn), y + share * room * sin(turn)
            yield place, room * (1 - share)


def middle(outline: Outline) -> Point:
    """The best place for a bubble in an outline [ft]."""
    return places_within(outline)[0][0]


@lru_cache(maxsize=512)
def _roomiest(wkt: str) -> tuple[Point, float]:
    polygon = chords(Outline(wkt), COARSE).polygon
    spoke: Any = shapely.maximum_inscribed_circle(polygon, tolerance=0.25)  # type: ignore[no-untyped-call]
    x, y = spoke.coords[0]
    return (x, y), float(spoke.length)


def diagonals(outline: Outline) -> list[list[Point]]:
    """The two diagonals of an outline's box, where they run inside it, as lines of points [ft]."""
    west, south, east, north = bounds(outline)
    crossing: Any = MultiLineString([[(west, south), (east, north)], [(west, north), (east, south)]])  # type: ignore[no-untyped-call]
    within = crossing.intersection(chords(outline, COARSE).polygon)
    parts = getattr(within, "geoms", [within])
    return [[(x, y) for x, y in part.coords] for part in parts if part.geom_type == "LineString" and not part.is_empty]
