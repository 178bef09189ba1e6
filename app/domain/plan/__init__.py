"""The plan's geometry: outlines with arcs, shared edges. Knows outlines only, never a job."""

from app.domain.plan.edges import SharedEdge, edge_lengths, shared_edges
from app.domain.plan.growing import grown, grown_into_open
from app.domain.plan.measures import area, bounds, centroid, is_convex, moved, perimeter, svg_path, turned
from app.domain.plan.outline import Chords, Outline, checked, chords, segments
from app.domain.plan.shapes import (
    SHAPES,
    circle,
    from_points,
    l_shape,
    outline_of_sizes,
    parse_place,
    parse_points,
    placing,
    rectangle,
    typed_place,
    typed_points,
)

__all__ = [
    "SHAPES",
    "Chords",
    "Outline",
    "SharedEdge",
    "area",
    "bounds",
    "centroid",
    "checked",
    "chords",
    "circle",
    "edge_lengths",
    "from_points",
    "grown",
    "grown_into_open",
    "is_convex",
    "l_shape",
    "moved",
    "outline_of_sizes",
    "parse_place",
    "parse_points",
    "perimeter",
    "placing",
    "rectangle",
    "segments",
    "shared_edges",
    "svg_path",
    "turned",
    "typed_place",
    "typed_points",
]
