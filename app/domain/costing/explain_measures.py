"""Where a measure of the plan comes from: sides and radius, how a run was measured, a fall as typed.

A measure is named `zone:ID:area`, `zone:ID:outline`, `zone:ID:fall`, `zone:ID:level`, `run:ID:length`,
`run:ID:below:ZONE` (or `house`), or
`edge:ZONE:NEIGHBOR:length` and `edge:ZONE:NEIGHBOR:curved`; marks and the ground are told by `explain_ground`.
"""

from collections.abc import Callable, Iterator, Mapping
from math import degrees, isclose, pi

from app.domain.costing.explain_ground import ground_measured, mark_measured, setup_measured
from app.domain.job import Alternative, Edge, Job, Measured, Run, Zone
from app.domain.plan.arcs import Arc, Line, Point, Segment, ring_area
from app.domain.plan.buried import Below
from app.domain.plan.edges import SharedEdge
from app.domain.plan.measures import area, perimeter
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import Outline, rings_of
from app.domain.plan.shapes import SHAPES
from app.domain.takeoff.buried import runs_below
from app.domain.takeoff.measures import run_length
from app.domain.takeoff.meeting import Meeting, meetings
from app.domain.takeoff.thresholds import Doorway
from app.domain.takeoff.trace import Trace, number_text
from app.domain.units import format_length, format_slope

HOW: Mapping[Measured, str] = {Measured.SKETCH: "measured on a sketch", Measured.TAPED: "measured by tape"}
_APART = 1 / 96  # ft, an eighth of an inch: less is drawing noise
AREAS: Mapping[str, str] = {
    "rectangle": "width × depth",
    "circle": "π × radius × radius",
    "L": "width × depth − cut width × cut depth",
}


def measured(job: Job, name: str) -> Trace | None:
    """How a measure of the plan came about; None for one that is not on the plan."""
    kind, _, rest = name.partition(":")
    key, _, what = rest.partition(":")
    if kind == "run":
        run = next((one for one in job.runs if str(one.id) == key), None)
        return _of_run(job, run, what) if run else None
    if kind in {"mark", "setup"}:
        return mark_measured(job, key, what) if kind == "mark" else setup_measured(job, key, what)
    zone = next((one for one in job.zones if str(one.id) == key), None)
    if kind == "edge" and zone:
        neighbor, _, part = what.partition(":")
        return _edge(job, zone, neighbor, part)
    chosen = job.chosen(zone) if zone and kind == "zone" else None
    if what == "level" and chosen:
        return _level(chosen, job.site.datum)
    say = _MEASURES.get(what)
    if chosen is None:
        return None
    return say(chosen) if say else ground_measured(job, chosen, what)


def _area(way: Alternative) -> Trace | None:
    return _area_of(way.outline, HOW[way.measured]) if way.outline else None


def _area_of(outline: Outline, how: str) -> Trace:
    sizes = dict(zip(SHAPES.get(outline.shape, ()), outline.sizes, strict=False))
    result = area(outline)
    sides = [piece.length for ring in rings_of(outline) for piece in ring if isinstance(piece, Line)]
    if len(sides) == 4 and isclose(sides[0] * sides[1], result) and isclose(sides[0], sides[2]):
        filled = f"{number_text(sides[0])} × {number_text(sides[1])}"
        return _trace("Area", "side × side of a rectangle", filled, result, "sq ft", how)
    if sizes and isclose(_by_sizes(outline), result, rel_tol=1e-6):
        filled = AREAS[outline.shape].replace("π", number_text(pi))
        for size, feet in sorted(sizes.items(), key=lambda one: -len(one[0])):
            filled = filled.replace(size, number_text(feet))
        steps = tuple(_typed(size.capitalize(), feet, how) for size, feet in sizes.items())
        return _trace("Area", AREAS[outline.shape], filled, result, "sq ft", how, steps)
    parts = tuple(
        _trace(f"Side {number}", *_part(piece), ring_area((Line(first, piece.start), piece)), "sq ft")
        for number, (first, piece) in enumerate(_sides(outline), 1)
    )
    told = "sum over its sides: the triangle from the first corner, with the segment of an arc"
    filled = " + ".join(number_text(one.result) for one in parts).replace("+ -", "− ")
    return _trace("Area", told, filled, result, "sq ft", how, parts)


