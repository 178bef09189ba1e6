"""Walls and columns in courses against published counts and counting by hand."""

import pytest

from app.domain.errors import BadValue
from app.domain.plan.laying.walls import Block, Course, courses_to, lay_column, lay_course, lay_wall

BLOCK = Block(length=16 / 12, height=8 / 12, depth=8 / 12)  # 8 by 8 by 16 in, joints included
GARDEN = Block(length=12 / 12, height=6 / 12, depth=6 / 12)


def test_a_straight_block_wall_takes_the_published_count() -> None:
    # US Navy, NAVEDTRA 14045 Builder Advanced, p. 145: 100 ft by 10 ft is 75 to a course, 15 courses, 1,125 block
    wall = lay_wall([100.0], BLOCK, 10.0)
    assert [course.blocks for course in wall.courses] == [75] * 15
    assert wall.blocks == 1125


def test_a_four_wall_building_takes_the_published_count() -> None:
    # the same, p. 145-146: 20 by 8 ft in plan, 8 ft high: 42 to a course, 12 courses, 504 block
    wall = lay_wall([20.0, 8.0, 20.0, 8.0], BLOCK, 8.0, closed=True)
    assert [course.blocks for course in wall.courses] == [42] * 12
    assert (wall.blocks, wall.cuts) == (504, 0)


def test_every_second_course_begins_and_ends_in_a_half() -> None:
    # 8 ft of 1 ft blocks: 8; then a half, 7, a half: two halves sawn from one block
    first, second, third = lay_wall([8.0], GARDEN, 1.5).courses
    assert (first, third) == (Course(8, 0, 0), Course(8, 0, 0))
    assert second == Course(7, 2, 0)
    assert (second.blocks, second.cuts) == (8, 1)


def test_a_rest_that_is_no_half_is_cut() -> None:
    # 8 ft 3 in: 8 and a piece of 3 in; then a half, 7 and 9 in
    first, second = lay_wall([8.25], GARDEN, 1.0).courses
    assert (first, second) == (Course(8, 0, 1), Course(7, 1, 1))


def test_corners_run_through_by_turns() -> None:
    # along the middle 4 and 3 ft, 6 in deep: 4 ft 3 in and 2 ft 9 in, then 3 ft 9 in and 3 ft 3 in
    even, odd = (lay_course([4.0, 3.0], GARDEN, number) for number in (0, 1))
    assert even == Course(4 + 2, 0, 2)
    # the first stretch begins free: a half, 3 and 3 in; the second at the corner: 3 and 3 in
    assert odd == Course(3 + 3, 1, 2)


def test_miters_are_sawn_on_both_sides_of_a_corner() -> None:
    course = lay_course([4.0, 4.0, 4.0, 4.0], GARDEN, 0, closed=True, mitered=True)
    assert (course.blocks, course.miters, course.cuts) == (16, 8, 8)


def test_courses_reach_the_height_with_the_buried_part() -> None:
    # 18 in seat wall and 6 in buried, 6 in units: 4 courses; 14 ft of 1 ft caps: 14 (geometry)
    wall = lay_wall([14.0], GARDEN, 1.5, buried=0.5, cap=1.0)
    assert (len(wall.courses), wall.buried, wall.caps) == (4, 1, 14)
    assert courses_to(1.5 + 1 / 32 / 12, 0.5) == 3  # 1/32 in is no course
    assert courses_to(1.5 + 1 / 8 / 12, 0.5) == 4


def test_a_column_is_laid_like_a_pinwheel() -> None:
    # 24 in outside, 8 in deep: 16 in to a side, one block; 36 in high and 8 in buried: 6 courses of 4
    column = lay_column(2.0, BLOCK, 3.0, buried=8 / 12)
    assert (column.blocks, column.buried, column.caps, column.cuts) == (24, 1, 1, 0)


@pytest.mark.parametrize("height", [0.2, 1.0, 2.0, 3.7])
def test_a_higher_or_longer_wall_never_takes_fewer_blocks(height: float) -> None:
    less = lay_wall([7.3, 4.1], GARDEN, height)
    assert lay_wall([7.3, 4.1], GARDEN, height + 0.5).blocks >= less.blocks
    assert lay_wall([8.3, 4.1], GARDEN, height).blocks >= less.blocks


def test_walls_that_cannot_be_laid_are_refused() -> None:
    with pytest.raises(BadValue, match="height of the block"):
        lay_wall([4.0], Block(length=1, height=0, depth=0.5), 1.0)
    with pytest.raises(BadValue, match="more than a wall has"):
        courses_to(500, 0.5)
    with pytest.raises(BadValue, match="no room"):
        lay_column(0.5, BLOCK, 3)
