"""Lines with arcs are measured along them: length, corners, what lies below paving, and where it comes from."""

from math import asin, pi

import pytest

from app.domain.costing.explain_measures import measured
from app.domain.job import Run, RunKind
from app.domain.plan import rectangle
from app.domain.takeoff.measures import run_corners, run_length
from app.domain.takeoff.surroundings import Surroundings
from tests.plans.yards import empty, named, with_run, with_zone

# chord 8, rise 2: radius 5, half angle asin 4/5 (geometry)
BENT = {"points": ((0, -10), (8, -10), (8, -5)), "rises": (2.0, 0.0)}


def run(**fields) -> Run:
    return Run(id=named("run"), kind=RunKind.DRAIN, **fields)


def test_length_runs_along_the_arc_unless_it_is_typed():
    assert run_length(run(**BENT)) == pytest.approx(10 * asin(0.8) + 5)
    assert run_length(run(**BENT, length=21.0)) == 21
    assert run_length(run(points=((0, 0),))) is None


def test_corners_are_counted_on_the_line_unless_they_are_typed():
    assert run_corners(run(points=((0, 0), (5, 0), (5, 5), (9, 5)))) == 2
    assert run_corners(run(points=((0, 0), (5, 0), (5, 5), (9, 5)), corners=1)) == 1
    assert run_corners(run(length=40.0)) == 0


def test_what_lies_below_paving_is_told_along_the_arc():
    job = with_zone(empty(house=None), "A", rectangle(20, 20, at=(0, -20)), "unit-pavers")
    job = with_run(job, "Drain", kind=RunKind.DRAIN, points=((-5.0, 0.0), (5.0, 0.0)), rises=(5.0,))
    assert Surroundings(job).under(job.runs[0], "zone") == pytest.approx(5 * pi / 2, abs=1e-3)


def test_pieces_are_told_one_by_one():
    job = with_run(empty(), "Drain", kind=RunKind.DRAIN, **BENT)
    trace = measured(job, f"run:{job.runs[0].id}:length")
    assert trace is not None
    assert [step.expression for step in trace.steps] == [
        "along an arc, radius times angle",
        "between two of its points",
    ]
    assert trace.steps[0].filled == "5'-0\" × 106.3°"
    assert sum(step.result for step in trace.steps) == pytest.approx(trace.result)
