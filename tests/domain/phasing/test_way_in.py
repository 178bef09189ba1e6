"""The way in of a machine, held against yards whose answer can be seen. Source: geometry."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.costing.estimate import estimate
from app.domain.findings import Severity
from app.domain.job import Fate, Job, Opening, PlaceKind, RunKind
from app.domain.phasing import order_points
from app.domain.phasing.paved_in import machines_of, order_of
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, site, with_existing, with_phase, with_run, with_work, with_zone

LOT = rectangle(60, 60, at=(-10, 0))
TODAY = date(2027, 3, 1)


def lane(front: int = 1, back: int = 2, *, wide: float = 40.0) -> Job:
    """A yard behind a house with one way in along its right side: a front zone `wide` ft across, one behind it.

    The lot reaches from x = -10 to 50 and y = 0 to 60, the house from 0 to 40 and 0 to 20; machines come in at (45, 0).
    """
    job = with_phase(with_phase(empty(lot=LOT, way_in=(45.0, 0.0)), 1), 2)
    job = with_zone(job, "F", rectangle(wide, 10, at=(-10, 22)), "unit-pavers", phase=str(front))
    return with_zone(job, "B", rectangle(20, 10, at=(0, 40)), "unit-pavers", phase=str(back))


def points(job: Job, rule: str = "paved-in", **rules):
    on = basis(**rules)
    return [one for one in order_points(job, on, estimate(job, on).requirements, TODAY) if one.rule == rule]


def test_surface_across_the_yard_paves_out_what_lies_behind_it() -> None:
    (one,) = points(lane(wide=60.0))
    assert one.where == f"zone:{named('zone B')}"
    assert one.severity is Severity.WARN
    assert "phase 2" in one.what
    assert "Plates over what is finished" in one.remedy


@pytest.mark.parametrize(("front", "back"), [(1, 1), (2, 1), (2, 2)])
def test_what_lies_behind_comes_no_later_and_all_is_well(front, back) -> None:
    assert points(lane(front, back, wide=60.0)) == []


@pytest.mark.parametrize(("beside", "found"), [(5.1, 0), (4.9, 1)])
def test_a_strip_as_wide_as_the_machine_lets_it_by(beside, found) -> None:
    assert len(points(lane(wide=60.0 - beside))) == found


def test_width_of_the_machine_is_the_firms_own() -> None:
    assert points(lane(wide=54.5), machine_passes=5.0) == []
    assert len(points(lane(wide=54.5), machine_passes=6.0)) == 1


def test_plates_over_the_zone_in_that_phase_are_the_remedy() -> None:
    job = lane(wide=60.0)
    plated = with_work(job, PlaceKind.ALTERNATIVE, job.chosen(job.zones[0]).id, "plates-over-finished")
    late = replace(plated.works[-1], phase_id=named("phase 2"))
    assert points(replace(plated, works=(*plated.works[:-1], late))) == []
    early = replace(late, phase_id=named("phase 1"))
    assert len(points(replace(plated, works=(*plated.works[:-1], early)))) == 1


def test_fence_of_an_earlier_phase_closes_the_way_and_one_that_is_taken_out_does_not() -> None:
    line = ((-10.0, 30.0), (50.0, 30.0))
    job = with_run(lane(wide=20.0), "Fence", "fence-panels", kind=RunKind.FENCE, points=line, phase_id=named("phase 1"))
    assert len(points(job)) == 1
    stays = with_existing(lane(wide=20.0), "Old fence", "fence", fate=Fate.STAYS, points=line)
    assert points(stays) == []
    (one,) = points(stays, "no-way-in")
    assert one.where == f"zone:{named('zone B')}"
    goes = with_existing(lane(wide=20.0), "Old fence", "fence", fate=Fate.MOVES, points=line)
    assert points(goes) == points(goes, "no-way-in") == []
    gate = site(stays, openings=(Opening(title="Gate", x=20.0, y=30.0, width=6.0),))
    assert points(gate, "no-way-in") == []


@pytest.mark.parametrize("lacking", ["lot", "way_in"])
def test_what_is_not_known_is_said_and_does_not_pass_silently(lacking) -> None:
    (one,) = points(site(lane(wide=60.0), **{lacking: None}))
    assert one.severity is Severity.NOT_CHECKED


def test_a_driveway_that_stays_is_where_machines_come_in() -> None:
    job = site(lane(wide=60.0), way_in=None)
    assert points(with_existing(job, "Drive", "driveway", fate=Fate.STAYS, outline=rectangle(9, 20, at=(41, 0))))


@pytest.mark.parametrize(("narrowest", "found"), [(4.9, 1), (5.0, 0)])
def test_way_in_narrower_than_the_machine_is_said_once(narrowest, found) -> None:
    job = site(lane(), access_width=narrowest)
    assert len(points(job, "machine-does-not-pass")) == found


def test_zone_behind_another_of_the_same_phase_is_dug_before_that_is_finished() -> None:
    job = lane(1, 1, wide=60.0)
    on = basis()
    order = order_of(job, on, machines_of(job, estimate(job, on).requirements))
    assert order.behind() == ((f"zone:{named('zone B')}", f"zone:{named('zone F')}"),)


@given(st.sets(st.sampled_from(["A", "B", "C", "D", "E"])))
def test_what_is_in_the_way_is_enough_and_nothing_of_it_too_much(closed) -> None:
    job = with_phase(empty(lot=LOT, way_in=(45.0, 0.0)), 1)
    places = {"A": (-10, 22, 30), "B": (20, 22, 30), "C": (-10, 34, 28), "D": (18, 34, 32), "E": (30, 46, 12)}
    for letter, (x, y, width) in places.items():
        job = with_zone(job, letter, rectangle(width, 8, at=(x, y)), "unit-pavers", phase="1")
    on = basis()
    order = order_of(job, on, machines_of(job, estimate(job, on).requirements))
    keys = frozenset(f"zone:{named(f'zone {letter}')}" for letter in closed)
    target = rectangle(10, 5, at=(0, 53))
    from app.domain.plan.outline import chords

    shape = chords(target).polygon
    held = order.way.in_the_way(shape, keys)
    assert bool(held) is not order.way.reaches(shape, keys)
    if held:
        assert not order.way.reaches(shape, frozenset(held))
        assert all(order.way.reaches(shape, frozenset(held) - {one}) for one in held)
