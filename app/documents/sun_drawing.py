"""Hours of sun over a yard in one month, as SVG: bands of hours below the outlines of lot, house and zones.

Each band has its own tint and its own number in the legend; numbers stand in the drawing as well, so that it is read
without color.
"""

from collections.abc import Iterator
from html import escape
from typing import Any

import numpy as np

from app.documents.plan_parts import middle, sheet_of
from app.documents.sheet_view import INK, PAPER, SOFT, TEXT, View, north_arrow
from app.domain.basis import Basis
from app.domain.job import Job, Zone
from app.domain.plan.arcs import Point
from app.domain.trades.sun import Grid

BANDS = (  # hours up to, words, tint from shade to sun
    (2.0, "under 2 h", "#8d97a3"),
    (4.0, "2 to 4 h", "#b4b7ad"),
    (6.0, "4 to 6 h", "#d9cf9f"),
    (8.0, "6 to 8 h", "#ecd77c"),
    (99.0, "8 h and more", "#f6e38b"),
)
FOOT = 74  # px
CLEAR = 22  # px between the middle of a letter and that of a figure


def sun_svg(job: Job, basis: Basis, grid: Grid, hours: Any, month: str, width: int = 760) -> str:
    """The hours [deep × wide] of a month over the plan; empty where nothing is drawn."""
    sheet = sheet_of(job, basis, float(width))
    if sheet is None:
        return ""
    view = sheet.view
    drawn = "".join(
        (*_bands(view, grid, hours), _numbers(job, view, grid, hours), *_outlines(job, view), *_letters(job, view))
    )
    title = f"Hours of sun, {month}"
    tall = view.height + FOOT
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {view.width:g} {tall:.0f}" width="{view.width:g}" '
        f'height="{tall:.0f}" role="img" font-family="{TEXT}" aria-label="{title}"><title>{title}</title>'
        f"<desc>{escape(_says(hours, month))}</desc>"
        f'<rect width="{view.width:g}" height="{tall:.0f}" fill="{PAPER}"/>{drawn}{_legend(view, job.site.north)}</svg>'
    )


def _says(hours: Any, month: str) -> str:
    shares = [(words, float((_band(hours) == at).mean())) for at, (_, words, _) in enumerate(BANDS)]
    return f"{month}: " + ", ".join(f"{share:.0%} of the ground has {words}" for words, share in shares if share)


def _band(hours: Any) -> Any:
    return np.digitize(hours, [limit for limit, _, _ in BANDS[:-1]])


def _bands(view: View, grid: Grid, hours: Any) -> Iterator[str]:
    """One path a band: each row as stretches of the same band."""
    found = _band(hours)
    size = grid.step * view.scale
    for at, (_, _, tint) in enumerate(BANDS):
        path = []
        for row in range(grid.deep):
            x, y = view.at((grid.west - grid.step / 2, grid.south + (row + 0.5) * grid.step))
            for start, count in _runs(found[row] == at):
                across = count * size
                path.append(f"M{x + start * size:.1f} {y:.1f}h{across:.1f}v{size:.1f}h{-across:.1f}z")
        if path:
            yield f'<path d="{"".join(path)}" fill="{tint}" shape-rendering="crispEdges"/>'


def _runs(row: Any) -> list[tuple[int, int]]:
    """Stretches of true values: where each begins, how long it is."""
    found: list[tuple[int, int]] = []
    for at, on in enumerate(row.tolist()):
        if not on:
            continue
        if found and sum(found[-1]) == at:
            found[-1] = found[-1][0], found[-1][1] + 1
        else:
            found.append((at, 1))
    return found


def _outlines(job: Job, view: View) -> Iterator[str]:
    if job.site.lot is not None:
        dashes = 'stroke-width="1.6" stroke-dasharray="26 5 4 5 4 5"'
        yield f'<path d="{view.path(job.site.lot)}" fill="none" stroke="{SOFT}" {dashes}/>'
    for zone in job.zones:
        way = job.chosen(zone)
        if way is None or way.outline is None:
            continue
        yield f'<path d="{view.path(way.outline)}" fill="none" stroke="{INK}" stroke-width="1.6"/>'
    if job.site.house is not None:
        yield f'<path d="{view.path(job.site.house)}" fill="#ece5d2" stroke="{INK}" stroke-width="3"/>'


def _letters(job: Job, view: View) -> Iterator[str]:
    looks = f'font-size="17" font-weight="700" text-anchor="middle" fill="{INK}"'
    for zone, (x, y) in _lettered(job, view):
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="13" fill="{PAPER}" stroke="{INK}" stroke-width="1.6"/>'
        yield f'<text x="{x:.1f}" y="{y + 6:.1f}" {looks}>{escape(zone.letter)}</text>'


def _lettered(job: Job, view: View) -> Iterator[tuple[Zone, Point]]:
    """Zones that are drawn, with the places of their letters."""
    for zone in job.zones:
        way = job.chosen(zone)
        if way is not None and way.outline is not None:
            yield zone, view.at(middle(way.outline))


def _numbers(job: Job, view: View, grid: Grid, hours: Any) -> str:
    """Hours in figures, some 70 px apart, but for those that a letter would stand on."""
    letters = [at for _, at in _lettered(job, view)]
    apart = max(1, round(70 / (grid.step * view.scale)))
    texts = []
    for row in range(apart // 2, grid.deep, apart):
        for column in range(apart // 2, grid.wide, apart):
            x, y = view.at((grid.west + column * grid.step, grid.south + row * grid.step))
            if any(abs(x - there) < CLEAR and abs(y - below) < CLEAR for there, below in letters):
                continue
            texts.append(f'<text x="{x:.1f}" y="{y + 5:.1f}">{hours[row][column]:.0f}</text>')
    return f'<g font-size="14" text-anchor="middle" fill="{INK}">{"".join(texts)}</g>'


def _legend(view: View, north: float) -> str:
    top, left, parts = view.height + 26, 92.0, [north_arrow((36, view.height + FOOT / 2), north)]
    for _, words, tint in BANDS:
        parts.append(f'<rect x="{left}" y="{top}" width="22" height="22" fill="{tint}" stroke="{SOFT}"/>')
        parts.append(f'<text x="{left + 28}" y="{top + 16}" font-size="14" fill="{INK}">{words}</text>')
        left += 62 + 7.4 * len(words)
    return "".join(parts)
