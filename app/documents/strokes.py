"""A signature as it was drawn: strokes of points, to a small vector drawing."""

import math
from itertools import pairwise

from app.domain.errors import BadValue

Strokes = tuple[tuple[tuple[float, float], ...], ...]  # each stroke: x right, y down, in the pad's own unit

MOST_POINTS = 20_000
FARTHEST = 100_000.0
SMALLEST = 4.0  # a signature is larger than a dot, pad units
PEN = 2.2


def strokes_svg(strokes: Strokes) -> str:
    """The strokes as SVG, cropped to what was drawn.

    Raises: BadValue when nothing (or only a dot) was drawn, or more than a hand draws.
    """
    points = [point for stroke in strokes for point in stroke]
    if not points:
        raise BadValue("The signature is empty. Sign inside the frame.", field="strokes")
    if len(points) > MOST_POINTS or any(not math.isfinite(c) or abs(c) > FARTHEST for p in points for c in p):
        raise BadValue("The signature could not be read. Clear it and sign again.", field="strokes")
    left, top = min(x for x, _ in points), min(y for _, y in points)
    width, height = max(x for x, _ in points) - left, max(y for _, y in points) - top
    if max(width, height) < SMALLEST:
        raise BadValue("The signature is only a dot. Sign inside the frame.", field="strokes")
    path = " ".join(_path(stroke) for stroke in strokes if stroke)
    box = f"{left - PEN:.1f} {top - PEN:.1f} {width + 2 * PEN:.1f} {height + 2 * PEN:.1f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" width="{width + 2 * PEN:.1f}" '
        f'height="{height + 2 * PEN:.1f}"><path d="{path}" fill="none" stroke="#1d2a26" stroke-width="{PEN}" '
        'stroke-linecap="round" stroke-linejoin="round"/></svg>'
    )


def _path(stroke: tuple[tuple[float, float], ...]) -> str:
    """One stroke, smoothed: curves between the middles of neighbors, so that every point pulls at the line."""
    (x, y), *rest = stroke
    parts = [f"M{x:.1f} {y:.1f}"]
    if not rest:
        return f"{parts[0]}h.1"
    for (ax, ay), (bx, by) in pairwise(rest):
        parts.append(f"Q{ax:.1f} {ay:.1f} {(ax + bx) / 2:.1f} {(ay + by) / 2:.1f}")
    parts.append(f"L{rest[-1][0]:.1f} {rest[-1][1]:.1f}")
    return "".join(parts)
