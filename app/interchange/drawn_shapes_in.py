"""Shapes out of a drawing file: SVG, or curve WKT line by line. What comes from outside is trusted in nothing.

The XML reader takes no document type, no entities and nothing from elsewhere; size, depth and counts are bounded.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import cos, radians, sin, tan
from xml.parsers import expat

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Ring, Segment, ring_area
from app.domain.plan.outline import LEAST_EDGE, outline_of_rings
from app.domain.plan.pieces import distance, part_of
from app.domain.plan.wkt import read_line, read_rings, write_line
from app.interchange.svg_paths import Matrix, Pen, draw_ellipse, draw_path, draw_rectangle

LARGEST = 2_000_000  # bytes
DEEPEST, MOST_ELEMENTS, MOST_SHAPES = 64, 20_000, 200
LONGEST_NAME = 60  # characters
INCH = 1 / 12  # ft
UNITS: Mapping[str, float] = {"in": INCH, "mm": 0.001 / 0.3048, "cm": 0.01 / 0.3048, "pt": INCH / 72, "pc": INCH / 6}
NOT_DRAWN = {"defs", "clipPath", "mask", "pattern", "marker", "symbol", "metadata", "filter", "style", "script"}
SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
LEFT_OUT = {"text", "image", "use", "foreignObject"}


@dataclass(frozen=True, slots=True)
class FoundShape:
    """One shape of a file in feet: its name, its curve WKT (an outline where it is closed, else a line)."""

    name: str
    wkt: str
    closed: bool


@dataclass(frozen=True, slots=True)
class Found:
    """The shapes of a file, and what a person should know about how they were read."""

    shapes: tuple[FoundShape, ...]
    notes: tuple[str, ...]


def shapes_in(content: bytes, *, unit: float | None = None, width: float | None = None) -> Found:
    """The shapes of a drawing.

    `unit` [ft] is what one unit of an SVG stands for in the yard, or `width` [ft] how wide all of it is there; without
    either an SVG must say its own size. WKT is in feet, or in units of `unit`.
    Raises: BadValue for a file too large, hostile, unreadable or without shapes.
    """
    text = _text(content)
    if "<svg" in text[:20_000] or text.lstrip().startswith("<"):
        return _svg(text, unit, width)
    return _wkt_lines(text, unit or 1.0)


def _text(content: bytes) -> str:
    if len(content) > LARGEST:
        raise BadValue(f"The file is larger than {LARGEST / 1e6:.0f} MB. Save less of the drawing.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise BadValue("The file is no drawing in plain text. Choose an SVG file, or one with WKT.") from wrong
    if not text.strip():
        raise BadValue("The file is empty. Choose an SVG file, or paste WKT.")
    return text


@dataclass(slots=True)
class _Reading:
    """What is gathered while an SVG is read."""

    places: list[Matrix]
    pens: list[tuple[str, Pen]] = field(default_factory=list)
    hidden: int = 0  # depth within what is not drawn
    elements: int = 0
    left_out: set[str] = field(default_factory=set)
    own: float | None = None  # ft: what a unit is by the file's own size

    def begin(self, name: str, told: Mapping[str, str]) -> None:
        """An element begins."""
        tag = name.rpartition(":")[2]
        self.elements += 1
        if self.elements > MOST_ELEMENTS or len(self.places) > DEEPEST:
            raise BadValue("The drawing has too many parts, or they lie too deep in each other. Save less of it.")
        if tag == "svg" and len(self.places) == 1:
            self.own = _own_unit(told)
        self.places.append(self.places[-1].after(_transform(told.get("transform", ""))))
        if self.hidden or tag in NOT_DRAWN:
            self.hidden += 1
        elif tag in LEFT_OUT:
            self.left_out.add(tag)
        elif tag in SHAPES:
            pen = Pen(self.places[-1])
            _draw(tag, told, pen)
            self.pens.append((told.get("id", "")[:LONGEST_NAME], pen))

    def end(self, _name: str) -> None:
        """An element ends."""
        self.places.pop()
        self.hidden = max(0, self.hidden - 1)


def _svg(text: str, unit: float | None, width: float | None) -> Found:
    first = _read(text, Matrix())
    scale = unit or first.own
    if width is not None:
        pieces = [piece for _, pen in first.pens for stroke in pen.strokes for piece in stroke]
        points = [point for piece in pieces for point in (*piece.extremes(), piece.end)]
        across = max((x for x, _ in points), default=0) - min((x for x, _ in points), default=0)
        scale = width / across if across > 0 else None
    if scale is None:
        raise BadValue(
            "The drawing does not say how large it is. Type what one unit of it is, or how wide all of it is.",
            field="unit",
        )
    reading = _read(text, Matrix(a=scale, d=-scale))
    shapes: list[FoundShape] = []
    crossing = 0
    for name, pen in reading.pens:
        taken, left = _shapes_of(name, pen)
        shapes += taken
        crossing += left
    curves = sum(pen.curves for _, pen in reading.pens)
    notes = [f"{curves} curves without a radius became arcs, within 1/4 in of what was drawn."] if curves else []
    if reading.left_out:
        notes.append(f"Left out: {', '.join(sorted(reading.left_out))}.")
    if crossing:
        notes.append(f"{crossing} shapes cross themselves or enclose nothing: left out.")
    return _found(shapes, notes)


def _found(shapes: Sequence[FoundShape], notes: list[str]) -> Found:
    if not shapes:
        raise BadValue("There is no shape in this file that could be taken over.")
    if len(shapes) > MOST_SHAPES:
        notes.append(f"The first {MOST_SHAPES} of {len(shapes)} shapes are shown.")
    return Found(tuple(shapes[:MOST_SHAPES]), tuple(notes))


def _read(text: str, place: Matrix) -> _Reading:
    reading = _Reading([place])
    parser = expat.ParserCreate()
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
    parser.StartDoctypeDeclHandler = _refuse_doctype
    parser.EntityDeclHandler = _refuse_doctype
    parser.StartElementHandler = reading.begin
    parser.EndElementHandler = reading.end
    try:
        parser.Parse(text.encode(), True)
    except expat.ExpatError as wrong:
        raise BadValue(f"The drawing cannot be read: it is broken in line {wrong.lineno}.") from wrong
    return reading


def _refuse_doctype(*_: object) -> None:
    raise BadValue("The drawing brings a document type of its own, which may hide things. Save it as plain SVG.")


def _own_unit(told: Mapping[str, str]) -> float | None:
    """What a unit of the drawing stands for by the size it is to be printed at, one to one [ft]; None in pixels."""
    size = re.fullmatch(r"\s*([0-9.]+)\s*([a-z]*)\s*", told.get("width", ""))
    box = [float(part) for part in re.findall(r"[-+0-9.eE]+", told.get("viewBox", "")) if _is_number(part)]
    if size is None or size[2] not in UNITS or not _is_number(size[1]):
        return None
    across = box[2] if len(box) == 4 and box[2] > 0 else 0.0
    return float(size[1]) * UNITS[size[2]] / across if across else None


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _numbers(text: str) -> list[float]:
    return [float(part) for part in re.split(r"[\s,]+", text.strip()) if _is_number(part)]


def _number(told: Mapping[str, str], name: str) -> float:
    found = re.match(r"\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?)\s*(?:px)?\s*$", told.get(name, "0"))
    if found is None or not _is_number(found[1]):
        raise BadValue(f"A size of the drawing cannot be read: {name} is “{told.get(name, '')[:20]}”.")
    return float(found[1])


def _draw(tag: str, told: Mapping[str, str], pen: Pen) -> None:
    if tag == "path":
        draw_path(told.get("d", ""), pen)
    elif tag == "rect":
        box = (_number(told, "x"), _number(told, "y"), _number(told, "width"), _number(told, "height"))
        rx, ry = told.get("rx", told.get("ry", "0")), told.get("ry", told.get("rx", "0"))
        draw_rectangle(pen, box, _number({"rx": rx}, "rx"), _number({"ry": ry}, "ry"))
    elif tag in {"circle", "ellipse"}:
        rx, ry = ("r", "r") if tag == "circle" else ("rx", "ry")
        draw_ellipse(pen, (_number(told, "cx"), _number(told, "cy")), _number(told, rx), _number(told, ry))
    elif tag == "line":
        pen.move(_number(told, "x1"), _number(told, "y1"))
        pen.line(_number(told, "x2"), _number(told, "y2"))
    else:
        flat = _numbers(told.get("points", ""))
        for place, (x, y) in enumerate(zip(flat[::2], flat[1::2], strict=False)):
            (pen.line if place else pen.move)(x, y)
        if tag == "polygon":
            pen.close()


_TRANSFORM = re.compile(r"(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^)]*)\)")


def _transform(text: str) -> Matrix:
    """A transform attribute (SVG 1.1, 7.6)."""
    found = Matrix()
    for kind, inside in _TRANSFORM.findall(text[:2_000]):
        n = _numbers(inside) + [0.0] * 6
        given = len(_numbers(inside))
        if kind == "matrix":
            step = Matrix(*n[:6])
        elif kind == "translate":
            step = Matrix(e=n[0], f=n[1])
        elif kind == "scale":
            step = Matrix(a=n[0], d=n[1] if given > 1 else n[0])
        elif kind == "rotate":
            c, s = cos(radians(n[0])), sin(radians(n[0]))
            step = Matrix(c, s, -s, c, n[1] - c * n[1] + s * n[2], n[2] - s * n[1] - c * n[2])
        else:
            slant = tan(radians(n[0]))
            step = Matrix(c=slant) if kind == "skewX" else Matrix(b=slant)
        found = found.after(step)
    return found


def _shapes_of(name: str, pen: Pen) -> tuple[list[FoundShape], int]:
    """The strokes of one element, and how many of them are no shape: closed ones within the largest are openings."""
    rings: list[Ring] = []
    found: list[FoundShape] = []
    for stroke, closed in zip(pen.strokes, pen.closed, strict=True):
        if stroke and (closed or (len(stroke) > 2 and distance(stroke[0].start, stroke[-1].end) < LEAST_EDGE)):
            rings.append(_closed(stroke))
        elif stroke:
            found.append(FoundShape(name, write_line(stroke), closed=False))
    rings.sort(key=lambda ring: -abs(ring_area(ring)))
    whole = _outline(name, rings) if len(rings) > 1 else None
    each = [whole] if whole else [_outline(name, [ring]) for ring in rings]
    known = [one for one in each if one]
    return [*found, *known], len(each) - len(known)


def _closed(stroke: list[Segment]) -> Ring:
    """A stroke that ends exactly where it begins."""
    last, start = stroke[-1], stroke[0].start
    return (*stroke[:-1], part_of(last, 0.0, 1.0, last.start, start))


def _outline(name: str, rings: Sequence[Ring]) -> FoundShape | None:
    try:
        return FoundShape(name, outline_of_rings(rings).wkt, closed=True)
    except BadValue:
        return None


def _wkt_lines(text: str, unit: float) -> Found:
    """WKT, one shape a line, with a name before it where it has one (`kind,name,WKT`, or with tabs or quotes)."""
    shapes: list[FoundShape] = []
    for number, line in enumerate(text.splitlines(), 1):
        found = re.search(r"\b(CURVEPOLYGON|POLYGON|COMPOUNDCURVE|CIRCULARSTRING|LINESTRING)\b.*\)", line)
        if found is None:
            if re.search(r"\b(MULTI\w+|GEOMETRYCOLLECTION|POINT|\w+ Z)\b", line):
                raise BadValue(f"Line {number}: only outlines and lines are taken, one in each line.")
            continue
        name = line[: found.start()].strip(" ,;\t\"'").rpartition(",")[2].strip(" \"'")
        try:
            shapes.append(_of_wkt(name[:LONGEST_NAME], found[0], unit))
        except BadValue as wrong:
            raise BadValue(f"Line {number}: {wrong.sentence}") from wrong
    return _found(shapes, [])


def _of_wkt(name: str, wkt: str, unit: float) -> FoundShape:
    closed = wkt.startswith(("POLYGON", "CURVEPOLYGON"))
    if closed:
        rings = [_scaled(ring, unit) for ring in read_rings(wkt)]
        return FoundShape(name, outline_of_rings(rings).wkt, closed=True)
    return FoundShape(name, write_line(_scaled(read_line(wkt), unit)), closed=False)


def _scaled(pieces: Sequence[Segment], unit: float) -> Ring:
    if unit == 1:
        return tuple(pieces)
    place = Matrix(a=unit, d=unit)
    pen = Pen(place)
    for piece in pieces:
        pen.move(*piece.start)
        if isinstance(piece, Arc):
            pen.arc(piece.through, *piece.end)
        else:
            pen.line(*piece.end)
    return tuple(one for stroke in pen.strokes for one in stroke)
