"""The stake-out as a drawing: outlines thin, stakes as numbered crosses, what stands already, the baseline."""

from collections.abc import Iterator

from app.documents.sheet_view import (
    INK,
    RULE,
    SOFT,
    TEXT,
    WHITE,
    Box,
    Taken,
    View,
    fitted,
    label,
    north_arrow,
    plain,
    xy,
)
from app.domain.job import Job
from app.domain.plan import bounds
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline
from app.domain.plan.staking import Curve, Drawn, Layout
from app.domain.plan.swinging import Fixed

EDGE = 46  # px: around what is drawn
SIZE = 15  # px: of a stake's number
OFF = (14, 20, 28, 38)  # px: how far a number may stand from its stake


def layout_svg(
    job: Job, layout: Layout, drawn: tuple[Drawn, ...], fixed: tuple[Fixed, ...], *, width_px: int = 900
) -> str:
    """Draw a stake-out `width_px` wide. Numbers give way to one another; each stands beside its own stake."""
    view = fitted(_extent(job, layout, fixed), float(width_px), tall=(0.5, 1.1), edge=EDGE)
    taken = Taken(view.width, view.height)
    parts = [*_house(view, job.site.house), *(_outline(view, one) for one in drawn), *_baseline(view, layout)]
    parts += [_radius(view, layout, curve) for curve in layout.curves]
    crosses = [view.at(stake.at) for stake in layout.stakes]
    for x, y in crosses:
        taken.take((x - 6, y - 6, x + 6, y + 6))
    parts += [_cross(at) for at in crosses]
    parts += [_triangle(view.at(one.at)) for one in fixed]
    for stake, at in zip(layout.stakes, crosses, strict=True):
        parts += _word(taken, at, str(stake.number), bold=True)
    for one in fixed:
        parts += _word(taken, view.at(one.at), one.title)
    said = (
        f"Stake-out: {len(layout.stakes)} stakes, tapes from {', '.join(one.title for one in fixed) or 'nothing yet'}."
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {view.width:g} {view.height:.0f}" '
        f'width="{view.width:g}" height="{view.height:.0f}" role="img" font-family="{TEXT}" aria-label="{plain(said)}">'
        f'<rect width="{view.width:g}" height="{view.height:.0f}" fill="{WHITE}"/>{"".join(parts)}'
        f"{north_arrow((view.width - 50, 32), job.site.north, 16)}</svg>"
    )


def _extent(job: Job, layout: Layout, fixed: tuple[Fixed, ...]) -> Box:
    """All stakes, what the tapes start from, and the house."""
    points = [stake.at for stake in layout.stakes] + [one.at for one in fixed]
    boxes = [(x, y, x, y) for x, y in points] + ([bounds(job.site.house)] if job.site.house else [])
    west, south, east, north = zip(*boxes, strict=True)
    return min(west), min(south), max(east), max(north)


def _house(view: View, house: Outline | None) -> Iterator[str]:
    if house is not None:
        yield f'<path d="{view.path(house)}" fill="#ece5d2" stroke="{INK}" stroke-width="2.4"/>'


def _outline(view: View, one: Drawn) -> str:
    closed = "Z" if one.closed else ""
    return f'<path d="{view.way(one.pieces)}{closed}" fill="none" stroke="{SOFT}" stroke-width="1.3"/>'


def _baseline(view: View, layout: Layout) -> Iterator[str]:
    if layout.baseline is not None:
        start, end = (view.at(one.at) for one in layout.baseline)
        yield f'<path d="M{xy(start)}L{xy(end)}" stroke="{INK}" stroke-width="3.4" stroke-dasharray="20 6 4 6"/>'


def _radius(view: View, layout: Layout, curve: Curve) -> str:
    """From the center of an arc to where it begins."""
    center, start = (view.at(layout.stakes[number - 1].at) for number in (curve.center, curve.from_stake))
    return f'<path d="M{xy(center)}L{xy(start)}" stroke="{RULE}" stroke-width="1.4" stroke-dasharray="4 4"/>'


def _cross(at: Point) -> str:
    x, y = at
    return f'<path d="M{x - 5:.1f} {y:.1f}h10M{x:.1f} {y - 5:.1f}v10" stroke="{INK}" stroke-width="2"/>'


def _triangle(at: Point) -> str:
    x, y = at
    return f'<path d="M{x:.1f} {y - 7:.1f}l6.5 11h-13z" fill="{WHITE}" stroke="{INK}" stroke-width="1.8"/>'


def _word(taken: Taken, at: Point, words: str, *, bold: bool = False) -> Iterator[str]:
    """A number or a name beside its point; the nearest place that is free, else right above."""
    x, y = at
    wide = len(words) * SIZE * 0.53 + 6
    sides = ((1, -1), (-1, -1), (1, 1), (-1, 1), (0, -1), (0, 1), (1, 0), (-1, 0))
    places = [(x + a * (off * 0.6 + wide / 2), y + b * off) for off in OFF for a, b in sides]
    place = taken.first_free(places, wide, SIZE * 1.2) or places[0]
    yield label(place, words, size=SIZE, fill=INK if bold else SOFT, ground=WHITE, bold=bold)
