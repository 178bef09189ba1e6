"""Outlines and lines that were drawn through measured points follow them when they are measured anew."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot

from app.domain.plan.arcs import Arc, Line, Point, Segment
from app.domain.plan.outline import Outline, outline_of_rings
from app.domain.plan.wkt import read_rings

ON_IT = 1e-6  # ft: a point this near a measured one was drawn through it


@dataclass(frozen=True, slots=True)
class Moves:
    """Where measured points lay and lie now [ft]."""

    pairs: tuple[tuple[Point, Point], ...]

    def of(self, point: Point) -> Point | None:
        """Where a point lies now; None for one that was drawn through none of them."""
        for before, after in self.pairs:
            if hypot(before[0] - point[0], before[1] - point[1]) <= ON_IT:
                return after
        return None


def moves_between(before: Iterable[tuple[Point, Point]]) -> Moves:
    """The points that lie elsewhere now, of pairs of places before and after."""
    return Moves(tuple(pair for pair in before if hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]) > ON_IT))


def outline_following(outline: Outline, moves: Moves) -> Outline:
    """An outline whose points on measured ones moved with them; the very same where none did.

    The middle of an arc moves with its ends. Outlines typed by sizes do not follow: their sizes are what was meant.
    Raises: every refusal of an outline, where it would cross itself.
    """
    rings = read_rings(outline.wkt)
    if outline.shape != "points" or not any(moves.of(piece.start) for ring in rings for piece in ring):
        return outline
    return outline_of_rings([tuple(_piece(piece, moves) for piece in ring) for ring in rings])


def line_following(points: Sequence[Point], moves: Moves) -> tuple[Point, ...]:
    """The points of a line, those on measured ones moved with them."""
    return tuple(moves.of(point) or point for point in points)


def _piece(piece: Segment, moves: Moves) -> Segment:
    start, end = moves.of(piece.start) or piece.start, moves.of(piece.end) or piece.end
    if isinstance(piece, Line):
        return Line(start, end)
    through = moves.of(piece.through) or (
        piece.through[0] + (start[0] - piece.start[0] + end[0] - piece.end[0]) / 2,
        piece.through[1] + (start[1] - piece.start[1] + end[1] - piece.end[1]) / 2,
    )
    # only the three points are written; center and angles are found when they are read
    return Arc(start, through, end, (0.0, 0.0), 0.0, 0.0, 0.0)
