"""Sprinklers as they are drawn: heads with what they throw over, by their fate, and the boxes of their valves."""

import re
from collections.abc import Iterator
from math import hypot

from app.documents.plan_lines import PURPLE
from app.documents.plan_parts import Sheet
from app.documents.sheet_view import PAPER, SOFT, label, words_width
from app.domain.job import EXISTING_KINDS, VALVE, Existing, Fate
from app.domain.plan.arcs import Point
from app.domain.takeoff.sprinkled import SprinklerHead, heads_of
from app.domain.trades.quantity import FLOW, PRESSURE
from app.domain.trades.sprinklers import sector
from app.domain.units import System

RADIUS = 4.0  # px, of a head
BOX = 5.0  # px, half a side of a valve's box
DASHES = {Fate.PROTECTED: "12 4", Fate.MOVES: "12 4 3 4"}
NUMBER = re.compile(r"\d+")


def heads(sheet: Sheet) -> str:
    """What heads throw over, thin, the heads above it, valves; none where the sheet is quiet."""
    if sheet.quiet:
        return ""
    there = heads_of(sheet.job)
    throws = "".join(_throw(sheet, one) for one in there)
    symbols = "".join(part for one in there if not one.new for part in _symbol(sheet, one))
    return throws + symbols + "".join(_valves(sheet))


def head_words(sheet: Sheet) -> Iterator[str]:
    """The short names of heads that are there, and those of valves."""
    if sheet.quiet:
        return
    for head in heads_of(sheet.job):
        if not head.new and (said := short_name(head.title)):
            yield from _beside(sheet, sheet.view.at(head.at), said, 12)
    for one in sheet.job.existing:
        if one.kind == VALVE and one.x is not None and one.y is not None:
            yield from _beside(sheet, sheet.view.at((one.x, one.y)), _valve_words(one, sheet.basis.firm.system), 14)


def _valve_words(valve: Existing, system: System) -> str:
    """What a valve is called, with what was measured there."""
    flow = FLOW.shown(valve.flow, system) if valve.flow is not None else ""
    pressure = PRESSURE.shown(valve.pressure, system) if valve.pressure is not None else ""
    return ", ".join(one for one in (valve.title or EXISTING_KINDS[VALVE], flow, pressure) if one)


def short_name(title: str) -> str:
    """The numbers of a head's name.

    >>> short_name("Valve 2, head 13")
    '2.13'
    """
    return ".".join(NUMBER.findall(title)[:3])


def _throw(sheet: Sheet, head: SprinklerHead) -> str:
    at = head.stands_later
    throw = head.throw_at(at) if at else None
    if throw is None:
        return ""
    ring = [(float(x), float(y)) for x, y in sector(throw).exterior.coords]
    looks = f'fill="{PURPLE}" fill-opacity=".05" stroke="{PURPLE}" stroke-opacity=".5" stroke-width=".8"'
    return f'<path d="{sheet.view.line(ring)}Z" {looks}/>'


def _symbol(sheet: Sheet, head: SprinklerHead) -> Iterator[str]:
    """A head: a ring with a dot; one that goes is crossed out, one that moves has an arrow to where it goes."""
    x, y = sheet.view.at(head.at)
    sheet.taken.take((x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS))
    looks = f'fill="{PAPER}" stroke="{PURPLE}" stroke-width="1.8"'
    if head.fate is Fate.MOVES and head.to is not None:
        yield _arrow((x, y), sheet.view.at(head.to))
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{RADIUS:g}" {looks}/>'
    if head.fate is Fate.GOES:
        r = RADIUS + 2
        cross = f"M{x - r:.1f} {y - r:.1f}l{2 * r:.1f} {2 * r:.1f}m0 {-2 * r:.1f}l{-2 * r:.1f} {2 * r:.1f}"
        yield f'<path d="{cross}" stroke="{SOFT}" stroke-width="1.6"/>'
    else:
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="1.4" fill="{PURPLE}"/>'
    if head.fate is Fate.PROTECTED:
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{RADIUS + 3:g}" fill="none" stroke="{PURPLE}" stroke-width="1"/>'


def _arrow(start: Point, end: Point) -> str:
    way = hypot(end[0] - start[0], end[1] - start[1])
    if way < 2 * RADIUS:
        return ""
    east, south = (end[0] - start[0]) / way, (end[1] - start[1]) / way
    tip = f"M{end[0]:.1f} {end[1]:.1f}"
    barbs = "".join(f"{tip}l{-7 * (east - turn * south):.1f} {-7 * (south + turn * east):.1f}" for turn in (0.5, -0.5))
    line = f"M{start[0]:.1f} {start[1]:.1f}L{end[0]:.1f} {end[1]:.1f}"
    return f'<path d="{line}{barbs}" fill="none" stroke="{PURPLE}" stroke-width="1.4"/>'


def _valves(sheet: Sheet) -> Iterator[str]:
    for one in sheet.job.existing:
        if one.kind == VALVE and one.x is not None and one.y is not None:
            x, y = sheet.view.at((one.x, one.y))
            sheet.taken.take((x - BOX, y - BOX, x + BOX, y + BOX))
            box = f'<rect x="{x - BOX:.1f}" y="{y - BOX:.1f}" width="{2 * BOX:g}" height="{2 * BOX:g}"'
            cross = f"M{x - BOX:.1f} {y - BOX:.1f}l{2 * BOX:g} {2 * BOX:g}m0 {-2 * BOX:g}l{-2 * BOX:g} {2 * BOX:g}"
            yield f'{box} fill="{PAPER}" stroke="{PURPLE}" stroke-width="1.8"/>'
            yield f'<path d="{cross}" stroke="{PURPLE}" stroke-width="1"/>'


def _beside(sheet: Sheet, at: Point, said: str, size: float) -> Iterator[str]:
    x, y = at
    off = words_width(said, size) / 2 + RADIUS + 4
    places = [(x + off, y - 5), (x - off, y - 5), (x + off, y + 8), (x - off, y + 8), (x, y - 12), (x, y + 15)]
    found = sheet.taken.first_free(places, words_width(said, size) + 2, size)
    if found is not None:
        yield label(found, said, size=size, fill=PURPLE)
