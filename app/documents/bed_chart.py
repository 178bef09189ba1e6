"""When a bed blooms and how high it stands, as a chart: a row a species, a column a month. Pure: values in, SVG out.

What blooms is a full bar, evergreen leaves a thin line; forms tell them apart, in one ink. A table says the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

INK, SOFT, RULE = "#1d2a26", "#5b655d", "#cfc7b2"
NAMES, MONTH, ROW, HEAD, FOOT = 236, 38, 30, 34, 8  # px
ACROSS = NAMES + 12 * MONTH + 110


@dataclass(frozen=True, slots=True)
class Blooming:
    """A species in the chart: its name, months of bloom, whether it keeps its leaves, its band of height in words."""

    name: str
    months: tuple[int, ...]
    evergreen: bool
    band: str


def bloom_svg(rows: Sequence[Blooming], months: Sequence[str], title: str, says: str) -> str:
    """The chart of a bed: rows as they are given, `months` the twelve short names."""
    tall = HEAD + ROW * len(rows) + FOOT
    heads = "".join(_text(NAMES + (at + 0.5) * MONTH, 20, name, "middle", SOFT) for at, name in enumerate(months))
    upright = (NAMES + at * MONTH for at in range(13))
    lines = "".join(f'<path d="M{x} {HEAD - 6}V{tall - FOOT}" stroke="{RULE}" stroke-width="1"/>' for x in upright)
    drawn = "".join(_row(one, HEAD + at * ROW) for at, one in enumerate(rows))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {ACROSS} {tall}" width="{ACROSS}" height="{tall}" '
        f'role="img" aria-label="{escape(title)}"><title>{escape(title)}</title><desc>{escape(says)}</desc>'
        f"{lines}{heads}{drawn}</svg>"
    )


def _row(one: Blooming, top: float) -> str:
    middle, end = top + ROW / 2, NAMES + 12 * MONTH
    name = _text(0, middle + 5, one.name, "start", INK)
    leaves = f'<path d="M{NAMES} {middle}H{end}" stroke="{SOFT}" stroke-width="1.5"/>' if one.evergreen else ""
    bars = "".join(
        f'<rect x="{NAMES + (month - 1) * MONTH}" y="{top + 7}" width="{MONTH}" height="{ROW - 14}" fill="{INK}"/>'
        for month in one.months
    )
    return name + leaves + bars + _text(end + 12, middle + 5, one.band, "start", SOFT)


def _text(x: float, y: float, words: str, anchor: str, color: str) -> str:
    return f'<text x="{x:g}" y="{y:g}" font-size="15" text-anchor="{anchor}" fill="{color}">{escape(words)}</text>'
