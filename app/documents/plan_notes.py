"""Dimensions and notes that somebody put on the plan: where they were put, before any other words."""

from collections.abc import Iterator
from math import hypot
from textwrap import wrap

from app.documents.figure_places import figure_place
from app.documents.plan_parts import Sheet
from app.documents.sheet_view import INK, PAPER, dimension, label, words_width, xy
from app.domain.job import Dimension, Note
from app.domain.units import format_length

LINE = 18.5  # px: from one line of a note to the next
LETTERS = 26  # of a note's line
SIZE = 14.0


def noted(sheet: Sheet) -> str:
    """Every note where it was put, every dimension with its figure where nothing stands; both are taken."""
    notes = [part for one in sheet.job.notes for part in _note(sheet, one)]
    dimensions = [part for one in sheet.job.dimensions for part in _dimension(sheet, one)]
    return "".join((*dimensions, *notes))


def _dimension(sheet: Sheet, one: Dimension) -> Iterator[str]:
    (ax, ay), (bx, by) = one.start, one.end
    long = hypot(bx - ax, by - ay)
    if long == 0:
        return
    left = -(by - ay) / long * one.offset, (bx - ax) / long * one.offset
    ends = [sheet.view.at((x + left[0], y + left[1])) for x, y in (one.start, one.end)]
    for point, end in zip((one.start, one.end), ends, strict=True):
        yield f'<path d="M{xy(sheet.view.at(point))}L{xy(end)}" stroke="{INK}" stroke-width=".7" fill="none"/>'
    figure = f"{one.words} {format_length(long, sheet.basis.firm.system)}".strip()
    yield dimension(ends[0], ends[1], figure, text_at=figure_place(sheet.taken, ends[0], ends[1], figure))


def _note(sheet: Sheet, one: Note) -> Iterator[str]:
    lines = wrap(one.words, LETTERS)[:8] or [""]
    x, y = sheet.view.at((one.x, one.y))
    wide, high = max(words_width(line, SIZE) for line in lines) + 8, len(lines) * LINE
    sheet.taken.take((x - wide / 2, y - high / 2, x + wide / 2, y + high / 2))
    if one.to is not None:
        end = sheet.view.at(one.to)
        yield f'<path d="M{xy((x, y))}L{xy(end)}" stroke="{INK}" stroke-width="1" fill="none"/>'
        yield f'<circle cx="{end[0]:.1f}" cy="{end[1]:.1f}" r="3" fill="{INK}" stroke="{PAPER}" stroke-width="1"/>'
    first = y - (high - LINE) / 2
    for number, line in enumerate(lines):
        yield label((x, first + number * LINE), line, size=SIZE)
