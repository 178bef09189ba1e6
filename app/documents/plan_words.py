"""All that is written on a plan, the most important first: what comes later gives way, nothing covers anything."""

from collections.abc import Iterable, Iterator
from functools import lru_cache, partial
from html import escape
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from app.documents.figure_places import figure_place, own_place
from app.documents.plan_features import SMALL, feature_symbol
from app.documents.plan_heads import head_words
from app.documents.plan_layers import HOUSE
from app.documents.plan_lines import pen_of
from app.documents.plan_parts import COARSE, NARROW, Sheet, around, middle, places_within
from app.documents.plan_standing import spread_of, words_of
from app.documents.sheet_view import (
    INK,
    PAPER,
    SOFT,
    Box,
    Square,
    Taken,
    View,
    box_at,
    bubble,
    dimension,
    label,
    layer,
    plain,
    squares_of,
    words_width,
)
from app.domain.job import OVERHEAD, VALVE, Existing, Fate, Zone
from app.domain.keeping import BoundedByIdentity, KeptByInputs
from app.domain.plan import bounds
from app.domain.plan.arcs import Line, Point
from app.domain.plan.between import contains
from app.domain.plan.open_lines import fine_points, pieces_of
from app.domain.plan.outline import Outline, segments
from app.domain.plan.pieces import point_at
from app.domain.takeoff.sprinkled import is_head
from app.domain.units import System, format_length

LONG_SIDE = 130  # px: a side shorter than this carries no dimension
TITLE_LINE = 19.5  # px: of a zone's title
TITLE_OFF = (0, 8, 18, 30, 44, 60)  # px: how far a title may stand from its bubble
INSETS = (17, 34, 51)  # px: a side's dimension runs this far inside, further where something stands
MOST_NAME = 66  # px: on a phone a longer name gives way to its number
ASIDE = (0, 18, 36, 54)  # px: an overall dimension runs further out where something stands


def words(sheet: Sheet, link: str) -> Iterator[str]:
    """Marks, bubbles, dimensions, then titles and labels."""
    at = list(_bubble_places(sheet))
    bubbles = [_bubble(zone, place, radius, (link, sheet.link_end)) for zone, place, radius in at]
    yield layer("zones", *sheet.marks, *bubbles, *(_every_title(sheet, at) if sheet.quiet else ()))
    yield layer("notes", *_overall(sheet))
    yield layer("there", *_house_word(sheet))
    yield layer("runs", *_run_words(sheet))
    if not sheet.quiet:
        yield layer("zones", *_zone_titles(sheet, at))
    yield layer("notes", *_side_lengths(sheet))
    yield layer("things", *_feature_words(sheet))
    yield layer("watering", *head_words(sheet))
    yield layer("there", *_existing_words(sheet, utility=False))
    yield layer("utilities", *_existing_words(sheet, utility=True))


def _bubble_places(sheet: Sheet) -> Iterator[tuple[Zone, Point, float]]:
    """A place for each zone's bubble inside its outline, beside what already stands there."""
    for zone, outline in sheet.drawn_zones():
        room, taken = _bubble_room(outline.wkt, sheet.view), sheet.taken
        rests_on = (room, *taken.within(room.squares))
        at, box = _STANDS.get_or_make((outline.wkt, sheet.view), rests_on, partial(_stands, room, taken))
        taken.take(box)
        sheet.bubbles[str(zone.id)] = (at, room.radius)
        yield zone, at, room.radius


class _Room(NamedTuple):
    """The radius of a bubble [px]; where it fits into an outline, the best first, and then where it would stick out."""

    radius: float
    places: tuple[Point, ...]
    squares: tuple[Square, ...]  # of all these places


_STANDS: KeptByInputs[tuple[Point, Box]] = KeptByInputs(4096)


def _stands(room: _Room, taken: Taken) -> tuple[Point, Box]:
    """The middle and the box of a bubble: the first free place; the best one where none is free."""
    wide = 2 * room.radius
    at = next((one for one in room.places if taken.is_free(box_at(one, wide, wide))), room.places[0])
    return at, box_at(at, wide, wide)


