"""The shapes found in a drawing file, drawn small and numbered, so that each can be told from the others."""

from collections.abc import Sequence
from contextlib import suppress

from app.documents.plan_parts import around, middle
from app.documents.sheet_view import INK, PAPER, TEXT, bubble, fitted
from app.domain.errors import BadValue
from app.domain.plan.arcs import Segment
from app.domain.plan.measures import bounds
from app.domain.plan.outline import Outline, checked
from app.domain.plan.pieces import point_at
from app.domain.plan.wkt import read_line

WIDTH = 640.0


def found_svg(shapes: Sequence[str]) -> str:
    """Outlines and lines of curve WKT, each with its number; what cannot be read is left out."""
    outlines: list[tuple[int, Outline]] = []
    lines: list[tuple[int, tuple[Segment, ...]]] = []
    for number, wkt in enumerate(shapes, 1):
        with suppress(BadValue):
            if wkt.startswith(("POLYGON", "CURVEPOLYGON")):
                outlines.append((number, checked(Outline(wkt))))
            else:
                lines.append((number, read_line(wkt)))
    boxes = [bounds(outline) for _, outline in outlines]
    boxes += [(x, y, x, y) for _, line in lines for piece in line for x, y in (*piece.extremes(), piece.end)]
    if not boxes:
        return f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}" height="10"><title>No shapes</title></svg>'
    view = fitted(around(boxes), WIDTH, tall=(0.3, 0.8), edge=24)
    looks = f'fill="none" stroke="{INK}" stroke-width="1.8"'
    drawn = [f'<path d="{view.path(outline)}" {looks}/>' for _, outline in outlines]
    drawn += [f'<path d="{view.way(line)}" {looks}/>' for _, line in lines]
    drawn += [bubble(view.at(middle(outline)), str(number), 13) for number, outline in outlines]
    drawn += [bubble(view.at(point_at(line[len(line) // 2], 0.5)), str(number), 13) for number, line in lines]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {view.width:g} {view.height:.0f}" '
        f'width="{view.width:g}" height="{view.height:.0f}" role="img" font-family="{TEXT}">'
        f"<title>The shapes that were found, by number</title>"
        f'<rect width="100%" height="100%" fill="{PAPER}"/>{"".join(drawn)}</svg>'
    )
