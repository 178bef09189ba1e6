"""What formulas may ask of a line: stock lengths, couplings, blocks of a course. One table says what each takes, gives.

A line's stretches run from corner to corner along its points and arcs; a line that is only typed has equal ones.
"""

from collections.abc import Callable, Mapping
from itertools import pairwise
from math import hypot

from app.domain.job import Run
from app.domain.plan.laying.counters import Leg, counter_top
from app.domain.plan.laying.stock import from_stock
from app.domain.plan.laying.walls import Block, lay_column, lay_course
from app.domain.plan.open_lines import CORNER, length_of, pieces_of
from app.domain.plan.pieces import heading, turn_between
from app.domain.units import AREA, LENGTH, RATIO, Dimension

Applied = Mapping[str, tuple[tuple[Dimension, ...], Dimension]]
OfLengths = Callable[..., float]

_ONE, _TWO = (LENGTH,), (LENGTH, LENGTH)
_CUT: Applied = {"stock": (_ONE, RATIO), "couplings": (_ONE, RATIO)}
_LAID: Applied = {
    **dict.fromkeys(("course_blocks", "second_course_blocks", "course_cuts", "second_course_cuts"), (_ONE, RATIO)),
    **dict.fromkeys(("mitered_blocks", "mitered_cuts"), (_ONE, RATIO)),
}
_TOP: Applied = {"slab_joints": (_TWO, RATIO)}
_COLUMN: Applied = {"column_blocks": (_TWO, RATIO), "column_cuts": (_TWO, RATIO)}
# by the place an assembly is built on: name → (what stands in its brackets, what it gives)
APPLIED: Mapping[str, Applied] = {
    "zone": {"grown": (_ONE, AREA)},
    "run": {**_CUT, **_LAID, **_TOP},
    "edge": _CUT,
    "feature": _COLUMN,
}
SOURCES: Mapping[str, str] = {
    "stock": "cut from stock lengths, longest rest first",
    "couplings": "where two stock lengths meet within a stretch",
    "course_blocks": "first course: blocks with halves and cuts, corners by turns",
    "second_course_blocks": "second course: half a block on, corners the other way",
    "course_cuts": "saw cuts in the first course: one makes two halves",
    "second_course_cuts": "saw cuts in the second course",
    "mitered_blocks": "a course mitered at its corners: blocks with halves and cuts",
    "mitered_cuts": "saw cuts in a mitered course: two at each corner, and those of its bond",
    "slab_joints": "slabs no longer than they are cut, and one joint at each corner; the fabricator templates",
    "column_blocks": "blocks of one course of a square column, each side behind the one before",
    "column_cuts": "saw cuts in one course of a square column",
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


def cutting(stretches: tuple[float, ...]) -> Mapping[str, OfLengths]:
    """Stock lengths and couplings of stretches, as functions of the stock length [ft]."""
    return {
        "stock": lambda stock: float(from_stock(stretches, stock).lengths),
        "couplings": lambda stock: float(from_stock(stretches, stock).couplings),
    }


def laying_courses(stretches: tuple[float, ...], *, closed: bool) -> Mapping[str, OfLengths]:
    """Blocks and saw cuts of courses, as functions of the block's length [ft], half as deep as long."""

    def course(number: int, what: str, *, mitered: bool = False) -> OfLengths:
        def of(length: float) -> float:
            laid = lay_course(stretches, _block(length), number, closed=closed, mitered=mitered)
            return float(getattr(laid, what))

        return of

    return {
        "course_blocks": course(0, "blocks"),
        "second_course_blocks": course(1, "blocks"),
        "course_cuts": course(0, "cuts"),
        "second_course_cuts": course(1, "cuts"),
        "mitered_blocks": course(0, "blocks", mitered=True),
        "mitered_cuts": course(0, "cuts", mitered=True),
    }


def covering(stretches: tuple[float, ...]) -> Mapping[str, OfLengths]:
    """Joints in the top of a counter, as a function of its overhang at the ends and the longest slab [ft]."""

    def joints(ends: float, slab: float) -> float:
        legs = [Leg(length=one, depth=1.0) for one in stretches]  # the depth decides the area, not the joints
        return float(counter_top(legs, slab, ends=ends).joints)

    return {"slab_joints": joints}


def columns() -> Mapping[str, OfLengths]:
    """Blocks and saw cuts in a course of a square column, as functions of its side and the block's length [ft]."""

    def course(what: str) -> OfLengths:
        def of(side: float, length: float) -> float:
            (one,) = lay_column(side, _block(length), length).courses
            return float(getattr(one, what))

        return of

    return {"column_blocks": course("blocks"), "column_cuts": course("cuts")}


def _block(length: float) -> Block:
    return Block(length=length, height=length, depth=length / 2)
