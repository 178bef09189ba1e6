"""Border courses around openings in an outline: counted against the ground they cover and by hand."""

from dataclasses import replace
from math import pi

import pytest

from app.domain.plan.laying import BorderCourse, Laying, Unit, lay
from app.domain.plan.laying.borders import BorderDoesNotFit
from app.domain.plan.outline import Outline
from app.domain.takeoff.requirements import requirements
from tests.plans import yards

UNIT = Unit(length=1, width=0.5)
SQUARE_HOLE = Outline("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0), (8 4, 8 8, 12 8, 12 4, 8 4))")
ROUND_HOLE = Outline("CURVEPOLYGON ((0 0, 20 0, 20 12, 0 12, 0 0), CIRCULARSTRING (12 6, 10 4, 8 6, 10 8, 12 6))")
ONE = Laying(pattern="stack", start=(0, 0), angle=0, borders=(BorderCourse(),))


@pytest.mark.parametrize("corners", ["miter", "butt"])
def test_course_around_a_square_opening_covers_the_band_around_it(corners: str) -> None:
    """A course 1 ft wide: 240 − 18 × 10 = 60 sq ft outside, 6 × 6 − 4 × 4 = 20 around the opening. Source: geometry."""
    (plain,) = lay(SQUARE_HOLE, replace(ONE, corners=corners), UNIT).borders
    laid = lay(SQUARE_HOLE, replace(ONE, corners=corners, inner=True), UNIT)
    (border,) = laid.borders
    assert (plain.ground, border.ground) == pytest.approx((60, 80))
    assert border.covered == pytest.approx(80)
    assert laid.field.covered == pytest.approx(240 - 16 - 80)


def test_field_and_courses_cover_the_ground_with_two_courses() -> None:
    laid = lay(SQUARE_HOLE, replace(ONE, inner=True, borders=(BorderCourse(), BorderCourse(pattern="sailor"))), UNIT)
    assert [part.ground for part in laid.parts[1:]] == pytest.approx([80, (18 * 10 - 17 * 9) + (49 - 36)])
    assert sum(part.covered for part in laid.parts) == pytest.approx(224, rel=1e-6)


def test_units_fan_around_a_round_opening() -> None:
    """Units of 6 in touch along the circle of 2 ft: 2π · 2 / 0.5 is 25 and a little. Source: geometry."""
    (plain,) = lay(ROUND_HOLE, ONE, UNIT).borders
    (border,) = lay(ROUND_HOLE, replace(ONE, inner=True), UNIT).borders
    assert border.whole[0] - plain.whole[0] == 25
    assert border.ground - plain.ground == pytest.approx(pi * (9 - 4), rel=1e-3)
    assert border.widest == pytest.approx(2 * pi * 3 / 25 - 0.5, rel=1e-6)


@pytest.mark.parametrize(("west", "fits"), [(2.1, True), (1.9, False)])
def test_opening_too_near_the_outer_edge_is_refused(west: float, fits: bool) -> None:
    near = Outline(f"POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0), ({west} 4, {west} 8, 8 8, 8 4, {west} 4))")
    if fits:
        assert lay(near, replace(ONE, inner=True), UNIT).borders
    else:
        with pytest.raises(BorderDoesNotFit, match="around the openings"):
            lay(near, replace(ONE, inner=True), UNIT)


def test_openings_too_near_each_other_are_refused() -> None:
    two = Outline("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0), (4 4, 4 8, 8 8, 8 4, 4 4), (9 4, 9 8, 12 8, 12 4, 9 4))")
    with pytest.raises(BorderDoesNotFit, match="around the openings"):
        lay(two, replace(ONE, inner=True), UNIT)


def test_length_of_the_border_is_that_of_the_edges_it_goes_along() -> None:
    def length(laying: Laying) -> float:
        job = yards.with_zone(yards.empty(), "A", SQUARE_HOLE, assembly="unit-pavers")
        job = replace(job, works=(replace(job.works[0], laying=laying),))
        return sum(one.amount for one in requirements(job, yards.basis())[0] if one.key == "lay-border")

    assert length(ONE) == pytest.approx(64)
    assert length(replace(ONE, inner=True)) == pytest.approx(80)
