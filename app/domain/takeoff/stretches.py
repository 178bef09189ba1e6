"""What formulas may ask of a line: stock lengths, couplings, blocks of a course. One table says what each takes, gives.

A line's stretches run from corner to corner along its points and arcs; a line that is only typed has equal ones.
"""

from collections.abc import Callable, Mapping
from itertools import pairwise
from math import hypot

from app.domain.job import Run
from app.domain.plan.laying.stock import from_stock
from app.domain.plan.laying.walls import Block, lay_course
from app.domain.plan.open_lines import CORNER, length_of, pieces_of
from app.domain.plan.pieces import heading, turn_between
from app.domain.units import AREA, LENGTH, RATIO, Dimension

Applied = Mapping[str, tuple[Dimension, Dimension]]
OfALength = Callable[[float], float]

_CUT: Applied = {"stock": (LENGTH, RATIO), "couplings": (LENGTH, RATIO)}
_LAID: Applied = {"course_blocks": (LENGTH, RATIO), "second_course_blocks": (LENGTH, RATIO)}
# by the place an assembly is built on: name → (what stands in its brackets, what it gives)
APPLIED: Mapping[str, Applied] = {"zone": {"grown": (LENGTH, AREA)}, "run": {**_CUT, **_LAID}, "edge": _CUT}
SOURCES: Mapping[str, str] = {
    "stock": "cut from stock lengths, longest rest first",
    "couplings": "where two stock lengths meet within a stretch",
    "course_blocks": "first course: blocks with halves and cuts, corners by turns",
    "second_course_blocks": "second course: half a block on, corners the other way",
}
_SAME = 1e-6  # ft


def run_stretches(run: Run) -> tuple[tuple[float, ...], bool]:
    """The lengths [ft] from corner to corner, and whether the line closes; nothing where its length is not known.

    A typed length is shared in the proportions drawn, or equally between the typed corners.
    """
    drawn = length_of(run.points, run.rises) if len(run.points) > 1 else 0.0
    total = drawn if run.length is None else run.length
    if not total:
        return (), False
    if not drawn:
        return (total / (run.corners + 1),) * (run.corners + 1), False
    pieces = pieces_of(run.points, run.rises)
    stretches = [pieces[0].length]
    for before, piece in pairwise(pieces):
        if abs(turn_between(heading(before, 1), heading(piece, 0))) > CORNER:
            stretches.append(piece.length)
        else:
            stretches[-1] += piece.length
    (ax, ay), (bx, by) = run.points[0], run.points[-1]
    return tuple(one * total / drawn for one in stretches), hypot(bx - ax, by - ay) < _SAME


def cutting(stretches: tuple[float, ...]) -> Mapping[str, OfALength]:
    """Stock lengths and couplings of stretches, as functions of the stock length [ft]."""
    return {
        "stock": lambda stock: float(from_stock(stretches, stock).lengths),
        "couplings": lambda stock: float(from_stock(stretches, stock).couplings),
    }


def laying_courses(stretches: tuple[float, ...], *, closed: bool) -> Mapping[str, OfALength]:
    """Blocks of the first and the second course, as functions of the block's length [ft], half as deep as long."""

    def blocks(number: int) -> OfALength:
        def of(length: float) -> float:
            block = Block(length=length, height=length, depth=length / 2)
            return float(lay_course(stretches, block, number, closed=closed).blocks)

        return of

    return {"course_blocks": blocks(0), "second_course_blocks": blocks(1)}
