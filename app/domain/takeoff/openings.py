"""The walls and fences of a yard that doors and gates stand in."""

from functools import lru_cache

from app.domain.job import Existing, Job
from app.domain.plan.arcs import Line
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import Outline, segments

WITH_GATES = {"fence", "wall"}  # what stands there and may have a gate


def walls_with_openings(job: Job) -> tuple[Line, ...]:
    """The straight walls of the house, then the straight stretches of fences and walls that stand there."""
    lines = tuple(one for one in job.existing if one.kind in WITH_GATES and len(one.points) > 1)
    return _walls(job.site.house, lines)


@lru_cache(maxsize=64)
def _walls(house: Outline | None, lines: tuple[Existing, ...]) -> tuple[Line, ...]:
    pieces = [
        *(segments(house) if house else ()),
        *(piece for one in lines for piece in pieces_of(one.points, one.rises)),
    ]
    return tuple(piece for piece in pieces if isinstance(piece, Line) and piece.length > 0)
