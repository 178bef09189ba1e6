"""The price as a graphic scale: a band while it is a range, one pointer once it is firm, a stake flag at the budget.

Pure: cents in, SVG out. Across, everything stands in percent, so that the bar fits any width while its text keeps its
size. No style attribute: the page's policy allows none.
"""

from dataclasses import dataclass
from html import escape
from math import floor, log10

from app.domain.errors import BadValue
from app.domain.units import format_money, format_short

STEPS = (1, 2, 5, 10)
TICKS = 5  # at most so many labeled intervals
ROOM = 1.06  # the scale goes a little beyond what stands on it
TOP, HEIGHT = 33, 10  # of the bar, px
INK, SOFT, BAND = "#1d2a26", "#5b655d", "#8a9a86"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleBar:
    """What stands on the bar [cents]: a range (low, likely, high), or a firm price, or neither; and the budget.

    Raises: BadValue when there is a range and a firm price, or when a range is not in order.
    """

    low: int | None = None
    likely: int | None = None
    high: int | None = None
    firm: int | None = None
    budget_low: int | None = None
    budget_high: int | None = None
    missing: int = 0  # things without a price: then there is no band, only what is counted so far
    currency: str = "USD"

    def __post_init__(self) -> None:
        if self.firm is not None and (self.low is not None or self.high is not None):
            raise BadValue("A price is a range or it is firm, never both.")
        if (self.low is None) != (self.high is None):
            raise BadValue("A range has two ends: low and high.")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise BadValue("A range goes from its low end to its high end.")

    @property
    def budget(self) -> tuple[int, int] | None:
        """The budget's low and high; one figure stands for both."""
        known = [cents for cents in (self.budget_low, self.budget_high) if cents is not None]
        return (min(known), max(known)) if known else None


def scale_bar_svg(bar: ScaleBar) -> str:
    """Draw the bar of our face, with a title and a description that say the same in words."""
    step, full = _scale(bar)
    parts = [_frame(step, full, bar.currency), _band(bar, full), _pointer(bar, full), _stake(bar, full), _words(bar)]
    return _svg("".join(parts), "The price", describe(bar))


def covered_bar_svg() -> str:
    """Draw the bar under its cover, for the client's face: it holds no figure at all."""
    lines = "".join(f'<path d="M0 {y}h100" stroke="{SOFT}" stroke-width=".6"/>' for y in (36, 39, 42))
    cover = (
        f'<svg x="0" y="0" width="100%" height="66" viewBox="0 0 100 66" preserveAspectRatio="none">{lines}</svg>'
        f'<rect x="0" y="{TOP}" width="100%" height="{HEIGHT}" fill="none" stroke="{INK}" stroke-width="1.6"/>'
        f'<text x="0" y="18" font-size="16" fill="{SOFT}">Price under its cover</text>'
    )
    return _svg(cover, "The price is covered", "Lift the cover to see it.")


def describe(bar: ScaleBar) -> str:
    """Say in words what the bar shows.

    >>> describe(ScaleBar(low=5_320_000, high=6_490_000, budget_high=6_800_000))
    'From $53,200 to $64,900. Budget $68k.'
    """
    price = _price(bar)
    said = "No price yet."
    if bar.missing:
        said = f"{price}."
    elif price:
        said = f"{price}, firm." if bar.firm is not None else f"From {price}."
    return f"{said} Budget {_budget(bar)}." if bar.budget else said


