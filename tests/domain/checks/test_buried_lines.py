"""Lines below paving: what runs under what, sleeves by the length below, gas and power near each other."""

from math import pi

import pytest

from app.domain.checks import check
from app.domain.findings import Severity
from app.domain.job import RunKind, ZoneKind
from app.domain.plan import rectangle
from app.domain.takeoff.buried import runs_below, sleeved_stretches
from app.domain.takeoff.requirements import requirements
from app.domain.takeoff.surroundings import Surroundings
from tests.plans.yards import basis, empty, named, with_run, with_zone

INCH = 1 / 12


def of(rule, job):
    return [one for one in check(job, basis()) if one.rule == rule]


def yard():
    job = with_zone(empty(), "A", rectangle(20, 12, at=(0, 30)), kind=ZoneKind.DINING)
    return with_zone(job, "B", rectangle(10, 12, at=(30, 30)), kind=ZoneKind.PLANTING)


def test_run_is_found_below_each_zone_and_the_house_along_its_arcs() -> None:
    """The house ends at y = 20; an arc that rises 2 ft above a chord of 4 ft is half a circle: 2 π ft. Source: geometry."""
    straight = with_run(yard(), "Power", kind=RunKind.CONDUIT, points=((10, 10), (10, 36), (45, 36)))
    found = {one.over: one.length for one in runs_below(straight)}
    assert found == pytest.approx({"house": 10, str(named("zone A")): 6 + 10, str(named("zone B")): 10})
    bent = with_run(yard(), "Power", kind=RunKind.CONDUIT, points=((2, 36), (6, 36)), rises=(2.0,))
    assert [one.length for one in runs_below(bent)] == [pytest.approx(2 * pi)]


def test_what_is_built_above_the_ground_runs_below_nothing() -> None:
    assert runs_below(with_run(yard(), "Fence", kind=RunKind.FENCE, points=((10, 10), (10, 36)))) == ()


def test_surfaces_less_than_a_foot_apart_are_one_crossing_and_beds_are_none() -> None:
    job = with_zone(yard(), "C", rectangle(5, 12, at=(20.9, 30)), kind=ZoneKind.PATH)
    job = with_run(job, "Water", kind=RunKind.PIPE, points=((-5, 36), (45, 36)))
    assert list(sleeved_stretches(job).values()) == [(pytest.approx((5, 30.9)),)]
    assert Surroundings(job).crossings(job.runs[0]) == 1


@pytest.mark.parametrize(
    ("kind", "told"), [(RunKind.PIPE, 1), (RunKind.CONDUIT, 1), (RunKind.GAS, 0), (RunKind.DRAIN, 0)]
)
def test_line_below_paving_without_a_sleeve_is_noted(kind, told) -> None:
    job = with_run(yard(), "Line", kind=kind, points=((-5, 36), (45, 36)))
    found = of("sleeve-wanted", job)
    assert [one.severity for one in found] == [Severity.NOTE] * told
    assert all("20'-0\" below Zone A, Place A" in one.what for one in found)


def test_sleeve_is_as_long_as_the_paving_and_a_foot_at_each_end_of_every_crossing() -> None:
    """Terrace 20 ft wide, crossed twice: 2 × (20 + 2 × 1) = 44 ft. Source: arithmetic."""
    twice = ((-5, 33), (25, 33), (25, 39), (-5, 39))
    job = with_run(yard(), "Water", "sleeve", kind=RunKind.PIPE, points=twice)
    needed, said = requirements(job, basis())
    assert said == ()
    assert {one.role: one.amount for one in needed if one.kind == "material"} == pytest.approx(
        {"sleeve": 44, "pull string": 44}
    )
    assert of("sleeve-wanted", job) == []


def test_typed_length_below_paving_is_one_crossing() -> None:
    job = with_run(yard(), "Water", "sleeve", kind=RunKind.PIPE, length=40.0, under={"zone": 9.0})
    assert {one.amount for one in requirements(job, basis())[0]} == {11.0}


@pytest.mark.parametrize(("apart", "told"), [(11, 1), (12.1, 0)])
def test_gas_beside_power_is_noted_within_a_foot(apart, told) -> None:
    job = with_run(yard(), "Gas", kind=RunKind.GAS, points=((0, 50), (20, 50)))
    job = with_run(job, "Power", kind=RunKind.CONDUIT, points=((0, 50 + apart * INCH), (20, 50 + apart * INCH)))
    assert [one.where for one in of("gas-and-power", job)] == [f"run:{named('run Gas')}"] * told


def test_gas_across_power_is_noted_with_both_names() -> None:
    job = with_run(yard(), "Gas", kind=RunKind.GAS, points=((0, 50), (20, 50)))
    (found,) = of("gas-and-power", with_run(job, "Feed", kind=RunKind.CONDUIT, points=((10, 45), (10, 55))))
    assert found.what == "Gas crosses Feed."
