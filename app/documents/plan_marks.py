"""What was measured in the yard, drawn to scale: marks, tapes, spot levels, contours, how ground and finish fall."""

from collections.abc import Iterator
from math import hypot

from app.documents import plan_layers as layers
from app.documents.hatches import Patterns
from app.documents.plan_parts import EDGE, Sheet, around, drawn_zones, extent
from app.documents.sheet_view import INK, PAPER, SOFT, TEXT, Taken, fitted, label, north_arrow, plain, words_width
from app.domain.basis import Basis
from app.domain.job import Job
from app.domain.plan.arcs import Point
from app.domain.plan.levels import runs_to
from app.domain.plan.measures import centroid
from app.domain.plan.surface import contours, plane_of
from app.domain.takeoff.ground import ground_of, leveling_of, mark_names, spots_of, survey_of
from app.domain.units import System, format_length, format_share

BRICK = "#8c2f17"
STEPS = (0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0)  # ft between contours
MOST_CONTOURS = 9
ARROW = 46  # px
FOOT = 56  # px below the drawing, for north


def marks_svg(job: Job, basis: Basis, *, width_px: int = 760) -> str:
    """Draw what was measured, `width_px` wide; empty where there is neither a mark with a place nor a house."""
    sheet = _sheet(job, basis, float(width_px))
    if sheet is None:
        return ""
    below = [layers.grid(sheet), layers.lot(sheet), layers.house(sheet), "".join(_tapes(sheet))]
    marks = "".join(_marks(sheet))  # their words find their places first
    drawn = [*below, "".join(_zones(sheet)), "".join(_falls(sheet)), "".join(_contours(sheet)), marks]
    width, height = sheet.view.width, sheet.view.height + FOOT
    name = sheet.patterns.prefix
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:.0f}" width="{width:g}" '
        f'height="{height:.0f}" role="img" font-family="{TEXT}" aria-labelledby="{name}-title {name}-said">'
        f'<title id="{name}-title">What was measured, to scale</title><desc id="{name}-said">{plain(_said(job))}</desc>'
        f'<clipPath id="{name}-frame"><rect width="{width:g}" height="{height:.0f}"/></clipPath>'
        f'<rect width="{width:g}" height="{height:.0f}" fill="{PAPER}"/><g clip-path="url(#{name}-frame)">'
        f"{''.join(drawn)}{north_arrow((34, sheet.view.height + FOOT / 2), job.site.north, 17)}</g></svg>"
    )


def _sheet(job: Job, basis: Basis, width: float) -> Sheet | None:
    """A sheet on which the yard and every mark lie."""
    survey = survey_of(job)
    points = [mark.at for mark in survey.places.values()]
    points += [place for one in survey.unplaced.values() for place in one.fitting]
    box = extent(job)
    boxes = [(x, y, x, y) for x, y in points] + ([box] if box else [])
    if not boxes:
        return None
    view = fitted(around(boxes), width, tall=(0.55, 1.15), edge=EDGE)
    prefix = f"marks-{str(job.head.id)[-8:]}"
    return Sheet(job, basis, view, Patterns(prefix, 1.0), Taken(view.width, view.height))


def _said(job: Job) -> str:
    """The drawing in words: every mark with its place and level."""
    survey, levels, names = survey_of(job), leveling_of(job).levels, mark_names(job)
    said = []
    for key, mark in survey.places.items():
        level = f", level {format_length(levels[key].level)}" if key in levels else ""
        said.append(f"{names[key]} at {format_length(mark.at[0])} right, {format_length(mark.at[1])} up{level}")
    return f"{'; '.join(said)}." if said else "No marks yet."


def _zones(sheet: Sheet) -> Iterator[str]:
    """The zones as bare outlines with their letters, so that what was measured stands out."""
    for zone, outline in drawn_zones(sheet.job):
        yield f'<path d="{sheet.view.path(outline)}" fill="none" stroke="{SOFT}" stroke-width="1.4"/>'
        x, y = sheet.view.at(centroid(outline))
        yield from _words(sheet, zone.letter, [(x, y), (x, y + 18), (x, y - 18), (x + 18, y), (x - 18, y)], size=16)