def _scale(bar: ScaleBar) -> tuple[int, int]:
    """Step and end of the scale [cents]: the smallest of 1, 2, 5 × 10ⁿ that needs no more than `TICKS` steps."""
    budget = bar.budget[1] if bar.budget else 0
    most = max(bar.high or 0, bar.firm or 0, budget) * ROOM or 8_000_000
    unit = 10 ** max(4, floor(log10(most / TICKS)))
    step = next(unit * n for n in STEPS if unit * n * TICKS >= most or n == STEPS[-1])
    return step, step * max(1, -(-int(most) // step))


def _percent(cents: float, full: int) -> str:
    return f"{min(100.0, max(0.0, cents * 100 / full)):.2f}%"


def _frame(step: int, full: int, currency: str) -> str:
    """The alternating segments, two a step, and the figures under them."""
    count = 2 * full // step
    half = HEIGHT / 2
    dark = "".join(
        f'<rect x="{_percent(i, count)}" y="{TOP + half * (i % 2):g}" width="{_percent(1, count)}" '
        f'height="{half:g}" fill="{INK}"/>'
        for i in range(count)
    )
    ends = {0: "start", full: "end"}
    labels = "".join(
        f'<text x="{_percent(at, full)}" y="64" text-anchor="{ends.get(at, "middle")}">'
        f"{_tick(at, full, currency)}</text>"
        for at in range(0, full + 1, step)
    )
    return (
        f"{dark}<rect x='0' y='{TOP}' width='100%' height='{HEIGHT}' fill='none' stroke='{INK}' stroke-width='1.6'/>"
        f'<g class="figures" font-size="14" fill="{SOFT}">{labels}</g>'
    ).replace("'", '"')


def _tick(cents: int, full: int, currency: str) -> str:
    """A bare number inside the scale, with sign and letter at its end and where the letter is another."""
    said, end = format_short(cents, currency), format_short(full, currency)
    if cents == full or (cents and _letter(said) != _letter(end)):
        return said
    return "".join(sign for sign in said if sign.isdigit() or sign in ".,")


def _letter(money: str) -> str:
    """The letter for thousands or millions, or nothing."""
    return money[-1] if money[-1].isalpha() else ""


def _band(bar: ScaleBar, full: int) -> str:
    if bar.low is None or bar.high is None or bar.missing:
        return ""
    wide = max(bar.high - bar.low, full // 60)  # a narrow range still shows its rounded ends
    left = min(bar.low, full - wide)
    return (
        f'<rect id="bar-band" class="moves" x="{_percent(left, full)}" y="{TOP - 7}" width="{_percent(wide, full)}" '
        f'height="{HEIGHT + 14}" rx="12" fill="{BAND}" fill-opacity=".42" stroke="{INK}" stroke-width="1.6"/>'
    )


def _pointer(bar: ScaleBar, full: int) -> str:
    if bar.firm is None:
        return ""
    return (
        f'<svg id="bar-pointer" class="moves" x="{_percent(bar.firm, full)}" y="0" width="1" height="66" '
        f'overflow="visible"><path d="M0 {TOP - 1}l-8 -11h16z" fill="{INK}"/>'
        f'<path d="M0 {TOP - 2}v{HEIGHT + 6}" stroke="{INK}" stroke-width="2.4"/></svg>'
    )


def _stake(bar: ScaleBar, full: int) -> str:
    """A flag at the upper end of the budget; a thin line above the bar back to its lower end."""
    if not bar.budget:
        return ""
    low, high = bar.budget
    back = "-17" if high > full * 0.9 else "17"
    reach = (
        f'<rect x="{_percent(low, full)}" y="{TOP - 10}" width="{_percent(high - low, full)}" height="1.5" '
        f'fill="{INK}"/>'
        if high > low
        else ""
    )
    return (
        f'{reach}<svg id="bar-stake" x="{_percent(high, full)}" y="0" width="1" height="66" overflow="visible">'
        f'<path d="M0 {TOP + HEIGHT}V{TOP - 13}l{back} 4.5L0 {TOP - 4}" fill="none" stroke="{INK}" stroke-width="1.8" '
        f'stroke-linejoin="round"/></svg>'
    )


def _words(bar: ScaleBar) -> str:
    """What the price is, at the left where it stands still; the budget at the right."""
    price = _price(bar)
    figures = f'<text class="figures price" y="16" font-size="19" fill="{INK}">{price}</text>'
    said = figures if price else f'<text y="16" font-size="16" fill="{SOFT}">No price yet</text>'
    if not bar.budget:
        return said
    at = f'x="100%" y="16" text-anchor="end" font-size="15" fill="{INK}"'
    return f'{said}<text class="budget" {at}>budget {_budget(bar)}</text>'


def _price(bar: ScaleBar) -> str:
    """The firm price as it is; a range outward to round figures, for it knows no dollars; empty when unknown."""
    if bar.firm is not None:
        return format_money(bar.firm, bar.currency)
    if bar.low is None or bar.high is None:
        return ""
    if bar.missing:
        counted = format_money(bar.low // 10_000 * 10_000, bar.currency)
        return f"more than {counted}: {bar.missing} without a price"
    to = 10_000 if bar.high >= 1_000_000 else 1_000
    low, high = bar.low // to * to, -(-bar.high // to) * to
    return f"{format_money(low, bar.currency)} to {format_money(high, bar.currency)}"


def _budget(bar: ScaleBar) -> str:
    low, high = bar.budget or (0, 0)
    return (
        format_short(high, bar.currency)
        if low == high
        else f"{format_short(low, bar.currency)} to {format_short(high, bar.currency)}"
    )


def _svg(inside: str, title: str, words: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" class="scale-bar" width="100%" height="66" role="img" '
        f'aria-labelledby="bar-title bar-words"><title id="bar-title">{escape(title)}</title>'
        f'<desc id="bar-words">{escape(words)}</desc>{inside}</svg>'
    )
