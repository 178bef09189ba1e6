"""The plan as files for other programs: curve WKT line by line, and plain SVG at full size. Geometry and names only."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from math import pi

from app.domain.job import Job
from app.domain.plan.arcs import Arc, Point, Segment
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import Outline
from app.domain.plan.wkt import read_rings, write_line

MARGIN = 2.0  # ft, around what is drawn
STROKES = {"lot": "#5b655d", "zone": "#3f6134", "existing": "#7d7a68", "dimension": "#7d7a68"}


@dataclass(frozen=True, slots=True)
class Shape:
    """One thing of the plan: its kind, its name, and an outline or the pieces of a line."""

    kind: str
    name: str
    outline: Outline | None = None
    line: tuple[Segment, ...] = ()

    @property
    def wkt(self) -> str:
        """Its shape as curve WKT, as it is kept."""
        return self.outline.wkt if self.outline else write_line(self.line)

    @property
    def strokes(self) -> tuple[tuple[Segment, ...], ...]:
        """Its rings, or its line."""
        return read_rings(self.outline.wkt) if self.outline else (self.line,)


def shapes_of(job: Job) -> Iterator[Shape]:
    """Every outline and line of the plan: lot, house, what is there, zones as chosen, lines."""
    for part, outline in (("lot", job.site.lot), ("house", job.site.house)):
        if outline is not None:
            yield Shape(part, part.capitalize(), outline)
    for thing in job.existing:
        pieces = pieces_of(thing.points, thing.rises)
        if thing.outline is not None or pieces:
            yield Shape("existing", thing.title, thing.outline, pieces)
    chosen = job.chosen_by_zone()
    for zone in job.zones:
        way = chosen.get(zone.id)
        if way is not None and way.outline is not None:
            yield Shape("zone", f"{zone.letter} {zone.title}".strip(), way.outline)
    for run in job.runs:
        line = pieces_of(run.points, run.rises)
        if line:
            yield Shape("run", run.title, None, line)


def plan_as_wkt(job: Job) -> bytes:
    """A table (CSV): kind, name, curve WKT in feet from the datum, east and north."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(("kind", "name", "wkt"))
    rows.writerows((shape.kind, _cell(shape.name), shape.wkt) for shape in shapes_of(job))
    return text.getvalue().encode()


def _cell(name: str) -> str:
    """A name that no spreadsheet takes for a formula."""
    return f"'{name}" if name[:1] in {"=", "+", "-", "@", "\t"} else name


def plan_as_svg(job: Job) -> bytes:
    """A plain SVG, one unit a foot, at full size (a foot is twelve inches), y down; arcs as arcs."""
    shapes = list(shapes_of(job))
    points = [point for shape in shapes for stroke in shape.strokes for piece in stroke for point in piece.extremes()]
    points += [shape.line[-1].end for shape in shapes if shape.line]
    west, east = (pick((x for x, _ in points), default=0.0) for pick in (min, max))
    south, north = (pick((y for _, y in points), default=0.0) for pick in (min, max))
    wide, high = east - west + 2 * MARGIN, north - south + 2 * MARGIN
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{_n(west - MARGIN)} {_n(-north - MARGIN)} {_n(wide)} '
        f'{_n(high)}" width="{_n(wide * 12)}in" height="{_n(high * 12)}in">'
        f"<title>{escape(job.head.title or 'Plan')}</title><desc>One unit is one foot.</desc>\n"
    )
    return (head + "".join(_path(number, shape) for number, shape in enumerate(shapes, 1)) + "</svg>\n").encode()


def _path(number: int, shape: Shape) -> str:
    data = "".join(_stroke(stroke) + ("Z" if shape.outline else "") for stroke in shape.strokes)
    color = STROKES.get(shape.kind, "#1d2a26")
    return (
        f'<path id="{shape.kind}-{number}" d="{data}" fill="none" stroke="{color}" stroke-width="0.08">'
        f"<title>{escape(shape.name)}</title></path>\n"
    )


def _stroke(pieces: tuple[Segment, ...]) -> str:
    parts = [f"M{_xy(pieces[0].start)}"]
    for piece in pieces:
        if isinstance(piece, Arc):
            size, large, sweep = _n(piece.radius), int(abs(piece.sweep) > pi), int(piece.sweep < 0)
            parts.append(f"A{size} {size} 0 {large} {sweep} {_xy(piece.end)}")
        else:
            parts.append(f"L{_xy(piece.end)}")
    return "".join(parts)


def _xy(point: Point) -> str:
    return f"{_n(point[0])} {_n(-point[1])}"


def _n(value: float) -> str:
    text = f"{value:.9f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
