"""Drip line as it lies in a bed: outline, lines with what joins them, emitters and plants one by one. Pure SVG."""

from collections.abc import Iterable
from html import escape

from app.documents.plan_lines import PURPLE
from app.documents.sheet_view import INK, PAPER, fitted
from app.domain.plan import bounds
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline
from app.domain.trades.planting.drip import DripLayout

WIDE, EDGE = 460.0, 12.0  # px
TALL = (0.2, 0.9)  # of the width


def drip_svg(
    outline: Outline, layout: DripLayout, plants: Iterable[Point], emitters: Iterable[Point], told: tuple[str, str]
) -> str:
    """The bed as large as it fits, its lines in the color of irrigation, with emitters; dots are plants.

    `told` is its title and what it shows, in words.
    """
    title, says = told
    view = fitted(bounds(outline), WIDE, tall=TALL, edge=EDGE)
    rows = "".join(view.line(line) for line in layout.lines)
    header = "".join(view.line(pair) for pair in layout.joins)
    drops = "".join(f"M{x - 1.5:.1f} {y:.1f}h3" for x, y in map(view.at, emitters))
    dots = "".join(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.4"/>' for x, y in map(view.at, plants))
    line = f'fill="none" stroke="{PURPLE}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {view.width:.0f} {view.height:.0f}" '
        f'width="{view.width:.0f}" height="{view.height:.0f}" role="img" aria-label="{escape(title)}">'
        f"<title>{escape(title)}</title><desc>{escape(says)}</desc>"
        f'<path d="{view.path(outline)}" fill="{PAPER}" stroke="{INK}" stroke-width="1.6" fill-rule="evenodd"/>'
        f'<path d="{rows}" {line} stroke-width="1.2"/><path d="{drops}" {line} stroke-width="3"/>'
        f'<path d="{header}" {line} stroke-width="2.6"/><g fill="{INK}" fill-opacity=".55">{dots}</g></svg>'
    )
