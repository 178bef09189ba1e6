"""Random outlines and lines with arcs, the way a yard has them: corners around a middle, some edges bent."""

from math import cos, hypot, pi, sin

from hypothesis import strategies as st

from app.domain.plan.arcs import through_of_rise
from app.domain.plan.outline import Outline, chords
from app.domain.plan.shapes import from_points

PLACES = st.tuples(st.integers(-200, 200), st.integers(-200, 200))


@st.composite
def outlines(draw: st.DrawFn, least: float = 6.0) -> Outline:
    """Three to eight corners around a middle, each edge straight or an arc that bulges out or bites in a little."""
    count = draw(st.integers(3, 8))
    middle = draw(PLACES)
    reach = [draw(st.floats(least, 2.5 * least)) for _ in range(count)]
    points = [
        (middle[0] + far * cos(2 * pi * n / count), middle[1] + far * sin(2 * pi * n / count))
        for n, far in enumerate(reach)
    ]
    through = {}
    for place, start in enumerate(points):
        share = draw(st.sampled_from((0.0, 0.0, 0.3, 0.15, -0.08)))
        end = points[(place + 1) % count]
        if share:
            through[place] = through_of_rise(start, end, share * hypot(end[0] - start[0], end[1] - start[1]))
    return from_points(points, through)


def fine(outline: Outline, tolerance: float = 1e-4):
    """The outline as shapely sees it, on chords within a ten-thousandth of a foot."""
    return chords(outline, tolerance).polygon
