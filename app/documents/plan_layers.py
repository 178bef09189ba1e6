"""The drawn layers of a plan, bottom to top: grid, lot, what stands today, zones, drip line, house, runs, features."""

from dataclasses import replace
from math import ceil, floor
from uuid import UUID

from app.documents.laid_drawing import laid_svg, worth_drawing
from app.documents.plan_features import feature_symbol
from app.documents.plan_lines import DRIP, pen_svg, run_svg
from app.documents.plan_parts import Sheet, diagonals
from app.documents.sheet_view import INK, PAPER, RULE, SOFT
from app.domain.job import PlaceKind, Zone
from app.domain.palette.surfaces import surface_of, works_on
from app.domain.plan.arcs import Point
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import Outline
from app.domain.plan.walls import in_wall
from app.domain.takeoff.drip_lines import drip_lines
from app.domain.takeoff.light_circuits import legs_of
from app.domain.takeoff.openings import walls_with_openings
from app.domain.takeoff.requirements import laid_on

HOUSE = "#ece5d2"
GRID = (1, 2, 5, 10, 20, 50, 100, 1000)  # ft
GRID_APART = 36  # px


def grid(sheet: Sheet) -> str:
    """A light grid of whole feet, wide enough apart to stay quiet."""
    view = sheet.view
    step = next((feet for feet in GRID if feet * view.scale >= GRID_APART), GRID[-1])
    first_x, first_y = view.at((ceil(view.west / step) * step, floor(view.north / step) * step))
    lines = [f"M{first_x + x:.1f} 0V{view.height:.1f}" for x in _apart(step * view.scale, view.width - first_x)]
    lines += [f"M0 {first_y + y:.1f}H{view.width:g}" for y in _apart(step * view.scale, view.height - first_y)]
    return f'<path d="{"".join(lines)}" stroke="{RULE}" stroke-width="1" fill="none" data-grid=""/>'


def _apart(step: float, room: float) -> list[float]:
    """Distances from zero, `step` apart, that fit into `room`."""
    return [n * step for n in range(int(room // step) + 1)] if room >= 0 else []


def lot(sheet: Sheet) -> str:
    """The lot line: a long dash and two short ones."""
    outline = sheet.job.site.lot
    if outline is None:
        return ""
    return (
        f'<path d="{sheet.view.path(outline)}" fill="none" stroke="{SOFT}" stroke-width="{1.6 * sheet.pen:g}" '
        'stroke-dasharray="26 5 4 5 4 5"/>'
    )


def zones(sheet: Sheet, highlight: UUID | None) -> str:
    """Every zone in the hatch of its surface; the highlighted one with a thick rim, above the others."""
    fills: list[str] = []
    rims: list[str] = []
    top: list[str] = []
    for zone, outline in sheet.drawn_zones():
        surface = surface_of(sheet.job, sheet.basis, zone)
        path = sheet.view.path(outline)
        chosen = zone.id == highlight
        units = laid_units(sheet, zone, outline) if chosen or sheet.laid else ""
        hatch = "" if units else surface.hatch
        fills.append(sheet.patterns.filled(f'<path fill-rule="evenodd" d="{path}"', hatch, surface.color) + units)
        width = 4.5 if chosen else 2 * sheet.pen
        rim = f'<path d="{path}" fill="none" stroke="{INK}" stroke-width="{width:g}" stroke-linejoin="round"/>'
        (top if chosen else rims).append(rim)
    return "".join(fills + rims + top)


def laid_units(sheet: Sheet, zone: Zone, outline: Outline) -> str:
    """The units of a zone as they are laid; empty without a pattern, or where they would be too small to see."""
    way = sheet.job.chosen(zone)
    for work in works_on(sheet.job, PlaceKind.ALTERNATIVE, way.id) if way else ():
        found = laid_on(sheet.job, sheet.basis, work) if work.laying else None
        if found and found.laid and worth_drawing(found.laid, sheet.view):
            name = f"{sheet.patterns.prefix}-laid-{zone.id.hex[-8:]}"
            return laid_svg(found.laid, outline, found.units[1:], sheet.view, name)
    return ""


def drip(sheet: Sheet, highlight: UUID | None) -> str:
    """Drip line as it lies in the beds: in print, and of the highlighted zone."""
    if sheet.quiet:
        return ""
    shown = [lay for zone, lay in drip_lines(sheet.job, sheet.basis) if sheet.laid or zone.id == highlight]
    lines = "".join(sheet.view.line(line) for lay in shown for line in lay.lines)
    joins = "".join(sheet.view.line(pair) for lay in shown for pair in lay.joins)
    thick = replace(DRIP, width=2 * DRIP.width)
    return (pen_svg(DRIP, lines) if lines else "") + (pen_svg(thick, joins) if joins else "")


def house(sheet: Sheet) -> str:
    """The house as a block with diagonals; the doors and gates as gaps in its walls and in the fences."""
    outline = sheet.job.site.house
    block = ""
    if outline is not None:
        crossing = _stroked(sheet, diagonals(outline), f'stroke="{INK}" stroke-width=".7" opacity=".4"')
        walls = f'stroke="{INK}" stroke-width="{3 * sheet.pen:g}"'
        block = f'<path d="{sheet.view.path(outline)}" fill="{HOUSE}" {walls}/>{crossing}'
    return block + (_openings(sheet) if sheet.pen == 1 else "")


def _openings(sheet: Sheet) -> str:
    walls = walls_with_openings(sheet.job)
    ends = (in_wall(walls, (one.x, one.y), one.width) for one in sheet.job.site.openings)
    paths = [sheet.view.line(both) for both in ends if both]
    return "".join(
        f'<path d="{path}" stroke="{INK}" stroke-width="9"/><path d="{path}" stroke="{PAPER}" stroke-width="6"/>'
        for path in paths
    )


def runs(sheet: Sheet) -> str:
    """What is built along a line."""
    drawn = (run for run in sheet.job.runs if len(run.points) > 1)
    paths = ((run, sheet.view.way(pieces_of(run.points, run.rises))) for run in drawn)
    return "".join(run_svg(run, path, quiet=sheet.quiet) for run, path in paths if path)


def features(sheet: Sheet) -> str:
    """What stands at a point, above the cables that feed 12 V lights."""
    parts = [_cables(sheet)]
    for feature in sheet.job.features:
        if feature.x is None or feature.y is None:
            continue
        x, y = sheet.view.at((feature.x, feature.y))
        symbol = feature_symbol(sheet, feature, (x, y))
        sheet.taken.take((x - symbol.across, y - symbol.up, x + symbol.across, y + symbol.up))
        parts.append(symbol.svg)
    return "".join(parts)


def _cables(sheet: Sheet) -> str:
    """Cables of 12 V lights, each on its way from what feeds it."""
    if sheet.quiet:
        return ""
    legs = legs_of(sheet.job, sheet.basis)
    looks = f'stroke="{INK}" stroke-width="1" stroke-dasharray="2 4"'
    return _stroked(sheet, [list(one.way.points) for one in legs], looks)


def _stroked(sheet: Sheet, lines: list[list[Point]] | list[tuple[Point, ...]], looks: str) -> str:
    path = "".join(sheet.view.line(line) for line in lines)
    return f'<path d="{path}" fill="none" {looks}/>' if path else ""