@lru_cache(maxsize=4096)
def _bubble_room(wkt: str, view: View) -> _Room:
    places = [(view.at(point), room * view.scale) for point, room in places_within(Outline(wkt))]
    least, most = (9.0, 13.0) if view.width < NARROW else (12.0, 19.0)
    radius = min(most, max(least, max(room for _, room in places) - 3))
    fits = [at for at, room in places if room >= radius] or [places[0][0]]
    tried = (*fits, *(at for at, room in places if room < radius))
    squares = dict.fromkeys(square for at in tried for square in squares_of(box_at(at, 2 * radius, 2 * radius)))
    return _Room(radius, tried, tuple(squares))


_Link = tuple[str, str]  # what an address begins and ends with, around the id
_BUBBLES: BoundedByIdentity[Zone, tuple[tuple[Point, float, _Link], str]] = BoundedByIdentity(4096)


def _bubble(zone: Zone, at: Point, radius: float, link: _Link) -> str:
    """The bubble of a zone; kept while it stands where it stood and leads to where it led."""
    kept = _BUBBLES.get(zone)
    if kept is None or kept[0] != (at, radius, link):
        kept = ((at, radius, link), _made_bubble(zone, at, radius, link))
        _BUBBLES.keep(zone, kept)
    return kept[1]


def _made_bubble(zone: Zone, at: Point, radius: float, link: _Link) -> str:
    drawn, (begin, end) = bubble(at, zone.letter or "·", radius), link
    if not begin:
        return drawn
    target = f'<circle cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="27" fill="{PAPER}" fill-opacity="0"/>'
    title = plain(f"{zone.letter} {zone.title}".strip())
    return f'<a href="{escape(begin)}{zone.id}{end}" aria-label="{title}">{target}{drawn}</a>'


def _overall(sheet: Sheet) -> Iterator[str]:
    """The width and depth of all that is designed, below and left of everything drawn."""
    boxes = [bounds(outline) for _zone, outline in sheet.drawn_zones()]
    if not boxes:
        return
    west, south, east, north = around(boxes)
    site, view, system = sheet.job.site, sheet.view, sheet.basis.firm.system
    drawn = around([*boxes, *(bounds(outline) for outline in (site.house, site.lot) if outline)])
    below, beside = view.at((drawn[0], drawn[1]))[1] + 27, view.at((drawn[0], drawn[1]))[0] - 27
    y = below if below < view.height - 12 else view.at((west, south))[1] + 27
    x = beside if beside > 14 else view.at((west, south))[0] - 27
    (left, top), (right, bottom) = view.at((west, north)), view.at((east, south))
    across = [((left, y + off), (right, y + off)) for off in ASIDE]
    up = [((x - off, bottom), (x - off, top)) for off in ASIDE]
    for places, feet in ((across, east - west), (up, north - south)):
        yield _one_of(sheet, places, format_length(feet, system)) or _there(
            sheet, *places[0], format_length(feet, system)
        )


def _one_of(sheet: Sheet, places: Iterable[tuple[Point, Point]], figure: str) -> str:
    """A dimension on the first of several lines where line and figure hit nothing; empty where there is none."""
    for start, end in places:
        at = own_place(sheet.taken, start, end, figure)
        if at is not None:
            return dimension(start, end, figure, text_at=at)
    return ""


def _there(sheet: Sheet, start: Point, end: Point, figure: str) -> str:
    """A dimension that is wanted in any case: its figure keeps off what stands there, as far as that goes."""
    return dimension(start, end, figure, text_at=figure_place(sheet.taken, start, end, figure))


def _side_lengths(sheet: Sheet) -> Iterator[str]:
    """The longest level or upright side of each zone that has room for it, just inside."""
    system = sheet.basis.firm.system
    for _zone, outline in sheet.drawn_zones():
        for figure, lines in _sides_with_room(outline.wkt, sheet.view, system):
            drawn = _one_of(sheet, lines, figure)
            if drawn:
                yield drawn
                break


@lru_cache(maxsize=4096)
def _sides_with_room(wkt: str, view: View, system: System) -> tuple[tuple[str, tuple[tuple[Point, Point], ...]], ...]:
    """Level and upright sides of an outline, the longest first: the figure, and the lines inside that may carry it."""
    outline = Outline(wkt)
    sides = sorted((p for p in segments(outline) if isinstance(p, Line)), key=lambda side: -side.length)
    found = ((format_length(side.length, system), _lines_inside(outline, side, view)) for side in sides)
    return tuple(one for one in found if one[1])


