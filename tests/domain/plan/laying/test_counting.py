"""Units laid against counting by hand on paper, and against published units per square foot."""

import numpy as np
import pytest

from app.domain.errors import BadValue
from app.domain.plan import circle, rectangle
from app.domain.plan.laying import PATTERNS, BorderCourse, Laying, Unit, lay
from app.domain.plan.laying.borders import BorderDoesNotFit
from app.domain.plan.laying.laid import TooManyUnits, layings_made
from app.domain.plan.laying.reuse import units_reusing
from app.domain.plan.outline import Outline

FOOT_BY_HALF = Unit(length=1, width=0.5)
BRICK = Unit(length=8 / 12, width=4 / 12)
CORNER = (0.0, 0.0)


def at_corner(pattern: str) -> Laying:
    return Laying(pattern=pattern, start=CORNER, angle=0)


def test_stack_bond_of_exact_size_has_no_cuts() -> None:
    field = lay(rectangle(4, 3), at_corner("stack"), FOOT_BY_HALF).field
    assert (field.whole, field.opened, field.cuts, field.slivers) == ((24,), (24,), 0, 0)


def test_running_bond_by_halves_has_two_half_units_in_every_second_course() -> None:
    # 4 ft by 1 ft: one course of four, one of three and two halves; two cuts of half a foot
    field = lay(rectangle(4, 1), at_corner("running-half"), FOOT_BY_HALF).field
    assert (field.whole, field.opened, field.cuts) == ((7,), (9,), 2)
    assert field.cut_length == pytest.approx(1.0)
    assert sorted(field.pieces.shares.tolist()) == pytest.approx([0.5, 0.5])


def test_running_bond_by_thirds_ends_in_one_and_two_thirds() -> None:
    # third course shifted by two thirds: courses of 4; 3 + a third + two thirds; 3 + two thirds + a third
    field = lay(rectangle(4, 1.5), at_corner("running-third"), FOOT_BY_HALF).field
    assert (field.whole, field.opened) == ((10,), (14,))
    assert sorted(field.pieces.shares.tolist()) == pytest.approx([1 / 3, 1 / 3, 2 / 3, 2 / 3])


def test_off_cuts_of_thirds_are_used_again_where_the_saw_leaves_enough() -> None:
    # a third and two thirds of one unit, less the saw's 1/8 in: only the thirds can share a unit
    field = lay(rectangle(4, 1.5), at_corner("running-third"), FOOT_BY_HALF).field
    assert field.reusing == (13,)


def test_herringbone_square_of_two_feet_counted_on_squared_paper() -> None:
    # six whole units and four halves, drawn by hand: three of each direction whole, two of each cut
    field = lay(rectangle(2, 2), at_corner("herringbone-90"), FOOT_BY_HALF).field
    assert (field.whole, field.opened) == ((6,), (10,))
    assert sorted(field.pieces.shares.tolist()) == pytest.approx([0.5] * 4)


def test_basket_weave_of_two_feet_is_eight_units() -> None:
    assert lay(rectangle(2, 2), at_corner("basket"), FOOT_BY_HALF).field.opened == (8,)


def test_two_sizes_alternate_in_each_course() -> None:
    # 1.5 ft repeat of a foot and a half: 3 ft long, two courses, the second shifted by 0.75 ft
    field = lay(rectangle(3, 0.5), at_corner("two-size"), FOOT_BY_HALF).field
    assert (field.sizes, field.opened) == (((1, 0.5), (0.5, 0.5)), (2, 2))
    assert field.units(field.opened) == pytest.approx(3.0)


def test_pinwheel_has_as_many_small_squares_as_large_ones() -> None:
    field = lay(rectangle(40, 40), Laying(pattern="pinwheel"), Unit(length=1, width=1)).field
    large, small = field.whole
    assert small == pytest.approx(large, rel=0.05)
    assert field.sizes == ((1, 1), (0.5, 0.5))


def test_a_joint_takes_its_room() -> None:
    # (12 + 1/2) in by (6 + 1/2) in: 50 ft by 26 in is 48 across and 4 courses
    unit = Unit(length=1, width=0.5, joint=0.5 / 12)
    field = lay(rectangle(50, 26 / 12), at_corner("stack"), unit).field
    assert (field.opened, field.cuts) == ((192,), 0)
    assert field.covered == pytest.approx(96.0)


