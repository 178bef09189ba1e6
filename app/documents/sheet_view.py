"""How a plan lies on its sheet: feet to pixels, what text already stands where, and the marks of drawing.

Internal to the drawings; every size here is in px of the drawing, y down.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from html import escape
from math import hypot, pi

from app.domain.plan.arcs import Arc, Point, Segment
from app.domain.plan.outline import Outline, rings_of

INK, SOFT, PAPER, RULE = "#1d2a26", "#5b655d", "#fbf9f2", "#e3dcc8"
WHITE = "#ffffff"  # what is printed brings no paper of its own
TEXT = "Atkinson Hyperlegible Next, sans-serif"
FIGURES = "Atkinson Hyperlegible Mono, monospace"
Box = tuple[float, float, float, float]  # left, top, right, bottom
Square = tuple[int, int]  # its number from the left, and from the top


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A window on the plan: `scale` [px per ft], the feet at its left and top edge, its size [px]."""

    scale: float
    west: float
    north: float
    width: float
    height: float

    def at(self, point: Point) -> Point:
        """A point of the plan [ft] on the drawing [px]."""
        return (point[0] - self.west) * self.scale, (self.north - point[1]) * self.scale

    def path(self, outline: Outline) -> str:
        """An outline as path data, arcs as arcs."""
        return _path(self, outline.wkt)

    def line(self, points: Iterable[Point]) -> str:
        """Points of the plan as the data of an open path."""
        return "M" + "L".join(xy(self.at(point)) for point in points)

    def way(self, pieces: Sequence[Segment]) -> str:
        """Edges and arcs in a row as the data of an open path."""
        parts = [f"M{xy(self.at(piece.start))}" for piece in pieces[:1]]
        for piece in pieces:
            end = xy(self.at(piece.end))
            if isinstance(piece, Arc):
                size = f"{piece.radius * self.scale:.2f}"
                large, turn = int(abs(piece.sweep) > pi), int(piece.sweep < 0)
                parts.append(f"A{size} {size} 0 {large} {turn} {end}")
            else:
                parts.append(f"L{end}")
        return "".join(parts)


@lru_cache(maxsize=8192)
def _path(view: View, wkt: str) -> str:
    return "".join(f"{view.way(ring)}Z" for ring in rings_of(Outline(wkt)))


@lru_cache(maxsize=128)
def fitted(box: Box, width: float, *, tall: tuple[float, float], edge: float) -> View:
    """The view that shows a box of the plan [ft: west, south, east, north] with `edge` px around it.

    Its height follows from the box, kept between the two shares of the width that `tall` names. The same view is the
    very same object, so that what rests on it is quickly found.
    """
    west, south, east, north = box
    across, up = max(east - west, 1.0), max(north - south, 1.0)
    inner = width - 2 * edge
    height = min(max(up * inner / across, width * tall[0] - 2 * edge), width * tall[1] - 2 * edge)
    scale = min(inner / across, height / up)
    return View(
        scale=scale,
        west=(west + east) / 2 - width / 2 / scale,
        north=(south + north) / 2 + (height / 2 + edge) / scale,
        width=width,
        height=height + 2 * edge,
    )


SQUARE = 64  # px: only what lies in the same squares is compared


@dataclass(slots=True)
class Taken:
    """Where something stands that text must not cover."""

    width: float
    height: float
    squares: dict[Square, list[Box]] = field(default_factory=dict)  # what is taken, by square of the sheet

    def is_free(self, box: Box) -> bool:
        """Whether a box lies on the sheet and meets nothing taken."""
        left, top, right, bottom = box
        if left < 2 or top < 2 or right > self.width - 2 or bottom > self.height - 2:
            return False
        for square in squares_of(box):
            for a, b, c, d in self.squares.get(square, ()):
                if right > a and left < c and bottom > b and top < d:
                    return False
        return True

    def take(self, box: Box) -> None:
        """Mark a box as taken."""
        for square in squares_of(box):
            self.squares.setdefault(square, []).append(box)

    def first_free(self, places: Iterable[Point], width: float, height: float) -> Point | None:
        """The first of the places (middles) where a box of that size fits; it is taken at once."""
        for x, y in places:
            box = box_at((x, y), width, height)
            if self.is_free(box):
                self.take(box)
                return x, y
        return None

    def within(self, squares: Iterable[Square]) -> tuple[object, ...]:
        """All that decides where in some squares a box is free: what is taken there, and the size of the sheet."""
        return self.width, self.height, [tuple(self.squares.get(square, ())) for square in squares]


def box_at(middle: Point, width: float, height: float) -> Box:
    """The box of a size [px] around a point."""
    x, y = middle
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


