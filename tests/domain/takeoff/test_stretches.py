"""Stock lengths and courses in formulas: checked for their dimension, and counted from the stretches of a line."""

from dataclasses import replace

import pytest

from app.domain.job import Job, RunKind
from app.domain.takeoff.formula import formula
from app.domain.takeoff.requirements import requirements
from app.domain.takeoff.stretches import run_stretches
from app.domain.takeoff.tree import DimensionMismatch, UnknownName
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
