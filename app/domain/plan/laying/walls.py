"""Walls and columns laid in courses: whole blocks, halves of the bond, cut blocks, caps; one buried course and more.

Running bond by halves. A stretch is measured along the middle of the wall; at a corner one stretch runs through and the
other butts against it, turn about from course to course, or both are mitered. Source: geometry.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from app.domain.errors import BadValue
from app.domain.plan.laying.stock import WHOLE_WITHIN, from_stock

_SLACK = 1e-9
MOST_COURSES = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A wall unit [ft]: length along the wall, height of a course, depth through the wall; joints included."""

    length: float
    height: float
    depth: float


@dataclass(frozen=True, slots=True)
class Course:
    """One course: whole blocks, halves that make the bond, blocks cut to another length, and miters sawn."""

    whole: int
    halves: int
    cut: int
    miters: int = 0

    @property
    def blocks(self) -> int:
        """Blocks opened: two halves are sawn from one."""
        return self.whole + ceil(self.halves / 2) + self.cut

    @property
    def cuts(self) -> int:
        """Saw cuts; one cut makes two halves."""
        return ceil(self.halves / 2) + self.cut + self.miters


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall laid: its courses from the bottom up, how many of them are below ground, and its caps."""

    courses: tuple[Course, ...]
    buried: int
    caps: int

    @property
    def blocks(self) -> int:
        """Blocks of all courses."""
        return sum(course.blocks for course in self.courses)

    @property
    def cuts(self) -> int:
        """Saw cuts in all courses."""
        return sum(course.cuts for course in self.courses)


def courses_to(height: float, block_height: float) -> int:
    """Courses that reach a height [ft], the buried part in it; within 1/16 in of a whole course is that course.

    >>> courses_to(18 / 12 + 6 / 12, 6 / 12)
    4
    """
    if block_height <= WHOLE_WITHIN:
        raise BadValue(f"A course {block_height * 12:g} in high cannot be laid. Give the height of the block.")
    courses = max(0, ceil((height - WHOLE_WITHIN) / block_height))
    if courses > MOST_COURSES:
        raise BadValue(f"{courses} courses are more than a wall has. Check the height of wall and block.")
    return courses


def lay_wall(
    stretches: Sequence[float],
    block: Block,
    height: float,
    *,
    buried: float = 0.0,
    closed: bool = False,
    mitered: bool = False,
    cap: float = 0.0,
) -> Wall:
    """Lay a wall of stretches [ft] with a corner between each two to a height above ground [ft].

    `buried` [ft] is what stands below ground, at least a course where it is not nothing. `closed` walls have a corner
    where the last stretch meets the first. Caps of a length [ft] are laid on top, whole and one rest to each stretch.

    >>> lay_wall([100.0], Block(length=16 / 12, height=8 / 12, depth=8 / 12), 10.0).blocks
    1125
    """
    below = courses_to(buried, block.height)
    above = courses_to(height + buried, block.height) - below
    courses = tuple(lay_course(stretches, block, at, closed=closed, mitered=mitered) for at in range(below + above))
    caps = from_stock(stretches, cap).lengths if cap else 0
    return Wall(courses, below, caps)


def lay_course(
    stretches: Sequence[float], block: Block, number: int, *, closed: bool = False, mitered: bool = False
) -> Course:
    """One course, by its number from the bottom (0 is the first)."""
    last = len(stretches) - 1
    whole = halves = cut = miters = 0
    for place, stretch in enumerate(stretches):
        corners = (closed or place > 0, closed or place < last)
        length = stretch if mitered else stretch + _through(corners, number) * block.depth / 2
        one = _filled(length, block.length, half_first=number % 2 == 1 and not corners[0])
        whole, halves, cut = whole + one.whole, halves + one.halves, cut + one.cut
        miters += sum(corners) if mitered else 0
    return Course(whole, halves, cut, miters)


def _through(corners: tuple[bool, bool], number: int) -> int:
    """By how many half depths a stretch is longer (it runs through) or shorter (it butts): at begin, and at end."""
    turn = 1 if number % 2 == 0 else -1
    return (-turn if corners[0] else 0) + (turn if corners[1] else 0)


def _filled(length: float, unit: float, *, half_first: bool) -> Course:
    """Blocks in one stretch of one course; a rest of half a block is a half, any other is cut."""
    rest = length
    halves = int(half_first and rest >= unit / 2 - WHOLE_WITHIN)
    rest -= halves * unit / 2
    whole = max(0, floor((rest + WHOLE_WITHIN) / unit))
    rest -= whole * unit
    if abs(rest - unit / 2) < WHOLE_WITHIN:
        return Course(whole, halves + 1, 0)
    return Course(whole, halves, int(rest > WHOLE_WITHIN))


def lay_column(side: float, block: Block, height: float, *, buried: float = 0.0) -> Wall:
    """A square column of a side [ft] outside: each side of a course begins behind the one before; one cap.

    >>> lay_column(24 / 12, Block(length=16 / 12, height=8 / 12, depth=8 / 12), 36 / 12).blocks
    20
    """
    if side < block.depth + WHOLE_WITHIN:
        raise BadValue(f"A column {side * 12:g} in wide has no room for blocks {block.depth * 12:g} in deep.")
    one = _filled(side - block.depth, block.length, half_first=False)
    course = Course(4 * one.whole, 4 * one.halves, 4 * one.cut)
    count = courses_to(height + buried, block.height)
    return Wall((course,) * count, courses_to(buried, block.height), 1)


__all__ = ["Block", "Course", "Wall", "courses_to", "lay_column", "lay_course", "lay_wall"]
