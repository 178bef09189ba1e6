"""Where the figure of a dimension may stand, so that it hits neither words nor another dimension."""

from collections.abc import Iterator
from math import ceil, hypot

from app.documents.sheet_view import Box, Taken, words_width
from app.domain.plan.arcs import Point

SIZE, HIGH = 15.0, 22.0  # px: of the letters, of the paper behind them
SHARES = (0.5, 0.38, 0.62, 0.26, 0.74, 0.14, 0.86)
BESIDE = (16, -16, 30, -30, 46, -46, 64, -64, 90, -90)  # px: off the line, where it has no room for its figure
STEP = 14.0  # px: the line itself is taken in pieces as long as this


def is_steep(start: Point, end: Point) -> bool:
    """Whether a dimension line runs more up than across: its figure is then turned with it."""
    return abs(end[1] - start[1]) > abs(end[0] - start[0])


def figure_place(taken: Taken, start: Point, end: Point, words: str) -> Point:
    """The middle of a dimension's figure [px], on its line or beside it; it and the line are taken at once.

    Where nothing at all is free it stands on the middle of the line, as the person who put the dimension there meant.
    """
    wide = words_width(words, SIZE) * 1.06 + 12
    across, up = (HIGH, wide) if is_steep(start, end) else (wide, HIGH)
    at = taken.first_free(_places(start, end, wide), across, up)
    if at is None:
        at = _along(start, end, 0.5)
        taken.take((at[0] - across / 2, at[1] - up / 2, at[0] + across / 2, at[1] + up / 2))
    for box in line_boxes(start, end):
        taken.take(box)
    return at


def own_place(taken: Taken, start: Point, end: Point, words: str) -> Point | None:
    """The middle of the figure of a dimension that nobody put there [px]: on its line, where both hit nothing.

    Both are taken; None where there is no such place, and then nothing is.
    """
    if not all(taken.is_free(box) for box in line_boxes(start, end)):
        return None
    wide = words_width(words, SIZE) * 1.06 + 12
    across, up = (HIGH, wide) if is_steep(start, end) else (wide, HIGH)
    at = taken.first_free(_on_line(start, end, wide), across, up)
    if at is not None:
        for box in line_boxes(start, end):
            taken.take(box)
    return at


def _on_line(start: Point, end: Point, wide: float) -> Iterator[Point]:
    long = hypot(end[0] - start[0], end[1] - start[1])
    if long >= wide + 8:
        yield from (_along(start, end, share) for share in SHARES if min(share, 1 - share) * long >= wide / 2)


def _places(start: Point, end: Point, wide: float) -> Iterator[Point]:
    long = hypot(end[0] - start[0], end[1] - start[1])
    yield from _on_line(start, end, wide)
    ux, uy = ((end[0] - start[0]) / long, (end[1] - start[1]) / long) if long else (1.0, 0.0)
    for off in BESIDE:
        for share in (0.5, 0.0, 1.0):
            x, y = _along(start, end, share)
            yield x - uy * off, y + ux * off
    beyond = wide / 2 + 10
    yield end[0] + ux * beyond, end[1] + uy * beyond
    yield start[0] - ux * beyond, start[1] - uy * beyond


def line_boxes(start: Point, end: Point) -> Iterator[Box]:
    """Small boxes along a line, so that later words keep off it."""
    pieces = max(1, ceil(hypot(end[0] - start[0], end[1] - start[1]) / STEP))
    for piece in range(pieces):
        (ax, ay), (bx, by) = _along(start, end, piece / pieces), _along(start, end, (piece + 1) / pieces)
        yield min(ax, bx) - 2, min(ay, by) - 2, max(ax, bx) + 2, max(ay, by) + 2


def _along(start: Point, end: Point, share: float) -> Point:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share
