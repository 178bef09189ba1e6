"""Charts as SVG: bars on both sides of a line, a tornado, dots. Pure: figures in, markup out.

What a mark means is told by its form (full, open, a square), never by its color alone, so that a chart is right in
black and white. Across, everything stands in percent, so that a chart fits any width while its text keeps its size.
Each has a title and a description in words; a table beside it says the same. No style attribute: the page's policy
allows none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

INK, SOFT, RULE = "#1d2a26", "#5b655d", "#cfc7b2"
ROW = 50  # height of a row, px
TALL = 74  # of one with words below its bars
SIDE = 1.0  # percent left free at both ends


@dataclass(frozen=True, slots=True)
class Words:
    """What a chart is called, and what it says in words."""

    title: str
    says: str


@dataclass(frozen=True, slots=True)
class Swing:
    """A row of a tornado: what the figure is moved by at the low and the high end, and both in words."""

    label: str
    low: float
    high: float
    low_words: str
    high_words: str


@dataclass(frozen=True, slots=True)
class Bar:
    """A row of bars: its value, above or below nothing, and the value in words."""

    label: str
    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Dots:
    """A row of dots: values of others, one's own (None: there is none), and what stands beside it in words."""

    label: str
    values: tuple[float, ...]
    own: float | None
    words: str


def tornado_svg(rows: Sequence[Swing], words: Words) -> str:
    """A tornado: each row from its low end (an open bar) to its high end (a full one), around one line."""
    ends = [end for row in rows for end in (row.low, row.high)]
    scale = _Scale(min([0.0, *ends]), max([0.0, *ends]))
    parts = []
    for at, row in enumerate(rows):
        top = at * TALL
        parts.append(_labels(top, row.label))
        parts += [_bar(scale, top, row.low, opened=True), _bar(scale, top, row.high, opened=False)]
        parts.append(_ends(top, row.low_words, row.high_words))
    return _svg("".join(parts) + _nothing(scale, len(rows), TALL), len(rows) * TALL, words)


def bars_svg(rows: Sequence[Bar], words: Words) -> str:
    """Bars on both sides of nothing: full above it, open below."""
    values = [row.value for row in rows]
    scale = _Scale(min([0.0, *values]), max([0.0, *values]))
    parts = [
        _labels(at * ROW, row.label, row.words) + _bar(scale, at * ROW, row.value, opened=row.value < 0)
        for at, row in enumerate(rows)
    ]
    return _svg("".join(parts) + _nothing(scale, len(rows), ROW), len(rows) * ROW, words)


def dots_svg(rows: Sequence[Dots], words: Words) -> str:
    """Dots along a line from nothing up: open circles for others, a full square for one's own."""
    most = max([0.0, *(value for row in rows for value in (*row.values, row.own or 0.0))])
    scale = _Scale(0.0, most)
    parts = []
    for at, row in enumerate(rows):
        top = at * ROW
        middle = top + 36
        parts.append(_labels(top, row.label, row.words))
        parts.append(f'<line x1="0" x2="100%" y1="{middle}" y2="{middle}" stroke="{RULE}" stroke-width="2"/>')
        parts += [
            f'<circle cx="{scale.at(value):.2f}%" cy="{middle}" r="6" fill="none" stroke="{INK}" stroke-width="2"/>'
            for value in row.values
        ]
        if row.own is not None:
            own = f'x="{scale.at(row.own):.2f}%" y="{middle - 7}" width="14" height="14"'
            parts.append(f'<rect {own} transform="translate(-7 0)" fill="{INK}"/>')
    return _svg("".join(parts), len(rows) * ROW, words)


@dataclass(frozen=True, slots=True)
class _Scale:
    least: float
    most: float

    def at(self, value: float) -> float:
        """Where a value stands, in percent of the width."""
        width = self.most - self.least
        return SIDE + (100 - 2 * SIDE) * ((value - self.least) / width if width > 0 else 0.5)


def _labels(top: int, left: str, right: str = "") -> str:
    """Words above a bar: what it is, and (to the right) what it comes to."""
    said = f'<text x="0" y="{top + 18}" fill="{INK}">{escape(left)}</text>'
    if right:
        at = f'x="100%" y="{top + 18}" text-anchor="end"'
        said += f'<text {at} fill="{SOFT}" class="figures">{escape(right)}</text>'
    return said


def _ends(top: int, low: str, high: str) -> str:
    """Words below the bars: the low end's to the left, the high end's to the right."""
    said = ((f'x="0" y="{top + 58}"', low), (f'x="100%" y="{top + 58}" text-anchor="end"', high))
    return "".join(f'<text {at} fill="{SOFT}" class="figures">{escape(words)}</text>' for at, words in said)


def _bar(scale: _Scale, top: int, value: float, *, opened: bool) -> str:
    if not value:
        return ""
    start, end = sorted((scale.at(0.0), scale.at(value)))
    fill = "none" if opened else INK
    return (
        f'<rect x="{start:.2f}%" y="{top + 27}" width="{end - start:.2f}%" height="14" '
        f'fill="{fill}" stroke="{INK}" stroke-width="2"/>'
    )


def _nothing(scale: _Scale, rows: int, height: int) -> str:
    """Where nothing is, marked in every row beside its bars, clear of the words."""
    at = f"{scale.at(0.0):.2f}%"
    return "".join(
        f'<line x1="{at}" x2="{at}" y1="{row * height + 24}" y2="{row * height + 44}" stroke="{INK}" stroke-width="2"/>'
        for row in range(rows)
    )


def _svg(content: str, height: int, words: Words) -> str:
    named = f"<title>{escape(words.title)}</title><desc>{escape(words.says)}</desc>"
    return (
        f'<svg class="chart" xmlns="http://www.w3.org/2000/svg" role="img" width="100%" height="{max(ROW, height)}" '
        f'font-size="15">{named}{content}</svg>'
    )
