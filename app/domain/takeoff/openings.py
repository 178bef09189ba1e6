"""The walls and fences of a yard that doors and gates stand in."""

from functools import lru_cache

from app.domain.job import Job, RunKind
from app.domain.plan.arcs import Point, Segment
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import Outline, segments

WITH_GATES = {"fence", "wall"}  # what stands there and may have a gate
BUILT_WITH_GATES = {RunKind.FENCE, RunKind.WALL}


def walls_with_openings(job: Job) -> tuple[Segment, ...]:
    """The walls of the house, then fences and walls that stand there, then those that are built: edges and arcs."""
    there = ((one.points, one.rises) for one in job.existing if one.kind in WITH_GATES)
    built = ((one.points, one.rises) for one in job.runs if one.kind in BUILT_WITH_GATES)
    return _walls(job.site.house, tuple(line for line in (*there, *built) if len(line[0]) > 1))


@lru_cache(maxsize=64)
def _walls(
    house: Outline | None, lines: tuple[tuple[tuple[Point, ...], tuple[float, ...]], ...]
) -> tuple[Segment, ...]:
    pieces = [
        *(segments(house) if house else ()),
        *(piece for points, rises in lines for piece in pieces_of(points, rises)),
    ]
    return tuple(piece for piece in pieces if piece.length > 0)