def _by_sizes(outline: Outline) -> float:
    if outline.shape == "circle":
        return pi * outline.sizes[0] ** 2
    width, depth, *cut = outline.sizes
    return width * depth - (cut[0] * cut[1] if cut else 0.0)


def _part(piece: Segment) -> tuple[str, str]:
    """From where to where a side runs; with its radius where it is an arc."""
    (x, y), (to_x, to_y) = piece.start, piece.end
    told = f"from {number_text(x)}, {number_text(y)} to {number_text(to_x)}, {number_text(to_y)}"
    return (f"{told}, an arc of radius {number_text(piece.radius)} ft" if isinstance(piece, Arc) else told), ""


def _outline(way: Alternative) -> Trace | None:
    if way.outline is None:
        return None
    how = HOW[way.measured]
    sides = tuple(
        _trace(f"Side {number}", *_part(piece), piece.length, "ft")
        for number, (_first, piece) in enumerate(_sides(way.outline), 1)
    )
    filled = " + ".join(number_text(one.result) for one in sides)
    return _trace("Outline", "sum of its sides", filled, perimeter(way.outline), "ft", how, sides)


def _sides(outline: Outline) -> Iterator[tuple[Point, Segment]]:
    """Each side of each ring, with the ring's first corner."""
    return ((ring[0].start, piece) for ring in rings_of(outline) for piece in ring)


def _fall(way: Alternative) -> Trace | None:
    if way.fall is None:
        return None
    toward = f", falling toward {way.fall_toward}" if way.fall_toward else ""
    toward += f", at {way.fall_bearing:g}° clockwise from the top of the plan" if way.fall_bearing is not None else ""
    return _trace(
        "Fall", "how far it drops over how far it runs", f"{format_slope(way.fall)}{toward}", way.fall, "", "typed"
    )


def _level(way: Alternative, datum: str) -> Trace | None:
    if way.level is None:
        return None
    told = f"typed, above the datum: {datum}" if datum else "typed, above the datum, which is not described yet"
    return _trace("Finish level", "as typed", "", way.level, "ft", told)


def _edge(job: Job, zone: Zone, neighbor: str, what: str) -> Trace | None:
    """The length of a shared edge, or what of it is curved, or its drop; `:NUMBER` names one of several stretches."""
    part, _, number = what.partition(":")
    met = [one for one in meetings(job) if (one.zone_id, one.neighbor) == (zone.id, neighbor)]
    own = met[int(number) - 1 : int(number)] if number.isdecimal() else met
    if part == "drop":
        return _drop(own[0]) if own else None
    alone = [one.edge for one in own if one.edge and (one.edge.at or len(met) == 1)] if own else list(job.edges)
    typed = next((one.length for one in alone if _between(one, zone, neighbor) and one.length is not None), None)
    if part == "length" and typed is not None:
        return _trace("Length of the edge", "as typed", "", typed, "ft", "typed; it overrules the plan")
    told = {"length": ("Length of the edge", "sum of its stretches"), "curved": ("Of it curved", "sum of its arcs")}
    if part not in told or not own:
        return None
    way = job.chosen(zone)
    stretches = [one.stretch for one in own]
    lengths = [one.length if part == "length" else one.curved_length for one in stretches]
    steps = tuple(
        _trace(f"Stretch {place}", _from_to(one), "", feet, "ft")
        for place, (one, feet) in enumerate(zip(stretches, lengths, strict=True), int(number or 1))
        if feet
    )
    filled = " + ".join(number_text(one.result) for one in steps)
    return _trace(*told[part], filled, sum(lengths), "ft", HOW[way.measured] if way else "", steps)


