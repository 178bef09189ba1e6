"""The schedule as lanes: a lane for each place, weeks across, what decides the end underlined.

Pure: dates in, SVG out. Across, everything stands in percent of the days shown, so that it fits any width while its
text keeps its size. No style attribute: the page's policy allows none.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

LANE, HEAD, BAR = 44, 26, 16  # px
MOST_LABELS = 6  # weeks named across; of more, every second or third is
INK, SOFT, RULE, OURS, PAPER = "#1d2a26", "#5b655d", "#cfc7b2", "#8a9a86", "#fbf9f2"


@dataclass(frozen=True, slots=True, kw_only=True)
class LaneBar:
    """Work on days of a lane. `hired` work is drawn open, what decides the end is underlined; cure is a dotted line."""

    title: str
    start: date
    finish: date
    hired: bool = False
    critical: bool = False
    cure_days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One place and what is done there."""

    title: str
    bars: tuple[LaneBar, ...]


def schedule_svg(lanes: Sequence[Lane], title: str) -> str:
    """Draw the lanes, with a title and a description in words; empty where there is nothing to draw."""
    every = [bar for lane in lanes for bar in lane.bars]
    if not every:
        return ""
    first = min(bar.start for bar in every)
    first -= timedelta(days=first.weekday())
    last = max(bar.finish for bar in every) + timedelta(days=1)
    last += timedelta(days=-last.weekday() % 7)
    height = HEAD + LANE * len(lanes)
    parts = [*_weeks(first, last, height)]
    for at, lane in enumerate(lanes):
        parts += _lane(lane, HEAD + LANE * at, first, (last - first).days)
    return (
        f'<svg class="lanes" width="100%" height="{height}" role="img" aria-label="{escape(title)}: '
        f'{escape(_said(lanes))}">{"".join(parts)}</svg>'
    )


def _weeks(first: date, last: date, height: int) -> Iterable[str]:
    weeks, days = (last - first).days // 7, (last - first).days
    step = -(-weeks // MOST_LABELS)
    for week in range(weeks):
        monday = first + timedelta(days=7 * week)
        x = f"{700 * week / days:.3f}%"
        yield f'<line x1="{x}" x2="{x}" y1="{HEAD - 6}" y2="{height}" stroke="{RULE}"/>'
        if week % step == 0:
            yield f'<text x="{x}" y="14" font-size="13" fill="{SOFT}">{monday:%b} {monday.day}</text>'


def _lane(lane: Lane, top: int, first: date, days: int) -> Iterable[str]:
    yield f'<line x1="0" x2="100%" y1="{top}" y2="{top}" stroke="{RULE}"/>'
    for bar in lane.bars:
        begin, end = (bar.start - first).days, (bar.finish - first).days + 1
        x, width, y = f"{100 * begin / days:.3f}%", f"{100 * (end - begin) / days:.3f}%", top + LANE - BAR - 5
        fill = PAPER if bar.hired else OURS
        said = f"<title>{escape(bar.title)}: {_span(bar)}</title>"
        yield f'<rect x="{x}" y="{y}" width="{width}" height="{BAR}" fill="{fill}" stroke="{INK}">{said}</rect>'
        if bar.critical:
            yield f'<rect x="{x}" y="{y + BAR}" width="{width}" height="3" fill="{INK}"/>'
        if bar.cure_days:
            over = f"{100 * min(end + bar.cure_days, days) / days:.3f}%"
            start = f"{100 * end / days:.3f}%"
            yield (
                f'<line x1="{start}" x2="{over}" y1="{y + BAR / 2}" y2="{y + BAR / 2}" stroke="{SOFT}" '
                'stroke-width="2" stroke-dasharray="2 4"/>'
            )
    yield f'<text x="0" y="{top + 16}" font-size="14" fill="{INK}">{escape(lane.title)}</text>'


def _said(lanes: Iterable[Lane]) -> str:
    return ". ".join(f"{lane.title}: {'; '.join(f'{bar.title} {_span(bar)}' for bar in lane.bars)}" for lane in lanes)


def _span(bar: LaneBar) -> str:
    start = f"{bar.start:%b} {bar.start.day}"
    return start if bar.start == bar.finish else f"{start} to {bar.finish:%b} {bar.finish.day}"