@pytest.mark.parametrize(
    ("length", "width", "per_sq_ft"),
    # Brick Industry Association, Seven Easy Steps, part 2: units to the square foot, tight joints
    [(8, 4, 4.5), (7.625, 3.625, 5.2), (7.5, 3.75, 5.1)],
)
@pytest.mark.parametrize("pattern", ["stack", "running-half", "herringbone-45", "herringbone-90"])
def test_units_per_square_foot_come_to_the_published_figure_as_the_area_grows(
    length: float, width: float, per_sq_ft: float, pattern: str
) -> None:
    def per_foot(side: float) -> tuple[float, float]:
        field = lay(rectangle(side, side), Laying(pattern=pattern), Unit(length=length / 12, width=width / 12)).field
        return field.whole[0] / side**2, field.opened[0] / side**2

    least, most = per_foot(6)
    nearer_least, nearer_most = per_foot(48)
    assert least <= per_sq_ft + 0.05 <= most + 0.1
    assert nearer_most - nearer_least < most - least or most == least
    assert nearer_least == pytest.approx(per_sq_ft, rel=0.035)
    assert nearer_most == pytest.approx(per_sq_ft, rel=0.035)


def test_soldiers_are_three_to_the_foot_of_edge() -> None:
    # Brick Industry Association: one unit to 4 in of edge, 60 ft of edge take 180
    border = lay(rectangle(20, 10), Laying(borders=(BorderCourse(),)), BRICK).borders[0]
    assert border.opened == (180,)


def test_butted_soldiers_of_exact_size_are_all_whole() -> None:
    # each course of 12 by 8 ft begins behind the one before: 34 on the long sides, 22 on the short ones
    border = lay(rectangle(12, 8), Laying(borders=(BorderCourse(),), corners="butt"), BRICK).borders[0]
    assert (border.whole, border.opened, border.cuts) == ((112,), (112,), 0)


def test_mitered_soldiers_are_sawn_at_the_corners_only() -> None:
    # 8 in wide, 4 in units: two units to each side of a corner, one triangle and one quadrilateral: one cut each
    border = lay(rectangle(12, 8), Laying(borders=(BorderCourse(),)), BRICK).borders[0]
    assert (border.whole, border.opened, border.cuts) == ((104,), (120,), 16)
    assert border.cut_length == pytest.approx(8 * (8 / 12) * 2**0.5)


def test_soldiers_around_a_circle_are_whole_and_open_outward() -> None:
    # inside circumference 2π · (6 − 2/3) = 33.51 ft, 4 1/8 in each: 97; the joint outside opens to 0.66 in
    unit = Unit(length=8 / 12, width=4 / 12, joint=1 / 8 / 12)
    border = lay(circle(6), Laying(borders=(BorderCourse(),)), unit).borders[0]
    assert (border.opened, border.cuts) == ((97,), 0)
    assert border.widest * 12 == pytest.approx(33.5103 / 97 * 6 / 5.33333 * 12 - 4, abs=1e-3)


def test_a_second_course_stands_within_the_first() -> None:
    courses = (BorderCourse(), BorderCourse(pattern="sailor"))
    laid = lay(rectangle(12, 8), Laying(borders=courses, corners="butt"), BRICK)
    # sailors on 12 − 16/12 by 8 − 16/12 ft, butted: (128 − 4) / 8 in and (80 − 4) / 8 in a side
    assert [part.ground for part in laid.borders] == pytest.approx(
        [96 - 10.6667 * 6.6667, 10.6667 * 6.6667 - 10 * 6], rel=1e-3
    )
    assert laid.borders[1].units(laid.borders[1].opened) == pytest.approx(2 * (15.5 + 9.5), abs=4)
    assert laid.field.ground == pytest.approx(60)


def test_a_hole_is_cut_around() -> None:
    whole = lay(rectangle(12, 12), at_corner("stack"), FOOT_BY_HALF).field
    hole = "POLYGON ((0 0, 12 0, 12 12, 0 12, 0 0), (4 4, 4 8, 8 8, 8 4, 4 4))"
    field = lay(Outline(hole), at_corner("stack"), FOOT_BY_HALF).field
    assert field.opened == (whole.opened[0] - 32,)
    assert field.ground == pytest.approx(144 - 16)


def test_a_unit_around_a_small_hole_is_cut_once_and_opened_once() -> None:
    # a post of 4 in square in the middle of one unit: four cuts, one unit
    hole = "POLYGON ((0 0, 2 0, 2 1, 0 1, 0 0), (0.4 0.1, 0.4 0.4, 0.7 0.4, 0.7 0.1, 0.4 0.1))"
    field = lay(Outline(hole), at_corner("stack"), FOOT_BY_HALF).field
    assert (field.whole, field.opened, field.cuts) == ((3,), (4,), 4)