def _drop(met: Meeting) -> Trace | None:
    """How far the neighbor lies below, as its mean along the stretch, with both ends."""
    if met.drop is None:
        return None
    if met.edge is not None and met.edge.drop is not None:
        return _trace("Drop", "as typed", "", met.drop.mean, "ft", "typed; it overrules the levels")
    if met.doors:
        return _trace(
            "Drop", "at the door", "", met.drop.mean, "ft", _AT_DOORS, tuple(_at_door(one) for one in met.doors)
        )
    ends = (("At its start", met.stretch.path[0], met.drop.start), ("At its end", met.stretch.path[-1], met.drop.end))
    steps = tuple(
        _trace(name, f"level here less level across, at {number_text(x)}, {number_text(y)}", "", feet, "ft")
        for name, (x, y), feet in ends
    )
    how = "from the levels of both sides" if met.neighbor != "ground" else "from the level here and the spot levels"
    return _trace("Drop", "mean along the stretch", "", met.drop.mean, "ft", how, steps)


_AT_DOORS = "level of the surface less the threshold; of several doors the largest"


def _at_door(door: Doorway) -> Trace:
    if door.threshold is None or door.finish is None:
        lacks = "its threshold" if door.threshold is None else "the finish level of the surface"
        return _trace(door.title, f"not known: {lacks}", "", 0.0, "ft")
    filled = f"{number_text(door.finish)} − {number_text(door.threshold)}"
    return _trace(door.title, "level of the surface less the threshold", filled, door.finish - door.threshold, "ft")


def _between(edge: Edge, zone: Zone, neighbor: str) -> bool:
    return (str(edge.zone_id), edge.neighbor) in ((str(zone.id), neighbor), (neighbor, str(zone.id)))


def _from_to(stretch: SharedEdge) -> str:
    (x, y), (to_x, to_y) = stretch.path[0], stretch.path[-1]
    apart = f", {number_text(stretch.gap)} ft apart on the plan" if stretch.gap >= _APART else ""
    return f"from {number_text(x)}, {number_text(y)} to {number_text(to_x)}, {number_text(to_y)}{apart}"


def _length(run: Run) -> Trace | None:
    length, how = run_length(run), HOW[run.measured]
    if length is None:
        return None
    if run.length is not None:
        return _trace("Length", "as typed", "", length, "ft", how)
    pieces = tuple(_piece(number, piece) for number, piece in enumerate(pieces_of(run.points, run.rises), 1))
    filled = " + ".join(number_text(one.result) for one in pieces)
    return _trace("Length", "sum of its pieces", filled, length, "ft", how, pieces)


def _of_run(job: Job, run: Run, what: str) -> Trace | None:
    part, _, over = what.partition(":")
    return {"length": lambda: _length(run), "below": lambda: _below(job, run, over)}.get(part, lambda: None)()


def _below(job: Job, run: Run, over: str) -> Trace | None:
    """How much of a line lies below a zone or the house: from where to where it does."""
    found = next((one for one in runs_below(job) if (one.run.id, one.over) == (run.id, over)), None)
    if found is None:
        return None
    steps = tuple(
        _trace(f"Stretch {number}", _enters_and_leaves(one), "", one.length, "ft")
        for number, one in enumerate(found.stretches, 1)
    )
    filled = " + ".join(number_text(one.result) for one in steps)
    told = "sum of its stretches below, along its arcs"
    return _trace("Length below", told, filled, found.length, "ft", HOW[run.measured], steps)


def _enters_and_leaves(one: Below) -> str:
    (x, y), (to_x, to_y) = one.enters, one.leaves
    along = f"{number_text(one.start)} to {number_text(one.end)} ft along the line"
    return f"{along}, from {number_text(x)}, {number_text(y)} to {number_text(to_x)}, {number_text(to_y)}"


def _piece(number: int, piece: Segment) -> Trace:
    if isinstance(piece, Line):
        return _trace(f"Piece {number}", "between two of its points", "", piece.length, "ft")
    filled = f"{format_length(piece.radius)} × {degrees(abs(piece.sweep)):.1f}°"
    return _trace(f"Piece {number}", "along an arc, radius times angle", filled, piece.length, "ft")


def _typed(label: str, feet: float, how: str) -> Trace:
    return _trace(label, "as typed", "", feet, "ft", how)


def _trace(
    label: str, told: str, filled: str, result: float, unit: str, source: str = "", steps: tuple[Trace, ...] = ()
) -> Trace:
    return Trace(label=label, expression=told, filled=filled, result=result, unit=unit, source=source, steps=steps)


_MEASURES: Mapping[str, Callable[[Alternative], Trace | None]] = {"area": _area, "outline": _outline, "fall": _fall}
