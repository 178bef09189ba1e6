"""Phases: what is built when, and later work that would tear up earlier work. Source: the logic of the ground."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings

from app.domain.findings import Finding
from app.domain.job import Firmness, Job, PlaceKind, RunKind, phases_with_work
from app.domain.phasing import contents, ground_order, phase_of, repeats, suggested_firmness
from app.domain.plan import rectangle
from app.domain.takeoff.requirements import requirements
from tests.plans.yards import (
    basis,
    empty,
    named,
    with_existing,
    with_feature,
    with_phase,
    with_run,
    with_work,
    with_zone,
)
from tests.strategies import jobs


def phased() -> Job:
    job = with_phase(with_phase(empty(), 1), 2)
    return with_zone(job, "A", rectangle(20, 10, at=(0, 30)), "unit-pavers", phase="1")


def found(job: Job) -> list[Finding]:
    return list(ground_order(job, basis()))


@pytest.mark.parametrize(("phase", "rules"), [(1, []), (2, ["torn-up"])])
def test_line_below_a_finished_surface_comes_no_later_than_the_surface(phase, rules) -> None:
    line = {"points": ((-5.0, 35.0), (25.0, 35.0)), "phase_id": named(f"phase {phase}")}
    job = with_run(phased(), "Gas", "gas-run", kind=RunKind.GAS, **line)
    assert [one.rule for one in found(job)] == rules


def test_line_below_two_surfaces_is_two_points_with_keys_of_their_own() -> None:
    job = with_zone(phased(), "B", rectangle(20, 10, at=(20, 30)), "unit-pavers", phase="1")
    line = {"points": ((0.0, 35.0), (40.0, 35.0)), "phase_id": named("phase 2")}
    points = found(with_run(job, "Gas", kind=RunKind.GAS, **line))
    assert len({one.key for one in points}) == len(points) == 2


def test_later_line_beside_the_surface_is_fine() -> None:
    job = with_run(phased(), "Drain", kind=RunKind.DRAIN, points=((0.0, 45.0), (20.0, 45.0)), phase_id=named("phase 2"))
    assert found(job) == []


@pytest.mark.parametrize(("phase", "rules"), [(1, []), (2, ["demolition-late"])])
def test_demolition_comes_no_later_than_what_is_built_there(phase, rules) -> None:
    job = with_existing(
        phased(), "Old slab", "concrete", outline=rectangle(5, 5, at=(2, 32)), phase_id=named(f"phase {phase}")
    )
    assert [one.rule for one in found(job)] == rules


def test_feature_with_a_footing_on_an_earlier_surface_tears_it_up() -> None:
    job = with_feature(phased(), "Column", "column", x=5.0, y=35.0, phase_id=named("phase 2"))
    assert [one.rule for one in found(job)] == ["torn-up"]


def test_one_phase_has_no_order() -> None:
    assert found(with_run(empty(), "Gas", kind=RunKind.GAS, points=((0.0, 0.0), (9.0, 0.0)))) == []


def test_thing_without_a_phase_follows_its_zone_then_the_first_phase() -> None:
    job = with_feature(phased(), "Grill", zone_id=named("zone A"))
    assert phase_of(job, job.features[0]) == named("phase 1")
    loose = with_feature(phased(), "Boulder")
    assert phase_of(loose, loose.features[0]) == named("phase 1")


def test_contents_hold_everything_once() -> None:
    job = with_run(phased(), "Gas", phase_id=named("phase 2"))
    first, second = contents(job)
    assert [zone.letter for zone in first.zones] == ["A"]
    assert (first.runs, [run.title for run in second.runs]) == ((), ["Gas"])


@pytest.mark.parametrize(("start", "expected"), [(date(2027, 3, 2), Firmness.FIRM), (date(2027, 3, 3), Firmness.RANGE)])
def test_phase_over_sixty_days_out_is_a_range(start, expected) -> None:
    assert suggested_firmness(start, date(2027, 1, 1)) is expected


def trips(job: Job) -> float:
    """How often the crew and its machines come to the yard, by the recipe that counts it."""
    needed, _ = requirements(with_work(job, PlaceKind.JOB, None, "mobilize"), basis(), crew_days=1.0)
    return sum(one.amount for one in needed if one.key == "truck-trip")


def test_mobilization_comes_again_with_every_phase_in_which_something_is_built() -> None:
    assert "mobilize" in repeats(basis())
    assert trips(with_zone(empty(), "A", rectangle(20, 10), "unit-pavers")) == 1
    assert trips(phased()) == 1  # the second is empty so far
    twice = with_run(phased(), "Gas", phase_id=named("phase 2"))
    assert trips(twice) == 2
    assert trips(with_phase(twice, 3)) == 2
    moved = with_work(with_phase(twice, 3), PlaceKind.ALTERNATIVE, twice.alternatives[0].id, "unit-pavers")
    moved = replace(moved, works=(*moved.works[:-1], replace(moved.works[-1], phase_id=named("phase 3"))))
    assert trips(moved) == 3


@settings(max_examples=40)
@given(jobs())
def test_phases_with_work_are_those_whose_contents_hold_something(job: Job) -> None:
    held = {one.phase.id for one in contents(job) if one.zones or one.runs or one.features or one.existing}
    moved = {work.phase_id for work in job.works if work.phase_id}
    assert phases_with_work(job, moved) == held | (moved & {phase.id for phase in job.phases})
