"""Marks, spot levels and falls on the plan, drawn last and small: they give way to everything else."""

from collections.abc import Iterator
from functools import lru_cache
from math import hypot
from typing import Any

import shapely

from app.documents.plan_marks import arrow_path, mark_symbol
from app.documents.plan_parts import COARSE, Sheet, places_within
from app.documents.sheet_view import INK, PAPER, label, words_width
from app.domain.job import Job
from app.domain.plan import chords
from app.domain.plan.arcs import Point
from app.domain.plan.levels import runs_to
from app.domain.plan.outline import Outline
from app.domain.takeoff.ground import leveling_of, mark_names, survey_of
from app.domain.units import format_length, format_share

ARROW = 30  # px
ALONG = 11  # places looked at each way across a zone
BARE = (24, 16)  # px: an arrow alone, where there is no room for its percent
SMALL = 0.6
SIZE = 14  # px


def levels_on(sheet: Sheet) -> Iterator[str]:
    """How each finish falls, and every mark with its level; nothing on a quiet sheet."""
    if sheet.quiet:
        return
    yield from _falls(sheet)
    if sheet.job.marks:
        yield from _marks(sheet, sheet.job)


def _falls(sheet: Sheet) -> Iterator[str]:
    for zone, outline in sheet.drawn_zones():
        way = sheet.job.chosen(zone)
        if way and way.fall and way.fall_bearing is not None:
            drawn = [*_fall(sheet, outline, way.fall_bearing, format_share(way.fall))]
            yield from drawn or _at_letter(sheet, str(zone.id), way.fall_bearing)


def _fall(sheet: Sheet, outline: Outline, bearing: float, words: str) -> Iterator[str]:
    """An arrow with its percent beside it where the zone has room for both, else a smaller one alone."""
    wide = max(words_width(words, SIZE), ARROW) + 6
    places = [sheet.view.at(point) for point, room in places_within(outline) if room * sheet.view.scale > ARROW / 2]
    at = sheet.taken.first_free(places, wide, ARROW + SIZE + 10)
    if at is not None:
        yield _arrow((at[0], at[1] - SIZE / 2), bearing, ARROW)
        yield label((at[0], at[1] + ARROW / 2 + 4), words, size=SIZE)
        return
    for long in BARE:
        places = [sheet.view.at(point) for point in _all_over(outline.wkt, round(long / 2 / sheet.view.scale, 2))]
        at = sheet.taken.first_free(places, long + 2, long + 2)
        if at is not None:
            yield _arrow(at, bearing, long)
            return


def _at_letter(sheet: Sheet, zone: str, bearing: float) -> Iterator[str]:
    """On paper every zone says how it falls: where nothing else is free, an arrow leaves its letter."""
    if sheet.laid and zone in sheet.bubbles:
        (x, y), radius = sheet.bubbles[zone]
        east, north = runs_to(bearing)
        start = (x + east * radius, y - north * radius)
        tip = (x + east * (radius + BARE[-1]), y - north * (radius + BARE[-1]))
        yield arrow_path(start, tip, PAPER, head=6, width=5)
        yield arrow_path(start, tip, INK, head=6, width=1.8)


@lru_cache(maxsize=256)
def _all_over(wkt: str, room: float) -> tuple[Point, ...]:
    """Places all over an outline, as far from its edge [ft], the middle ones first."""
    inside: Any = chords(Outline(wkt), COARSE).polygon.buffer(-room)
    if inside.is_empty:
        return ()
    left, low, right, high = inside.bounds
    steps = [step / (ALONG - 1) for step in range(ALONG)]
    places = [(left + east * (right - left), low + north * (high - low)) for north in steps for east in steps]
    middle = inside.centroid
    found = [place for place in places if inside.intersects(shapely.points(place))]
    return tuple(sorted(found, key=lambda place: (hypot(place[0] - middle.x, place[1] - middle.y), place)))


def _arrow(middle: Point, bearing: float, long: float) -> str:
    """An arrow the way water runs, so long [px] around its middle."""
    east, north = runs_to(bearing)
    (x, y), half = middle, long / 2
    head = 8 * long / ARROW
    return arrow_path(
        (x - east * half, y + north * half), (x + east * half, y - north * half), INK, head=head, width=1.8
    )


def _marks(sheet: Sheet, job: Job) -> Iterator[str]:
    places, levels, names = survey_of(job).places, leveling_of(job).levels, mark_names(job)
    for key, mark in places.items():
        x, y = sheet.view.at(mark.at)
        if not (0 < x < sheet.view.width and 0 < y < sheet.view.height):
            continue
        yield mark_symbol((x, y), typed=mark.typed, size=SMALL)
        level = format_length(levels[key].level, sheet.basis.firm.system) if key in levels else ""
        words = f"{names[key]} {level}".strip()
        at = sheet.taken.first_free(_beside((x, y), words), words_width(words, SIZE) + 8, SIZE * 1.3)
        if at is not None:
            yield label(at, words, size=SIZE)


def _beside(at: Point, words: str) -> list[Point]:
    x, y = at
    aside = words_width(words, SIZE) / 2 + 12
    return [(x + aside, y - 8), (x - aside, y - 8), (x + aside, y + 10), (x - aside, y + 10), (x, y - 18), (x, y + 19)]
