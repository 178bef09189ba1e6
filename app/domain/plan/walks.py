"""A line, or one ring of an outline, as its pieces in the order in which it was typed, and back."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.domain.errors import BadValue
from app.domain.plan.arcs import Line, Point, Segment
from app.domain.plan.open_lines import Points, Rises, piece_between, points_and_rises
from app.domain.plan.outline import Outline, outline_of_rings
from app.domain.plan.pieces import heading
from app.domain.plan.wkt import read_rings

_SQUARE = 1e-9


@dataclass(frozen=True, slots=True)
class Walk:
    """The pieces of a line or of one ring; `closed` where the last one leads back to the first."""

    pieces: tuple[Segment, ...]
    closed: bool

    @property
    def points(self) -> tuple[Point, ...]:
        """Its points in order, each once."""
        starts = tuple(piece.start for piece in self.pieces)
        return starts if self.closed else (*starts, self.pieces[-1].end)


def ring_of(outline: Outline, number: int = 0) -> Walk:
    """One ring of an outline as it was typed: 0 is the outer one, then its holes.

    Raises: BadValue for a ring there is not.
    """
    rings = read_rings(outline.wkt)
    if not 0 <= number < len(rings):
        raise BadValue("The outline has no such opening (any more). Open the plan afresh.")
    return Walk(rings[number], closed=True)


def with_ring(outline: Outline, walk: Walk, number: int = 0) -> Outline:
    """The outline with one of its rings replaced; a typed rectangle that still is one stays so.

    Raises: every refusal of an outline.
    """
    rings = list(read_rings(outline.wkt))
    if rings[number] == walk.pieces:
        return outline
    rings[number] = walk.pieces
    sizes = _sides(walk.pieces) if outline.shape == "rectangle" and len(rings) == 1 else None
    return outline_of_rings(rings, "rectangle", sizes) if sizes else outline_of_rings(rings)


def _sides(pieces: Sequence[Segment]) -> tuple[float, float] | None:
    """Width and depth of a ring that is a rectangle walked counterclockwise, else None."""
    if len(pieces) != 4 or not all(isinstance(piece, Line) for piece in pieces):
        return None
    ways = [heading(piece, 0) for piece in pieces]
    turns = [ways[n][0] * ways[(n + 1) % 4][1] - ways[n][1] * ways[(n + 1) % 4][0] for n in range(4)]
    return (pieces[0].length, pieces[1].length) if all(turn > 1 - _SQUARE for turn in turns) else None


def walk_of_line(points: Sequence[Point], rises: Sequence[float] = ()) -> Walk:
    """An open line as pieces. Raises: BadValue for fewer than two points; EdgeWithoutLength."""
    if len(points) < 2:
        raise BadValue("A line needs two points at least. Type where it starts and where it ends.")
    bent = [*rises, *[0.0] * (len(points) - 1 - len(rises))]
    stretches = zip(pairwise(points), bent, strict=False)
    return Walk(tuple(piece_between(start, end, rise) for (start, end), rise in stretches), closed=False)


def line_of_walk(walk: Walk) -> tuple[Points, Rises]:
    """An open line as it is kept: its points and rises."""
    return points_and_rises(walk.pieces)