def _contours(sheet: Sheet) -> Iterator[str]:
    """Lines of one level across the ground, each labeled once."""
    surface = ground_of(sheet.job)
    levels = [z for _, _, z in surface.spots]
    if not surface.triangles:
        return
    span = max(levels) - min(levels)
    step = next((one for one in STEPS if span / one <= MOST_CONTOURS), STEPS[-1])
    named: dict[float, Point] = {}
    paths: dict[float, list[str]] = {}
    for level, ends in contours(surface, step):
        paths.setdefault(level, []).append(sheet.view.line(ends))
        named.setdefault(level, sheet.view.at(((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)))
    for level, parts in paths.items():
        yield f'<path d="{"".join(parts)}" fill="none" stroke="{SOFT}" stroke-width="1.1" stroke-dasharray="2 4"/>'
        yield from _words(sheet, _length(level, sheet), [named[level]], fill=SOFT, size=14)


def _tapes(sheet: Sheet) -> Iterator[str]:
    """Every tape between two places: thin; one that does not fit in brick, one that is left out broken."""
    survey = survey_of(sheet.job)
    bad = {(one.tape.mark, one.tape.place) for one in survey.bad if not one.suspects}
    for tape in survey.tapes:
        ends = [survey.places[key].at for key in (tape.start, tape.mark) if key in survey.places]
        if len(ends) == 2:
            wrong = (tape.mark, tape.place) in bad
            color, width = (BRICK, 2.2) if wrong else (SOFT, 0.9)
            dashes = ' stroke-dasharray="5 5"' if tape.left_out else ""
            yield f'<path d="{sheet.view.line(ends)}" stroke="{color}" stroke-width="{width}" fill="none"{dashes}/>'


def _falls(sheet: Sheet) -> Iterator[str]:
    """Arrows the way water runs: of each finished zone, and of the ground as a whole."""
    for zone, outline in drawn_zones(sheet.job):
        way = sheet.job.chosen(zone)
        if way and way.fall and way.fall_bearing is not None:
            yield from _arrow(sheet, centroid(outline), way.fall_bearing, format_share(way.fall), INK)
    plane = plane_of(spots_of(sheet.job))
    if plane is not None and plane.bearing is not None:
        yield from _arrow(sheet, plane.at, plane.bearing, f"ground {format_share(plane.fall)}", SOFT)


def _arrow(sheet: Sheet, at: Point, bearing: float, words: str, color: str) -> Iterator[str]:
    x, y = sheet.view.at(at)
    east, north = runs_to(bearing)
    tip = (x + east * (ARROW + 12), y - north * (ARROW + 12))
    middle = (x + east * (ARROW / 2 + 12), y - north * (ARROW / 2 + 12))
    yield arrow_path((x + east * 12, y - north * 12), tip, color)
    aside = words_width(words, 14) / 2 + 10
    places = [(middle[0] + aside, middle[1]), (middle[0] - aside, middle[1]), (tip[0] + east * 16, tip[1] - north * 14)]
    yield from _words(sheet, words, places, fill=color, size=14)


def arrow_path(start: Point, tip: Point, color: str, *, head: float = 11, width: float = 2) -> str:
    """An arrow from a start to its tip [px]."""
    long = hypot(tip[0] - start[0], tip[1] - start[1]) or 1.0
    ux, uy = (tip[0] - start[0]) / long, (tip[1] - start[1]) / long
    back, side = (tip[0] - head * ux, tip[1] - head * uy), head * 0.45
    barbs = f"M{back[0] - side * uy:.1f} {back[1] + side * ux:.1f}L{tip[0]:.1f} {tip[1]:.1f}"
    barbs += f"L{back[0] + side * uy:.1f} {back[1] - side * ux:.1f}"
    line = f"M{start[0]:.1f} {start[1]:.1f}L{tip[0]:.1f} {tip[1]:.1f}"
    return f'<path d="{line}{barbs}" fill="none" stroke="{color}" stroke-width="{width:g}"/>'


def _marks(sheet: Sheet) -> Iterator[str]:
    """Marks by their symbol: a triangle where the place is typed, a cross in a ring where tapes found it."""
    survey, levels, names = survey_of(sheet.job), leveling_of(sheet.job).levels, mark_names(sheet.job)
    for key, mark in survey.places.items():
        at = sheet.view.at(mark.at)
        yield mark_symbol(at, typed=mark.typed)
        sheet.taken.take((at[0] - 8, at[1] - 8, at[0] + 8, at[1] + 8))
        level = f"  {_length(levels[key].level, sheet)}" if key in levels else ""
        yield from _words(sheet, f"{names[key]}{level}", _beside(at, names[key] + level), size=15, bold=True)
    for key, missing in survey.unplaced.items():
        for place in missing.fitting:
            x, y = sheet.view.at(place)
            yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="8" fill="none" stroke="{BRICK}" stroke-dasharray="3 3"/>'
            yield from _words(sheet, f"{names[key]}?", _beside((x, y), names[key]), fill=BRICK, size=15, bold=True)


def _beside(at: Point, words: str) -> list[Point]:
    x, y = at
    aside = words_width(words, 15) / 2 + 14
    return [(x + aside, y - 9), (x - aside, y - 9), (x + aside, y + 14), (x - aside, y + 14), (x, y - 22), (x, y + 24)]


def mark_symbol(at: Point, *, typed: bool, size: float = 1.0) -> str:
    """A triangle with a dot where the place is typed, a ring with a cross where tapes found it."""
    x, y = at
    if typed:
        corners = f"M{x:.1f} {y - 8 * size:.1f}L{x + 7.5 * size:.1f} {y + 5 * size:.1f}H{x - 7.5 * size:.1f}Z"
        drawn = f'<path d="{corners}" fill="{PAPER}" stroke="{INK}" stroke-width="{2 * size:g}"/>'
        return f'{drawn}<circle cx="{x:.1f}" cy="{y:.1f}" r="{1.6 * size:g}" fill="{INK}"/>'
    reach = 9 * size
    cross = f"M{x - reach:.1f} {y:.1f}H{x + reach:.1f}M{x:.1f} {y - reach:.1f}V{y + reach:.1f}"
    pen = f'fill="{PAPER}" stroke="{INK}" stroke-width="{2 * size:g}"'
    ring = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{5.5 * size:g}" {pen}/>'
    return f'{ring}<path d="{cross}" stroke="{INK}" stroke-width="{1.2 * size:g}"/>'


def _words(
    sheet: Sheet, words: str, places: list[Point], *, fill: str = INK, size: float = 15, bold: bool = False
) -> Iterator[str]:
    at = sheet.taken.first_free(places, words_width(words, size) + 8, size * 1.3)
    if at is not None:
        yield label(at, words, size=size, fill=fill, bold=bold)


def _length(feet: float, sheet: Sheet) -> str:
    system: System = sheet.basis.firm.system
    return format_length(feet, system)
