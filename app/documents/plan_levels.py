"""Marks, spot levels and falls on the plan, drawn last and small: they give way to everything else."""

from collections.abc import Iterator

from app.documents.plan_marks import arrow_path, mark_symbol
from app.documents.plan_parts import Sheet, places_within
from app.documents.sheet_view import INK, label, words_width
from app.domain.job import Job
from app.domain.plan.arcs import Point
from app.domain.plan.levels import runs_to
from app.domain.plan.outline import Outline
from app.domain.takeoff.ground import leveling_of, mark_names, survey_of
from app.domain.units import format_length, format_share

ARROW = 30  # px
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
            yield from _fall(sheet, outline, way.fall_bearing, format_share(way.fall))


def _fall(sheet: Sheet, outline: Outline, bearing: float, words: str) -> Iterator[str]:
    """An arrow with its percent beside it where the zone has room for both."""
    wide = max(words_width(words, SIZE), ARROW) + 6
    places = [sheet.view.at(point) for point, room in places_within(outline) if room * sheet.view.scale > ARROW / 2]
    at = sheet.taken.first_free(places, wide, ARROW + SIZE + 10)
    if at is None:
        return
    east, north = runs_to(bearing)
    x, y = at[0], at[1] - SIZE / 2
    half = ARROW / 2
    yield arrow_path((x - east * half, y + north * half), (x + east * half, y - north * half), INK, head=8, width=1.8)
    yield label((at[0], at[1] + ARROW / 2 + 4), words, size=SIZE)


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