def test_slivers_are_counted_by_the_smallest_share() -> None:
    # 4 ft 3 in long from the left: 3 in pieces of a foot are a quarter
    long = rectangle(4.25, 1)
    assert lay(long, at_corner("stack"), FOOT_BY_HALF).field.slivers == 2
    assert lay(long, Laying(pattern="stack", start=CORNER, angle=0, smallest=0.25), FOOT_BY_HALF).field.slivers == 0


def test_a_crack_thinner_than_a_joint_is_no_cut() -> None:
    # 1/32 in more or less than four units is taken up by the joints; 1/8 in is cut
    for off, cuts in ((1 / 32, 0), (-1 / 32, 0), (1 / 8, 2), (-1 / 8, 2)):
        field = lay(rectangle(4 + off / 12, 1), at_corner("stack"), FOOT_BY_HALF).field
        assert field.cuts == cuts


def test_off_cuts_are_used_again_by_first_fit() -> None:
    assert units_reusing([(0.3, 0.5)] * 6, (1, 0.5), kerf=0) == 2
    assert units_reusing([(0.3, 0.25)] * 12, (1, 0.5), kerf=0) == 2
    assert units_reusing([(0.5, 0.5)] * 2, (1, 0.5)) == 2  # the saw takes 1/8 in
    assert units_reusing([], (1, 0.5)) == 0


@pytest.mark.parametrize("pattern", PATTERNS)
def test_using_off_cuts_again_never_opens_more(pattern: str) -> None:
    unit = Unit(length=0.75, width=0.75) if pattern == "pinwheel" else BRICK
    field = lay(circle(8.3), Laying(pattern=pattern), unit).field
    for whole, reusing, opened in zip(field.whole, field.reusing, field.opened, strict=True):
        assert whole <= reusing <= opened
    faces = np.array([long * short for long, short in field.sizes])
    assert field.covered <= faces @ np.array(field.reusing) + 1e-6


def test_a_laying_is_kept_by_what_it_rests_on() -> None:
    lay(rectangle(7.1, 3.3), Laying(), BRICK)
    before = layings_made()
    lay(rectangle(7.1, 3.3), Laying(), BRICK)
    assert layings_made() == before
    lay(rectangle(7.1, 3.3), Laying(pattern="stack"), BRICK)
    assert layings_made() == before + 1


@pytest.mark.parametrize(
    ("laying", "unit", "fact", "words"),
    [
        (Laying(pattern="chevron"), BRICK, BadValue, "Choose one of"),
        (Laying(pattern="basket"), Unit(length=9 / 12, width=6 / 12), BadValue, "gaps of 3 in"),
        (Laying(pattern="pinwheel"), BRICK, BadValue, "square unit"),
        (Laying(corners="round"), BRICK, BadValue, "Choose one of"),
        (Laying(borders=(BorderCourse(),) * 3), BRICK, BadValue, "one or two"),
        (Laying(start=(float("nan"), 0)), BRICK, BadValue, "cannot lie there"),
        (Laying(start=(0, 1e12)), BRICK, BadValue, "cannot lie there"),
        (Laying(angle=float("inf")), BRICK, BadValue, "cannot lie there"),
        (Laying(smallest=0.9), BRICK, BadValue, "share of a unit"),
        (Laying(), Unit(length=0.02, width=0.01), BadValue, "between 1 in and 12 ft"),
        (Laying(), Unit(length=1, width=1, joint=0.5), BadValue, "between 0 and 2 in"),
        (Laying(borders=(BorderCourse(),)), Unit(length=6, width=3), BorderDoesNotFit, "leave no field"),
    ],
)
def test_what_cannot_be_laid_is_refused_with_a_sentence(
    laying: Laying, unit: Unit, fact: type[BadValue], words: str
) -> None:
    with pytest.raises(fact, match=words):
        lay(rectangle(12, 8), laying, unit)


def test_an_arc_too_tight_for_a_border_is_refused() -> None:
    tight = (
        "CURVEPOLYGON (COMPOUNDCURVE ((0 0, 20 0, 20 9), CIRCULARSTRING (20 9, 19.7 9.7, 19 10), (19 10, 0 10, 0 0)))"
    )
    with pytest.raises(BorderDoesNotFit, match=r"arc of 1\.0 ft radius"):
        lay(Outline(tight), Laying(borders=(BorderCourse(),)), Unit(length=1, width=0.5))


def test_too_many_units_are_refused() -> None:
    with pytest.raises(TooManyUnits, match="larger unit"):
        lay(rectangle(200, 200), Laying(), Unit(length=1 / 6, width=1 / 6))