@lru_cache(maxsize=8192)
def squares_of(box: Box) -> tuple[Square, ...]:
    """The squares of a sheet that a box lies in."""
    left, top, right, bottom = box
    across = range(int(left // SQUARE), int(right // SQUARE) + 1)
    down = range(int(top // SQUARE), int(bottom // SQUARE) + 1)
    return tuple([(column, row) for column in across for row in down])


def plain(words: str) -> str:
    """Words as text of a drawing or value of an attribute; never anything that reads as an attribute itself."""
    return escape(words).replace("=", "&#61;")


def layer(name: str, *drawn: str) -> str:
    """What belongs together and is shown or hidden together on the page; nothing where nothing is drawn."""
    markup = "".join(drawn)
    return f'<g data-layer="{name}">{markup}</g>' if markup else ""


def xy(point: Point) -> str:
    """A point as text."""
    return f"{point[0]:.2f} {point[1]:.2f}"


def words_width(words: str, size: float) -> float:
    """About how wide words are set, a little on the wide side."""
    return len(words) * size * 0.53


def label(at: Point, words: str, *, size: float = 15, fill: str = INK, ground: str = PAPER, bold: bool = False) -> str:
    """Words with a piece of paper behind them, so that no line runs through."""
    wide, high = words_width(words, size) + 8, size * 1.3
    weight = ' font-weight="600"' if bold else ""
    return (
        f'<rect x="{at[0] - wide / 2:.1f}" y="{at[1] - high / 2:.1f}" width="{wide:.1f}" height="{high:.1f}" '
        f'fill="{ground}" fill-opacity=".9"/>'
        f'<text x="{at[0]:.1f}" y="{at[1] + size * 0.35:.1f}" font-size="{size:g}" text-anchor="middle" fill="{fill}"'
        f"{weight}>{plain(words)}</text>"
    )


def dimension(start: Point, end: Point, words: str, *, text_at: Point) -> str:
    """A dimension line with slashes at its ends and its figure in a gap."""
    length = hypot(end[0] - start[0], end[1] - start[1]) or 1.0
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    steep = abs(uy) > abs(ux)
    slashes = "".join(f"M{x - 4:.1f} {y + 4:.1f}L{x + 4:.1f} {y - 4:.1f}" for x, y in (start, end))
    ends = "".join(f"M{xy((x - uy * 7, y + ux * 7))}L{xy((x + uy * 7, y - ux * 7))}" for x, y in (start, end))
    wide = words_width(words, 15) * 1.06 + 10
    x, y = text_at
    turn = f' transform="rotate(-90 {x:.1f} {y:.1f})"' if steep else ""
    return (
        f'<path d="M{xy(start)}L{xy(end)}{ends}" stroke="{INK}" stroke-width="1" fill="none"/>'
        f'<path d="{slashes}" stroke="{INK}" stroke-width="1.8"/>'
        f'<g{turn}><rect x="{x - wide / 2:.1f}" y="{y - 10:.1f}" width="{wide:.1f}" height="20" fill="{PAPER}"/>'
        f'<text class="figures" x="{x:.1f}" y="{y + 5.3:.1f}" font-size="15" font-family="{FIGURES}" '
        f'text-anchor="middle" fill="{INK}">{plain(words)}</text></g>'
    )


def bubble(at: Point, letter: str, radius: float, *, thick: float = 2) -> str:
    """A lettered bubble."""
    size = radius * (0.95 if len(letter) < 2 else 0.75)
    return (
        f'<circle class="bubble-ring" cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="{radius:g}" fill="{PAPER}" stroke="{INK}" '
        f'stroke-width="{thick:g}"/><text x="{at[0]:.1f}" y="{at[1] + size * 0.36:.1f}" font-size="{size:.1f}" '
        f'font-weight="600" text-anchor="middle" fill="{INK}">{plain(letter)}</text>'
    )


def north_arrow(at: Point, degrees: float, radius: float = 20) -> str:
    """A needle that points north, `degrees` clockwise from the top."""
    return (
        f'<g transform="translate({at[0]:.1f} {at[1]:.1f})"><circle r="{radius:g}" fill="{PAPER}" stroke="{INK}" '
        f'stroke-width="1.6"/><g transform="rotate({degrees:g})"><path d="M0 {radius - 4:g}V{-radius + 6:g}" '
        f'stroke="{INK}" stroke-width="1.6"/><path d="M-6 -2L0 {-radius - 5:g}L6 -2L0 -6z" fill="{INK}"/></g>'
        f'<text x="{radius + 8:g}" y="6" font-size="16" font-weight="600" fill="{INK}">N</text></g>'
    )


def graphic_scale(at: Point, segment_px: float, end_words: str) -> str:
    """Four alternating segments with zero and their sum."""
    dark = "".join(
        f'<rect x="{i * segment_px:.2f}" y="{3.5 * (i % 2):g}" width="{segment_px:.2f}" height="3.5" fill="{INK}"/>'
        for i in range(4)
    )
    whole = 4 * segment_px
    return (
        f'<g transform="translate({at[0]:.1f} {at[1]:.1f})">{dark}<rect width="{whole:.2f}" height="7" fill="none" '
        f'stroke="{INK}" stroke-width="1.2"/><g font-size="14" fill="{INK}"><text y="22">0</text>'
        f'<text x="{whole:.2f}" y="22" text-anchor="end">{plain(end_words)}</text></g></g>'
    )