def _lines_inside(outline: Outline, side: Line, view: View) -> tuple[tuple[Point, Point], ...]:
    (ax, ay), (bx, by) = view.at(side.start), view.at(side.end)
    long = hypot(bx - ax, by - ay)
    if long < LONG_SIDE or min(abs(bx - ax), abs(by - ay)) > 2:
        return ()
    ux, uy = (by - ay) / long, -(bx - ax) / long  # the outline lies at the left of its sides
    insets = (off for off in INSETS if contains(outline, _inside(side, off / view.scale)))
    return tuple(((ax + ux * off, ay + uy * off), (bx + ux * off, by + uy * off)) for off in insets)


def _inside(side: Line, off: float) -> Point:
    """The middle of a side, set off [ft] into the outline at its left."""
    (ax, ay), (bx, by) = side.start, side.end
    return (ax + bx) / 2 - (by - ay) / side.length * off, (ay + by) / 2 + (bx - ax) / side.length * off


def _house_word(sheet: Sheet) -> Iterator[str]:
    if sheet.job.site.house is None:
        return
    x, y = sheet.view.at(middle(sheet.job.site.house))
    west, south, east, north = bounds(sheet.job.site.house)
    (left, top), (right, bottom) = sheet.view.at((west, north)), sheet.view.at((east, south))
    if min(right, sheet.view.width) - max(left, 0.0) < 60 or min(bottom, sheet.view.height) - max(top, 0.0) < 30:
        return  # hardly any of it is on this sheet
    across = (max(left, 0.0) + min(right, sheet.view.width)) / 2
    shown = (max(top, 0.0) + min(bottom, sheet.view.height)) / 2
    places = [(x, y), (x, y + 24), (x, y - 24), (x, shown), (across, shown), (across, max(top, 0.0) + 24)]
    at = sheet.taken.first_free(places, words_width("House", 17) + 8, 22)
    if at is not None:
        yield label(at, "House", size=17, fill=SOFT, ground=HOUSE)


