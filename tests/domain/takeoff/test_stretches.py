"""Stock lengths and courses in formulas: checked for their dimension, and counted from the stretches of a line."""

from dataclasses import replace

import pytest

from app.domain.job import Job, RunKind
from app.domain.takeoff.formula import formula
from app.domain.takeoff.requirements import requirements
from app.domain.takeoff.stretches import columns, covering, laying_courses, run_stretches
from app.domain.takeoff.tree import DimensionMismatch, FormulaRefused, UnknownName
from app.domain.takeoff.vocabulary import measures_of, scope_of
from app.domain.units import LENGTH, RATIO
from tests.plans import yards


def run(assembly: str, kind: RunKind, **fields: object) -> Job:
    return yards.with_run(yards.empty(), "Line", assembly, kind=kind, **fields)


def amount(job: Job, role: str) -> float:
    return sum(one.amount for one in requirements(job, yards.basis())[0] if one.role == role)


def test_formulas_check_what_they_ask_of_a_line() -> None:
    scope = scope_of("run", measures_of("run"), {}, {})
    assert formula("stock(10*foot)", scope).kind == RATIO
    assert formula("course_blocks(18*inch) * 18*inch", scope).kind == LENGTH
    with pytest.raises(DimensionMismatch, match="stock wants ft"):
        formula("stock(3)", scope)
    with pytest.raises(UnknownName, match="a run or a shared edge"):
        formula("stock(3*foot)", scope_of("zone", measures_of("zone"), {}, {}))
    with pytest.raises(UnknownName, match="needs its brackets"):
        formula("couplings + 1", scope)


def test_stretches_run_from_corner_to_corner() -> None:
    (line,) = run("", RunKind.WALL, points=((0, 0), (6, 0), (12, 0), (12, 5))).runs
    assert run_stretches(line) == ((12.0, 5.0), False)
    assert run_stretches(replace(line, length=34.0)) == ((24.0, 10.0), False)  # typed: in the proportions drawn
    assert run_stretches(replace(line, points=(), length=12.0, corners=2)) == ((4.0, 4.0, 4.0), False)
    assert run_stretches(replace(line, points=())) == ((), False)
    closed = replace(line, points=((0, 0), (6, 0), (6, 6), (0, 6), (0, 0)))
    assert run_stretches(closed) == ((6.0, 6.0, 6.0, 6.0), True)


def test_an_arc_that_runs_on_smoothly_is_no_corner() -> None:
    # a quarter circle of 4 ft radius leaves the straight part in its direction: rise 4 · (1 − √½) left of the way
    (line,) = run("", RunKind.EDGING, points=((0, 0), (6, 0), (10, 4)), rises=(0.0, 4 * (1 - 0.5**0.5))).runs
    stretches, _ = run_stretches(line)
    assert len(stretches) == 1


def test_edging_is_bought_in_stock_lengths_of_each_stretch() -> None:
    # 12 and 5 ft from 10 ft pieces: one whole, rests 2 and 5 from a second
    job = run("edging-steel", RunKind.EDGING, points=((0, 0), (12, 0), (12, 5)))
    assert amount(job, "steel edging") == pytest.approx(20)


def test_a_seat_wall_takes_whole_blocks_in_whole_courses() -> None:
    # 8 ft 3 in, 18 in high and 6 in buried: 4 courses of 6 in; 9 blocks to each (8 and a piece; 7, a half, a piece)
    job = run("seat-wall", RunKind.WALL, points=((0, 0), (8.25, 0)), height=1.5)
    assert amount(job, "wall block") == pytest.approx(2 * 4 * 9 * 0.5)  # two faces, sq ft of 6 by 12 in blocks


def test_a_line_without_a_length_says_what_is_missing() -> None:
    job = run("edging-steel", RunKind.EDGING)
    _, findings = requirements(job, yards.basis())
    assert any("Draw Line on the plan or type its length" in one.remedy for one in findings)


def test_formulas_may_put_two_lengths_in_brackets() -> None:
    scope = scope_of("feature", measures_of("feature"), {}, {})
    assert formula("count * column_blocks(24*inch, 12*inch)", scope).kind == RATIO
    with pytest.raises(FormulaRefused, match=r"wants 2 numbers \(ft, ft\) in its brackets"):
        formula("column_blocks(24*inch)", scope)
    with pytest.raises(DimensionMismatch, match="column_blocks wants ft"):
        formula("column_blocks(24*inch, 12)", scope)


@pytest.mark.parametrize(("side", "blocks", "cuts"), [(18, 4, 0), (24, 6, 2), (30, 8, 0), (26, 8, 4)])
def test_blocks_of_a_column_course_are_counted_by_hand(side, blocks, cuts) -> None:
    """Blocks of 12 by 6 in: each of four sides begins behind the one before, so it is 6 in shorter than the column."""
    found = columns()
    assert (found["column_blocks"](side / 12, 1.0), found["column_cuts"](side / 12, 1.0)) == (blocks, cuts)


def test_column_is_ordered_by_its_courses_and_takes_one_cap() -> None:
    """36 in and one course below ground of 6 in: seven courses of six blocks, 12 by 6 in. Source: counting by hand."""
    job = yards.with_feature(yards.empty(), "Column", "column", count=2)
    assert amount(job, "wall block") == pytest.approx(2 * 7 * 6 * 1.0 * 0.5)
    assert amount(job, "column cap") == 2


def test_top_of_a_counter_is_joined_at_its_corner_and_where_a_slab_ends() -> None:
    joints = covering((10.0, 6.0))["slab_joints"]
    assert joints(0.125, 9.0) == 2  # 10 ft of 9 ft slabs, and the corner
    assert joints(0.125, 12.0) == 1
    assert covering((8.0,))["slab_joints"](0.125, 9.0) == 0


def test_caps_are_cut_from_their_stock_lengths_and_off_cuts_used_in_other_stretches() -> None:
    """12 and 5 ft of 24 in caps: six whole; two whole and a half, for which one more is opened. Source: by hand."""
    job = run("seat-wall", RunKind.WALL, points=((0, 0), (12, 0), (12, 5)), height=1.5)
    assert amount(job, "cap") == pytest.approx(9 * 2.0)


def test_mitered_corners_take_their_blocks_and_two_cuts_each() -> None:
    courses = laying_courses((12.0, 6.0), closed=False)
    assert courses["mitered_blocks"](1.0) == 18
    assert courses["mitered_cuts"](1.0) == 2
    assert laying_courses((6.0,) * 4, closed=True)["mitered_cuts"](1.0) == 8


def test_mitered_seat_wall_is_counted_with_its_miters() -> None:
    line = ((0, 0), (12, 0), (12, 6))
    butted = run("seat-wall", RunKind.WALL, points=line, height=1.5)
    mitered = replace(butted, works=(replace(butted.works[0], parameters={"mitered": "1"}),))

    def cuts(job):
        return sum(one.amount for one in requirements(job, yards.basis())[0] if one.key == "cut-units")

    assert cuts(mitered) > cuts(butted)
    assert amount(mitered, "wall block") > 0
