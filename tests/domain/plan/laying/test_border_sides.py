"""Border courses along chosen sides: counted by hand, against the ground they cover, and moved with the outline."""

from dataclasses import replace
from math import fsum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan.laying import BorderCourse, Laying, Unit, lay
from app.domain.plan.laying.sides import sides_of
from app.domain.plan.measures import area
from app.domain.plan.outline import Outline
from app.domain.plan.placing import placing_of
from app.domain.plan.shapes import rectangle
from app.domain.takeoff.requirements import requirements
from tests.plans import yards

UNIT = Unit(length=1, width=0.5)
YARD = rectangle(20, 12)
SOUTH, EAST, NORTH = (10.0, 0.0), (20.0, 6.0), (10.0, 12.0)
ELL = Outline("POLYGON ((0 0, 20 0, 20 12, 10 12, 10 6, 0 6, 0 0))")
SLANTED = Outline("POLYGON ((0 0, 20 0, 24 12, -6 12, 0 0))")
ROUND = Outline("CURVEPOLYGON (COMPOUNDCURVE ((0 0, 20 0, 20 8), CIRCULARSTRING (20 8, 10 14, 0 8), (0 8, 0 0)))")
ONE = Laying(pattern="stack", start=(0, 0), angle=0, borders=(BorderCourse(),))


def border(outline: Outline, *along: tuple[float, float], **fields):
    return lay(outline, replace(ONE, along=along, **fields), UNIT)


@pytest.mark.parametrize(
    ("along", "fields", "whole", "cut", "ground"),
    [
        # soldiers of 6 in: 2 to the foot, 1 ft deep
        ((SOUTH,), {}, 40, 0, 20.0),  # 20 ft, through to both edges
        (
            (SOUTH,),
            {"ends": "miter"},
            36,
            4,
            19.0,
        ),  # less two triangles of half a square foot; two units cut at each end
        ((SOUTH, EAST), {}, 60, 4, 31.0),  # 32 ft, the square foot of the corner once; mitered there alone
        ((SOUTH, EAST), {"corners": "butt"}, 62, 0, 31.0),  # one of the two runs through, the other stands behind it
        ((SOUTH, NORTH), {}, 80, 0, 40.0),
    ],
    ids=["one side", "one side mitered", "two sides", "two sides butted", "opposite"],
)
def test_courses_along_some_sides_of_a_rectangle_are_as_counted_by_hand(along, fields, whole, cut, ground) -> None:
    laid = border(YARD, *along, **fields)
    (course,) = laid.borders
    assert (course.whole[0], course.opened[0] - course.whole[0]) == (whole, cut)
    assert course.ground == pytest.approx(ground)
    assert course.covered == pytest.approx(ground)
    assert laid.field.covered == pytest.approx(240 - ground)


def test_at_an_inward_corner_a_border_ends_square() -> None:
    """Along the 6 ft that face the notch: 12 soldiers, 6 sq ft, whichever way the ends are cut. Source: by hand."""
    (course,) = border(ELL, (10, 9)).borders
    assert (course.whole[0], course.opened[0], course.ground) == (12, 12, pytest.approx(6))
    (both,) = border(ELL, (10, 9), (5, 6)).borders  # around the corner: 6 + 10 and the square foot beyond it
    assert both.ground == pytest.approx(17)


def test_all_sides_chosen_are_laid_as_none_chosen() -> None:
    for outline in (YARD, ELL, SLANTED, ROUND):
        every = tuple(side.at for side in sides_of(outline))
        whole, chosen = lay(outline, ONE, UNIT), border(outline, *every)
        assert chosen.borders[0].opened == whole.borders[0].opened
        assert chosen.borders[0].ground == pytest.approx(whole.borders[0].ground, rel=2e-3)
        assert chosen.field.covered == pytest.approx(whole.field.covered, rel=2e-3)


@pytest.mark.parametrize("outline", [YARD, ELL, SLANTED], ids=["rectangle", "ell", "slanted"])
@given(chosen=st.sets(st.integers(0, 5), min_size=1), mitered=st.booleans(), butted=st.booleans())
@settings(max_examples=25, deadline=None)
def test_field_and_border_cover_the_outline_whatever_is_chosen(outline, chosen, mitered, butted) -> None:
    sides = sides_of(outline)
    along = tuple(sides[place % len(sides)].at for place in chosen)
    laid = border(outline, *along, ends="miter" if mitered else "through", corners="butt" if butted else "miter")
    assert fsum(part.covered for part in laid.parts) == pytest.approx(area(outline), rel=1e-3)
    assert fsum(part.ground for part in laid.parts) == pytest.approx(area(outline), rel=1e-4)


def test_two_courses_stop_where_one_does() -> None:
    laid = lay(YARD, replace(ONE, along=(SOUTH,), borders=(BorderCourse(), BorderCourse(pattern="sailor"))), UNIT)
    assert [part.ground for part in laid.borders] == pytest.approx([20, 10])
    assert [part.opened for part in laid.borders] == [(40,), (20,)]


def test_courses_on_an_arc_alone_fan_and_leave_the_straight_sides() -> None:
    laid = border(ROUND, (10, 14))
    assert laid.borders[0].widest > 0
    arc = next(side for side in sides_of(ROUND) if side.at[1] > 13)
    assert laid.borders[0].ground == pytest.approx(arc.length, rel=0.06)  # 1 ft deep; shorter inside the arc
    assert fsum(part.ground for part in laid.parts) == pytest.approx(area(ROUND), rel=2e-3)


def test_sides_that_are_gone_are_said() -> None:
    with pytest.raises(BadValue, match="not there any more"):
        border(YARD, (60, 60))


def test_moving_and_turning_the_whole_changes_no_count() -> None:
    laid = border(ELL, (10, 9), (5, 6), start=None, angle=None)
    placing = placing_of(turn=37.0, about=(3, 4), east=100, north=-50)
    along = [placing.point(one) for one in ((10, 9), (5, 6))]
    turned = lay(placing.outline(ELL), replace(ONE, start=None, angle=None, along=tuple(along)), UNIT)
    assert turned.borders[0].opened == laid.borders[0].opened
    assert turned.borders[0].ground == pytest.approx(laid.borders[0].ground)


def test_length_and_price_follow_the_sides() -> None:
    def amounts(*along: tuple[float, float]) -> dict[str, float]:
        job = yards.with_zone(yards.empty(house=None), "A", YARD, assembly="unit-pavers")
        job = replace(job, works=(replace(job.works[0], laying=replace(ONE, along=along)),))
        return {one.key: one.amount for one in requirements(job, yards.basis())[0]}

    assert amounts()["lay-border"] == pytest.approx(64)
    assert amounts(SOUTH, EAST)["lay-border"] == pytest.approx(32)