def _run_words(sheet: Sheet) -> Iterator[str]:
    for run in sheet.job.runs:
        word = pen_of(run).word or run.title
        if len(run.points) < 2 or not word or (sheet.quiet and pen_of(run).word):
            continue
        legs = list(pairwise(sheet.view.at(point) for point in fine_points(run.points, run.rises, COARSE)))
        legs.sort(key=lambda leg: -hypot(leg[1][0] - leg[0][0], leg[1][1] - leg[0][1]))
        places = [
            (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
            for a, b in legs[:3]
            for share in (0.5, 0.35, 0.65, 0.2, 0.8)
        ]
        yield from _placed(sheet, word, places)


def _zone_titles(sheet: Sheet, bubbles: list[tuple[Zone, Point, float]]) -> Iterator[str]:
    """Under its bubble, where the zone is wide enough to hold it."""
    for (zone, (x, y), radius), (_, outline) in zip(bubbles, sheet.drawn_zones(), strict=True):  # in the same order
        west, _south, east, _north = bounds(outline)
        if zone.title and words_width(zone.title, 15) + 16 < (east - west) * sheet.view.scale:
            places = [(x, y + side * (radius + off)) for off in (13, 22, 32) for side in (1, -1)]
            yield from _placed(sheet, zone.title, places, size=15, bold=True)


def _every_title(sheet: Sheet, bubbles: list[tuple[Zone, Point, float]]) -> Iterator[str]:
    """Every zone's title at its bubble: on one line, else on two, ever further away."""
    for zone, (x, y), radius in bubbles:
        tried = ((lines, off) for off in TITLE_OFF for lines in _broken(zone.title))
        for lines, off in tried:
            wide, high = max(words_width(line, 15) for line in lines) + 8, len(lines) * TITLE_LINE
            down, aside = radius + 4 + high / 2 + off, radius + 3 + wide / 2 + off
            places = [(x, y + down), (x, y - down), (x + aside, y), (x - aside, y)]
            at = sheet.taken.first_free(places, wide, high)
            if at is not None:
                first = at[1] - (high - TITLE_LINE) / 2
                rows = ((at[0], first + n * TITLE_LINE) for n in range(len(lines)))
                yield "".join(label(row, line, bold=True, size=15) for row, line in zip(rows, lines, strict=True))
                break


def _broken(title: str) -> list[tuple[str, ...]]:
    """A title on one line, and on two where it has several words."""
    first, _, last = title.rpartition(" ")
    return [(title,), (first, last)] if first else [(title,)] if title else []


def _feature_words(sheet: Sheet) -> Iterator[str]:
    """Features by name; of those that share a name, one. On our own plan, where there is no room, by their number."""
    named: set[str] = set()
    unnamed: list[tuple[str, Point, float]] = []
    for number, feature in enumerate(sheet.job.features, 1):
        if feature.x is None or feature.y is None or not feature.title or feature.title in named:
            continue
        if sheet.quiet and any(word in feature.title.lower() for word in SMALL):
            continue
        x, y = sheet.view.at((feature.x, feature.y))
        symbol = feature_symbol(sheet, feature, (x, y))
        aside = symbol.across + words_width(feature.title, 14) / 2 + 8
        places = [(x, y + symbol.up + 12), (x + aside, y), (x - aside, y), (x, y - symbol.up - 12)]
        short = not (sheet.narrow and sheet.numbered) or words_width(feature.title, 14) <= MOST_NAME
        for drawn in _placed(sheet, feature.title, places) if short else ():
            named.add(feature.title)
            yield drawn
        if feature.title not in named:
            unnamed.append((str(number), (x, y), symbol.across + 7))
    for said, (x, y), off in unnamed if sheet.numbered else ():
        yield from _placed(
            sheet, said, [(x + off, y - 6), (x - off, y - 6), (x + off, y + 7), (x, y - off - 4)], bold=True
        )


def _existing_words(sheet: Sheet, *, utility: bool) -> Iterator[str]:
    for thing in sheet.job.existing:
        if (sheet.narrow and _sticks_out(sheet, thing)) or is_head(thing) or thing.kind == VALVE:
            continue
        if _in_lines(thing) == utility and not (sheet.quiet and (utility or thing.fate is Fate.GOES)):
            yield from _placed(
                sheet, words_of(thing, sheet.basis.firm.system), _beside(sheet, thing), fill=INK if utility else SOFT
            )


def _in_lines(thing: Existing) -> bool:
    """Whether it is drawn among the lines in the ground and overhead."""
    return bool(thing.utility) or thing.kind == OVERHEAD


def _sticks_out(sheet: Sheet, thing: Existing) -> bool:
    """Whether the words of an area are wider than the area itself."""
    if thing.outline is None:
        return False
    west, _south, east, _north = bounds(thing.outline)
    return words_width(words_of(thing), 14) > (east - west) * sheet.view.scale


def _beside(sheet: Sheet, thing: Existing) -> list[Point]:
    """Where the words of a thing that is there may stand: in its area, on its line, under its crown."""
    if thing.outline is not None:
        x, y = sheet.view.at(middle(thing.outline))
        return [(x, y + shift) for shift in (0, 22, -22, 44, -44)]
    if pieces := pieces_of(thing.points, thing.rises):
        longest = sorted(pieces, key=lambda piece: -piece.length)[:3]
        return [sheet.view.at(point_at(piece, share)) for piece in longest for share in (0.5, 0.3, 0.7)]
    if thing.x is None or thing.y is None:
        return []
    x, y = sheet.view.at((thing.x, thing.y))
    off = max(spread_of(thing) / 2 * sheet.view.scale, 5.0) + 13
    return [(x, y + off), (x, y - off), (x, y + 18), (x, y - 18)]


def _placed(
    sheet: Sheet, said: str, places: list[Point], *, size: float = 14, fill: str = INK, bold: bool = False
) -> Iterator[str]:
    """A label at the first free place; none where there is no room."""
    at = sheet.taken.first_free(places, words_width(said, size) + 8, size * 1.3)
    if at is not None:
        yield label(at, said, size=size, fill=fill, bold=bold)
