"""How shared edges are drawn: undecided ones as thick broken ink with a question mark, decided ones by their kind.

Steps carry short lines across, a soft joint is a thin broken line, a course or a curb a band in its color. On our own
plan each leads to its note.
"""

from collections.abc import Sequence
from html import escape
from typing import NamedTuple

from app.documents.plan_parts import Sheet, decided_edges, open_edges
from app.documents.sheet_view import INK, PAPER, SOFT, Box, box_at, bubble
from app.domain.basis import Assembly
from app.domain.job import PlaceKind, Work
from app.domain.keeping import BoundedByIdentity
from app.domain.plan.arcs import Point
from app.domain.plan.edges import SharedEdge, halfway
from app.domain.takeoff.meeting import Meeting
from app.domain.takeoff.requirements import worked_parameters

MARK, SMALL_MARK = 13, 10  # px: radius of a question mark; on a narrow drawing
TARGET = 23  # px: radius of what a finger needs to meet it
JOINTS = "07"  # the division of the work sections that holds joints and sealants
BAND = 4.6  # px
HIDDEN = frozenset({"", "none"})  # hatches of what shows as no more than a line


def undecided(sheet: Sheet, link: str = "") -> str:
    """Edges that nobody has decided: thick broken ink with a question mark."""
    parts = []
    for met in open_edges(sheet.job):
        named = sheet.name(met.stretch.zone), sheet.name(met.neighbor), _number(sheet, met)
        rests_on = (sheet.view, link, sheet.link_end, *named)
        kept = _ASKED.get(met.stretch)
        if kept is None or kept.rests_on != rests_on:
            kept = _asked(sheet, met, link, rests_on)
            _ASKED.keep(met.stretch, kept)
        sheet.taken.take(kept.box)
        sheet.marks.append(kept.mark)
        parts.append(kept.line)
    return "".join(parts)


class _Asked(NamedTuple):
    """An undecided edge as it is drawn: its line, its question mark and what that takes, and all they rest on."""

    line: str
    mark: str
    box: Box
    rests_on: tuple[object, ...]


_ASKED: BoundedByIdentity[SharedEdge, _Asked] = BoundedByIdentity(2048)


def _asked(sheet: Sheet, met: Meeting, link: str, rests_on: tuple[object, ...]) -> _Asked:
    line = sheet.view.line(met.stretch.path)
    drawn = _line(line, PAPER, 7) + _line(line, INK, 6, "16 9")
    x, y = sheet.view.at(halfway(met.stretch.path))
    target = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{TARGET}" fill="{PAPER}" fill-opacity="0"/>' if link else ""
    radius = SMALL_MARK if sheet.narrow else MARK
    mark = _linked(sheet, met, target + bubble((x, y), "?", radius), link, marked=True)
    box = box_at((x, y), 2 * (radius + 2), 2 * (radius + 2))
    return _Asked(_linked(sheet, met, drawn, link) if link else drawn, mark, box, rests_on)


def decided(sheet: Sheet, link: str = "") -> str:
    """Edges where something is built, by what it is."""
    works: dict[object, list[Work]] = {}
    for work in sheet.job.works:
        if work.place is PlaceKind.EDGE:
            works.setdefault(work.place_id, []).append(work)
    parts = []
    for met in decided_edges(sheet.job):
        for work in works.get(met.edge.id, []) if met.edge else []:
            recipe = sheet.basis.assemblies.get(work.assembly)
            if recipe is not None:
                parts.append(_linked(sheet, met, _built(sheet, met, recipe, work), link))
    return "".join(parts)


def _built(sheet: Sheet, met: Meeting, recipe: Assembly, work: Work) -> str:
    line, width = sheet.view.line(met.stretch.path), BAND * sheet.pen
    if "riser" in recipe.parameters:
        line = sheet.view.line(_as_wide(sheet, met, work))
        rungs = _line(line, INK, 3 * width, f"1.4 {width:g}")
        return _line(line, PAPER, 3 * width) + rungs + _line(line, INK, 1.2)
    if recipe.section.startswith(JOINTS):
        return _line(line, PAPER, width) + _line(line, INK, 1.6, "9 3 2 3")
    if recipe.drawing.hatch in HIDDEN:
        return _line(line, PAPER, width) + _line(line, recipe.drawing.color or SOFT, width / 2)
    return _line(line, INK, width + 2) + _line(line, recipe.drawing.color or SOFT, width)


def _as_wide(sheet: Sheet, met: Meeting, work: Work) -> Sequence[Point]:
    """Where steps lie on a stretch: as wide as they are, at its door or in its middle."""
    return met.as_wide(worked_parameters(sheet.job, sheet.basis, frozenset({"width"})).get(work.id, {}).get("width"))


def _line(path: str, color: str, width: float, dashes: str = "") -> str:
    broken = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="{path}" fill="none" stroke="{color}" stroke-width="{width:g}"{broken}/>'


def _linked(sheet: Sheet, met: Meeting, drawn: str, link: str, *, marked: bool = False) -> str:
    """A stretch that leads to its note; its points stand beside it for a finger that meets it."""
    if not link or not drawn:
        return drawn
    at = met.stretch.middle
    own, other = sheet.name(str(met.zone_id)), sheet.name(met.neighbor)
    path: tuple[Point, ...] = (at,) if marked else met.stretch.path
    points = ",".join(f"{x:.2f} {y:.2f}" for x, y in path)
    hidden = "" if marked else ' aria-hidden="true" tabindex="-1"'  # a key meets the question mark or the margin
    return (
        f'<a href="{escape(link)}edge:{met.zone_id}:{met.neighbor}{_number(sheet, met)}{sheet.link_end}" '
        f'data-edge="{points}"{hidden} aria-label="{escape(f"Edge of {own} to {other}")}">{drawn}</a>'
    )


def _number(sheet: Sheet, met: Meeting) -> str:
    """Which of several stretches with one neighbor it is, as the zone counts them."""
    number = sheet.number(met)
    return f":{number}" if number else ""
