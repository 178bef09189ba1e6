"""Drip line as it lies in a bed: its outline, the rows with the header that feeds them, plants one by one. Pure SVG."""

from collections.abc import Iterable
from html import escape
from itertools import pairwise

from app.documents.plan_lines import PURPLE
from app.documents.sheet_view import INK, PAPER, fitted
from app.domain.plan import bounds
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline
from app.domain.trades.planting.drip import DripLayout

WIDE, EDGE = 460.0, 12.0  # px
TALL = (0.2, 0.9)  # of the width


def drip_svg(outline: Outline, layout: DripLayout, plants: Iterable[Point], title: str, says: str) -> str:
    """The bed as large as it fits, its rows in the color of irrigation; dots are plants."""
    view = fitted(bounds(outline), WIDE, tall=TALL, edge=EDGE)
    rows = "".join(view.line(row) for row in layout.rows)
    header = "".join(view.line(pair) for pair in pairwise(row[0] for row in layout.rows))
    dots = "".join(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.4"/>' for x, y in map(view.at, plants))
    line = f'fill="none" stroke="{PURPLE}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {view.width:.0f} {view.height:.0f}" '
        f'width="{view.width:.0f}" height="{view.height:.0f}" role="img" aria-label="{escape(title)}">'
        f"<title>{escape(title)}</title><desc>{escape(says)}</desc>"
        f'<path d="{view.path(outline)}" fill="{PAPER}" stroke="{INK}" stroke-width="1.6" fill-rule="evenodd"/>'
        f'<path d="{rows}" {line} stroke-width="1.4" stroke-dasharray="5 3"/>'
        f'<path d="{header}" {line} stroke-width="2.6"/><g fill="{INK}" fill-opacity=".55">{dots}</g></svg>'
    )
