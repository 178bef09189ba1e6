"""Client money against own spending, week by week: bars up and down, and the running difference as a line.

Pure: weeks in, SVG out. Across, everything stands in percent, so that it fits any width while its text keeps its size.
One ink: what came in is filled, what went out is open. No style attribute: the page's policy allows none.
"""

from collections.abc import Callable, Iterable, Sequence
from html import escape
from itertools import pairwise

from app.domain.billing import CashWeek

HEIGHT, TOP, FOOT = 230, 22, 24  # px
MOST_LABELS = 6
INK, SOFT, RULE, OURS, PAPER = "#1d2a26", "#5b655d", "#cfc7b2", "#8a9a86", "#fbf9f2"


def cash_svg(weeks: Sequence[CashWeek], money: Callable[[int], str]) -> str:
    """Draw the weeks; `money` words an amount. Empty where no money moved."""
    highs = [0, *(max(one.received, one.ahead) for one in weeks)]
    lows = [0, *(min(-one.spent, one.ahead) for one in weeks)]
    high, low = max(highs), min(lows)
    if high == low:
        return ""
    drawing = _Drawing(weeks, high, low)
    words = "; ".join(_told(one, money) for one in weeks)
    parts = [*drawing.scale(money), *drawing.bars(money), *drawing.line()]
    return (
        f'<svg class="cash" width="100%" height="{HEIGHT}" role="img" '
        f'aria-label="Client money and own spending by week: {escape(words)}">{"".join(parts)}</svg>'
    )


def _told(one: CashWeek, money: Callable[[int], str]) -> str:
    side = "client ahead by" if one.ahead >= 0 else "we finance"
    moved = f"in {money(one.received)}, out {money(one.spent)}"
    return f"week of {one.monday:%b} {one.monday.day}: {moved}, {side} {money(abs(one.ahead))}"


class _Drawing:
    """Where weeks and amounts lie."""

    def __init__(self, weeks: Sequence[CashWeek], high: int, low: int) -> None:
        self.weeks, self.high, self.low = weeks, high, low
        self.step = 100 / len(weeks)

    def y(self, cents: int) -> float:
        """Down from the top [px]."""
        return TOP + (HEIGHT - TOP - FOOT) * (self.high - cents) / (self.high - self.low)

    def x(self, at: int, part: float) -> str:
        """Across, at a part of a week."""
        return f"{self.step * (at + part):.3f}%"

    def scale(self, money: Callable[[int], str]) -> Iterable[str]:
        """The line of nothing, the highest and lowest amounts, the Mondays."""
        for cents in {self.high, 0, self.low}:
            y = self.y(cents)
            ink = INK if cents == 0 else RULE
            yield f'<line x1="0" x2="100%" y1="{y:.1f}" y2="{y:.1f}" stroke="{ink}"/>'
            if cents:
                yield f'<text x="0" y="{y - 5:.1f}" font-size="14" fill="{SOFT}">{escape(money(cents))}</text>'
        every = -(-len(self.weeks) // MOST_LABELS)
        for at, one in enumerate(self.weeks):
            if at % every == 0:
                day = f"{one.monday:%b} {one.monday.day}"
                yield f'<text x="{self.x(at, 0.1)}" y="{HEIGHT - 6}" font-size="14" fill="{SOFT}">{day}</text>'

    def bars(self, money: Callable[[int], str]) -> Iterable[str]:
        """What came in upward, what went out downward."""
        for at, one in enumerate(self.weeks):
            title = f"<title>{escape(_told(one, money))}</title>"
            for cents, fill in ((one.received, OURS), (-one.spent, PAPER)):
                top, bottom = sorted((self.y(cents), self.y(0)))
                if cents:
                    yield (
                        f'<rect x="{self.x(at, 0.2)}" width="{self.step * 0.6:.3f}%" y="{top:.1f}" '
                        f'height="{bottom - top:.1f}" fill="{fill}" stroke="{INK}">{title}</rect>'
                    )

    def line(self) -> Iterable[str]:
        """The running difference at the end of each week."""
        points = [(self.x(at, 0.5), self.y(one.ahead)) for at, one in enumerate(self.weeks)]
        for (x1, y1), (x2, y2) in pairwise(points):
            yield f'<line x1="{x1}" y1="{y1:.1f}" x2="{x2}" y2="{y2:.1f}" stroke="{INK}" stroke-width="2"/>'
        for x, y in points:
            yield f'<circle cx="{x}" cy="{y:.1f}" r="4" fill="{INK}"/>'
