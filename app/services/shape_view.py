"""The shape of a thing as a table: one row a point, with the edge that leads on from it."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from math import atan2, degrees
from uuid import UUID

from app.domain.errors import NotFound
from app.domain.job import Job
from app.domain.plan.arcs import Arc, Line, Segment, ring_area
from app.domain.plan.pieces import heading, rise_of
from app.domain.plan.points import radius_of
from app.domain.plan.walks import Walk
from app.domain.takeoff.sprinkled import is_sprinkler
from app.services.drawn_shapes import SHAPED, Drawn, drawn
from app.services.placing_plan import COPIED
from app.services.sheets import Sheet

MOST_ROWS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class PointRow:
    """A point [ft], and the edge that leads on: length [ft], direction [degrees, 0 right, 90 up], how it is bent.

    `side` is straight, or out and in (left and right of a line); the last point of a line has no edge.
    """

    x: float
    y: float
    length: float | None = None
    direction: float | None = None
    side: str = ""
    rise: float | None = None
    radius: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RingTable:
    """One walk of a shape: its number, its rows, and whether it is closed."""

    number: int
    closed: bool
    outward: int  # 1 where what bulges to the right of the way bulges outward; -1 where the points run clockwise
    rows: tuple[PointRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapeNote:
    """All that the plan sheet offers for the shape of the thing in focus."""

    kind: str
    id: UUID
    title: str
    version: int
    drawn: bool
    is_line: bool
    rings: tuple[RingTable, ...]
    edges: tuple[int, ...]  # numbers of the outer edges
    can_copy: bool
    joinable: tuple[tuple[str, str], ...]  # other drawn zones, by id and title
    sprinkler: bool = False  # a head or a valve: all else of it stands on its own sheet


def shape_note(view: Sheet, focus: str) -> ShapeNote | None:
    """The shape in focus ("zone:ID", "run:ID", "existing:ID", "lot:ID", "house:ID"); None for anything else."""
    kind, _, key = focus.partition(":")
    try:
        thing_id = UUID(key)
    except ValueError:
        return None
    if kind not in SHAPED:
        return None
    with suppress(NotFound):
        return _note(view, kind, thing_id, drawn(view.opened, kind, thing_id))
    return None


def _note(view: Sheet, kind: str, thing_id: UUID, shape: Drawn) -> ShapeNote:
    rings = tuple(_table(number, shape.walk(number)) for number in range(shape.rings))
    outer = rings[0].rows if rings and len(rings[0].rows) <= MOST_ROWS else ()
    return ShapeNote(
        kind=kind,
        id=thing_id,
        title=shape.title,
        version=shape.version,
        drawn=bool(rings),
        is_line=shape.is_line,
        rings=rings,
        edges=tuple(number for number, row in enumerate(outer, 1) if row.length is not None),
        can_copy=kind in COPIED,
        joinable=tuple(_others(view.job, thing_id)) if kind == "zone" else (),
        sprinkler=kind == "existing" and any(one.id == thing_id and is_sprinkler(one) for one in view.job.existing),
    )


def _others(job: Job, zone_id: UUID) -> Iterator[tuple[str, str]]:
    """The other zones that are drawn."""
    chosen = job.chosen_by_zone()
    for zone in job.zones:
        way = chosen.get(zone.id)
        if zone.id != zone_id and way is not None and way.outline is not None:
            yield str(zone.id), f"{zone.letter} {zone.title}".strip()


def _table(number: int, walk: Walk) -> RingTable:
    outward = 1 if not walk.closed or ring_area(walk.pieces) > 0 else -1
    sides = ("out", "in") if walk.closed else ("right", "left")
    rows = [_row(piece, outward, sides) for piece in walk.pieces]
    if not walk.closed:
        x, y = walk.pieces[-1].end
        rows.append(PointRow(x=x, y=y))
    return RingTable(number=number, closed=walk.closed, outward=outward, rows=tuple(rows))


def _row(piece: Segment, outward: int, sides: tuple[str, str]) -> PointRow:
    east, north = heading(Line(piece.start, piece.end), 0)
    rise = rise_of(piece) * outward
    return PointRow(
        x=piece.start[0],
        y=piece.start[1],
        length=piece.length,
        direction=degrees(atan2(north, east)) % 360,
        side=sides[0 if rise > 0 else 1] if isinstance(piece, Arc) else "straight",
        rise=abs(rise) if isinstance(piece, Arc) else None,
        radius=radius_of(piece),
    )
