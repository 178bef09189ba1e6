"""Easements and setbacks of the lot on the plan: ground with its rim and slanted lines, lines that keep a distance."""

from collections.abc import Iterator
from functools import partial
from typing import Any, NamedTuple

import shapely

from app.documents.plan_parts import Sheet
from app.documents.sheet_view import INK, SOFT, View, label, words_width
from app.domain.job import Job
from app.domain.keeping import KeptByInputs
from app.domain.plan.arcs import Point
from app.domain.plan.lot_lines import kept_off
from app.domain.takeoff.lot_limits import distances, easement_ground, same_for_all
from app.domain.units import System, format_length

APART = 9  # px between the slanted lines of an easement
LEAST = 24  # px: a line shorter than this is not named
SIZE = 14  # px
ASIDE = (0, 12, -12, 24, -24)  # px: the words of an easement may stand so far from its middle
SHORT = {
    "structure": "structures",
    "wall": "walls",
    "fire": "fire",
    "water": "water",
    "hard": "paving",
    "fence": "fences",
    "tree": "trees",
}
SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.27, 0.73, 0.2, 0.8, 0.12, 0.88)  # of the way along, where words may stand


class _Words(NamedTuple):
    """What a line or a piece of ground is, the places where that may stand, and whether it is written upward."""

    said: str
    places: tuple[Point, ...]
    upward: bool


class _Drawn(NamedTuple):
    """What is drawn, and its words."""

    svg: str
    words: tuple[_Words, ...]


_DRAWN: KeptByInputs[_Drawn] = KeptByInputs(48)


def limits(sheet: Sheet) -> str:
    """Easements and setbacks; nothing on a quiet sheet."""
    return "" if sheet.quiet else _drawn(sheet).svg


def limit_words(sheet: Sheet) -> Iterator[str]:
    """What each is, where there is room, along its line; they give way to all that stands there already."""
    for said, places, upward in () if sheet.quiet else _drawn(sheet).words:
        wide, high = words_width(said, SIZE) + 8, SIZE * 1.3
        at = sheet.taken.first_free(places, *((high, wide) if upward else (wide, high)))
        if at is not None:
            words = label(at, said, size=SIZE, fill=SOFT)
            yield f'<g transform="rotate(-90 {at[0]:.1f} {at[1]:.1f})">{words}</g>' if upward else words


def _drawn(sheet: Sheet) -> _Drawn:
    job, system = sheet.job, sheet.basis.firm.system
    rests_on = (job.site.lot, job.site.lot_lines, job.setbacks, job.easements, sheet.view, system)
    return _DRAWN.get_or_make(job.head.id.int, rests_on, partial(_all, job, sheet.view, system))


def _all(job: Job, view: View, system: System) -> _Drawn:
    found = [*_easements(job, view), *_setbacks(job, view, system)]
    return _Drawn("".join(svg for svg, _ in found), tuple(words for _, words in found))


def _easements(job: Job, view: View) -> Iterator[tuple[str, _Words]]:
    for one in job.easements:
        ground = easement_ground(job.site.lot, one)
        if ground is None or ground.is_empty:
            continue
        west, south, east, north = ground.bounds
        step, tall = APART * 2**0.5 / view.scale, north - south
        slants = shapely.linestrings(
            [
                [(west - tall + n * step, south), (west + n * step, north)]
                for n in range(int((east - west + tall) / step) + 1)
            ]
        )
        inside = shapely.union_all(shapely.intersection(slants, ground)) if len(slants) else ground.boundary
        rim = f'fill="none" stroke="{INK}" stroke-width="1.2" stroke-dasharray="2 4"'
        looks = f'fill="none" stroke="{SOFT}" stroke-width=".6" opacity=".7"'
        svg = f'<path d="{_way(view, inside)}" {looks}/><path d="{_way(view, ground.boundary)}" {rim}/>'
        yield svg, _along(view, _middle_line(ground), one.title or "Easement", ASIDE)


def _setbacks(job: Job, view: View, system: System) -> Iterator[tuple[str, _Words]]:
    lot = job.site.lot
    if lot is None:
        return
    looks = f'fill="none" stroke="{SOFT}" stroke-width="1.2" stroke-dasharray="12 4 2 4"'
    for line, distance, kinds in distances(job):
        kept = kept_off(lot, line.line, distance)
        if not kept.is_empty:
            of = "" if same_for_all(kinds) else f", {', '.join(SHORT[kind] for kind in kinds)}"
            said = f"setback {format_length(distance, system)}{of}"
            yield f'<path d="{_way(view, kept)}" {looks}/>', _along(view, kept, said)


def _way(view: View, shape: Any) -> str:
    """All lines of a shape as path data."""
    lines = shapely.get_parts(shapely.line_merge(shape) if shape.geom_type == "MultiLineString" else shape)  # type: ignore[no-untyped-call]
    return "".join(view.line([(x, y) for x, y in shapely.get_coordinates(one)]) for one in lines if one.length)


def _middle_line(ground: Any) -> Any:
    """The longer way through a piece of ground: through the middles of the short sides of the box that holds it."""
    corners = shapely.get_coordinates(shapely.oriented_envelope(ground))[:4]  # type: ignore[no-untyped-call]
    middles = [(corners[at] + corners[(at + 1) % 4]) / 2 for at in range(4)]
    pairs = [shapely.linestrings([middles[at], middles[at + 2]]) for at in (0, 1)]
    return max(pairs, key=lambda one: one.length)


def _along(view: View, shape: Any, said: str, aside: tuple[int, ...] = (0,)) -> _Words:
    """Places along the longest of the lines, from its middle outward, some px aside; none where it is short."""
    longest = max(shapely.get_parts(shape), key=lambda one: one.length)
    if longest.length * view.scale < LEAST:
        return _Words(said, (), upward=False)
    points = shapely.line_interpolate_point(longest, SHARES, normalized=True)
    places = [view.at((x, y)) for x, y in shapely.get_coordinates(points)]
    (ax, ay), (bx, by) = places[-2:]
    upward = abs(by - ay) > abs(bx - ax)
    moved = [(x + off * upward, y + off * (not upward)) for off in aside for x, y in places]
    return _Words(said, tuple(moved), upward)
