"""When a bed blooms and how high it stands, as a chart: a row a species, a column a month. Values in, SVG out.

What blooms is a full bar, evergreen leaves a thin line; forms tell them apart. A bar has the colors of the bloom, one
below the other, in a line of ink; it is ink where no color is told. A table says the same in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from app.documents.sheet_view import INK, SOFT, TEXT

RULE = "#cfc7b2"
NAMES, MONTH, ROW, HEAD, FOOT = 236, 38, 30, 34, 8  # px
ACROSS = NAMES + 12 * MONTH + 110


@dataclass(frozen=True, slots=True)
class Blooming:
    """A species in the chart: months of bloom, whether it keeps its leaves, band of height in words, hex colors."""

    name: str
    months: tuple[int, ...]
    evergreen: bool
    band: str
    colors: tuple[str, ...] = ()


def bloom_svg(rows: Sequence[Blooming], months: Sequence[str], title: str, says: str) -> str:
    """The chart of a bed: rows as they are given, `months` the twelve short names."""
    tall = HEAD + ROW * len(rows) + FOOT
    heads = "".join(_text(NAMES + (at + 0.5) * MONTH, 20, name, "middle", SOFT) for at, name in enumerate(months))
    upright = (NAMES + at * MONTH for at in range(13))
    lines = "".join(f'<path d="M{x} {HEAD - 6}V{tall - FOOT}" stroke="{RULE}" stroke-width="1"/>' for x in upright)
    drawn = "".join(_row(one, HEAD + at * ROW) for at, one in enumerate(rows))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {ACROSS} {tall}" width="{ACROSS}" height="{tall}" '
        f'role="img" font-family="{TEXT}" aria-label="{escape(title)}">'
        f"<title>{escape(title)}</title><desc>{escape(says)}</desc>{lines}{heads}{drawn}</svg>"
    )


def _row(one: Blooming, top: float) -> str:
    middle, end = top + ROW / 2, NAMES + 12 * MONTH
    name = _text(0, middle + 5, one.name, "start", INK)
    leaves = f'<path d="M{NAMES} {middle}H{end}" stroke="{SOFT}" stroke-width="1.5"/>' if one.evergreen else ""
    bars = "".join(_bar(one.colors, NAMES + (month - 1) * MONTH, top + 7) for month in one.months)
    return name + leaves + bars + _text(end + 12, middle + 5, one.band, "start", SOFT)


def _bar(colors: Sequence[str], left: float, top: float) -> str:
    """A month of bloom: its colors one below the other, in a line of ink."""
    high = (ROW - 14) / max(len(colors), 1)
    parts = "".join(
        f'<rect x="{left:g}" y="{top + place * high:g}" width="{MONTH}" height="{high:g}" fill="{color}"/>'
        for place, color in enumerate(colors or (INK,))
    )
    rim = f'<rect x="{left:g}" y="{top:g}" width="{MONTH}" height="{ROW - 14}" fill="none" stroke="{INK}"/>'
    return parts + rim


def _text(x: float, y: float, words: str, anchor: str, color: str) -> str:
    return f'<text x="{x:g}" y="{y:g}" font-size="15" text-anchor="{anchor}" fill="{color}">{escape(words)}</text>'
