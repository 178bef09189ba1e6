"""The sides of the zone in hand by number, where a border runs along them; each leads to its note."""

from collections.abc import Iterator
from html import escape
from uuid import UUID

from app.documents.plan_parts import Sheet
from app.documents.sheet_view import INK, PAPER
from app.domain.errors import BadValue
from app.domain.job import PlaceKind
from app.domain.plan.laying.sides import BorderSide, sides_of
from app.domain.plan.measures import bounds
from app.domain.plan.outline import Outline

MARK, TARGET, INSET = 11, 23, 24  # px: radius of a number, of what a finger meets; how far inside the edge it stands
LEAST_INSET = 8  # px


def numbered_sides(sheet: Sheet, highlight: UUID | None, link: str) -> Iterator[str]:
    """Each side of the highlighted zone by its number: dark where the border runs, light where none does."""
    zone = next((one for one in sheet.job.zones if one.id == highlight), None) if link else None
    way = sheet.job.chosen(zone) if zone else None
    works = [one for one in sheet.job.works if way and one.place is PlaceKind.ALTERNATIVE and one.place_id == way.id]
    laying = next((one.laying for one in works if one.laying and one.laying.borders), None)
    if zone is None or way is None or way.outline is None or laying is None:
        return
    try:
        sides = sides_of(way.outline, laying.along)
    except BadValue:  # what was chosen is gone: the margin says so
        return
    inset = _inset(sheet, way.outline)
    off = inset / sheet.view.scale
    for side in sides if len(sides) > 1 and inset >= LEAST_INSET else ():
        place = (side.at[0] + side.inward[0] * off, side.at[1] + side.inward[1] * off)
        x, y = sheet.view.at(place)
        sheet.taken.take((x - MARK - 2, y - MARK - 2, x + MARK + 2, y + MARK + 2))
        on = "with" if side.chosen else "without"
        said = escape(f"Side {side.number} of {zone.letter} {zone.title}, {on} border")
        target = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{TARGET}" fill="{PAPER}" fill-opacity="0"/>'
        drawn = target + _number(x, y, side)
        at = f"{place[0]:.2f} {place[1]:.2f}"  # where a finger meets it
        href = f"{escape(link)}side:{zone.id}:{side.number}{sheet.link_end}"
        yield f'<a href="{href}" data-edge="{at}" aria-label="{said}">{drawn}</a>'


def _inset(sheet: Sheet, outline: Outline) -> float:
    """How far inside the edge numbers stand [px]: less where the zone is small, so that its letter keeps its place.

    Where they would crowd it, they wait until the plan is drawn nearer.
    """
    west, south, east, north = bounds(outline)
    half = min(east - west, north - south) * sheet.view.scale / 2
    letter = 13 if sheet.narrow else 19
    return min(INSET, half - MARK - letter - 4)


def _number(x: float, y: float, side: BorderSide) -> str:
    """The number of a side in a square, so that it is no zone's letter."""
    fill, ink = (INK, PAPER) if side.chosen else (PAPER, INK)
    return (
        f'<rect x="{x - MARK:.1f}" y="{y - MARK:.1f}" width="{2 * MARK}" height="{2 * MARK}" rx="3" fill="{fill}" '
        f'stroke="{INK}" stroke-width="1.5"/><text x="{x:.1f}" y="{y + 5:.1f}" font-size="14" font-weight="600" '
        f'text-anchor="middle" fill="{ink}">{side.number}</text>'
    )
