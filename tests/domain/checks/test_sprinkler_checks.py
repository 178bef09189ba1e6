"""Sprinklers on the plan: what new work does to heads, what each valve really waters, flow and pressure; both sides."""

from dataclasses import replace
from math import pi

import pytest

from app.domain.checks.engine import check
from app.domain.costing.estimate import estimate
from app.domain.job import Fate, Job, PlaceKind, ZoneKind
from app.domain.plan.shapes import rectangle
from app.domain.takeoff.green import green_built
from app.domain.takeoff.sprinkled import sprinkled
from tests.plans.yards import basis, empty, named, site, with_existing, with_feature, with_run, with_work, with_zone

BASIS = basis()
LAWN = rectangle(80, 60, at=(-20, 22))


def yard(**site_fields) -> Job:
    """A house to y = 20, a lawn behind it, one valve."""
    job = with_existing(empty(**site_fields), "Lawn", "turf", fate=Fate.STAYS, outline=LAWN)
    return with_existing(job, "Valve 1", "valve", fate=Fate.STAYS, pressure=30.0)


def head(job: Job, name: str, x: float, y: float, *, fate=Fate.STAYS, assembly="", **more) -> Job:
    told = {"valve_id": named("thing Valve 1"), "head": "spray", "throw": 10.0, "arc": 360.0, "flow": 3.0, **more}
    return with_existing(job, name, "sprinklers", assembly, fate=fate, x=x, y=y, **told)


def patio(job: Job, kind: ZoneKind = ZoneKind.PATH, at=(0, 30), size=(20, 10)) -> Job:
    return with_zone(job, "A", rectangle(*size, at=at), "unit-pavers", kind=kind)


def told(job: Job, *, silent=("sprinkler-pipes", "sprinkler-source")):
    found = check(job, BASIS)
    return sorted(
        (one.rule, one.severity.value) for one in found if one.rule.startswith("sprinkler") and one.rule not in silent
    )


def valve(job: Job):
    return sprinkled(job, BASIS).valves[0]


def test_head_in_open_lawn_raises_nothing_and_its_valve_waters_by_its_circle() -> None:
    job = head(yard(), "1", 30, 50)
    assert told(job) == []
    found = valve(job).built
    assert found.whole.area == pytest.approx(pi * 100, rel=1e-3)
    assert found.rate == pytest.approx(96.25 * 3 / (pi * 100), rel=1e-3)  # Source: 96.25 × gpm ÷ sq ft


@pytest.mark.parametrize(("y", "rule"), [(35.0, True), (40.24, True), (40.26, False)])
def test_head_below_or_within_three_inches_of_paving_is_said(y: float, rule: bool) -> None:
    job = head(patio(yard()), "1", 10, y)
    assert (("sprinkler-under-work", "warn") in told(job)) is rule


def test_head_that_goes_is_asked_nothing_and_one_that_moves_where_to() -> None:
    paved = patio(yard())
    assert told(head(head(paved, "2", 50, 60), "1", 10, 35, fate=Fate.GOES)) == []
    moving = head(paved, "1", 10, 35, fate=Fate.MOVES)
    assert told(moving) == [("sprinkler-valve-known", "not checked")]
    assert "where 1 moves to" in valve(moving).built.lacks
    assert told(head(paved, "1", 10, 35, fate=Fate.MOVES, moves_to=(10.0, 60.0))) == []
    assert told(head(paved, "1", 10, 35, fate=Fate.MOVES, moves_to=(12.0, 35.0))) == [("sprinkler-under-work", "warn")]


def test_head_under_paving_that_is_kept_safe_still_is_under_it() -> None:
    assert ("sprinkler-under-work", "warn") in told(head(patio(yard()), "1", 10, 35, fate=Fate.PROTECTED))


def test_wall_and_fire_cover_heads_too() -> None:
    walled = with_run(yard(), "wall", "retaining-wall", kind="wall", points=((0.0, 50.0), (30.0, 50.0)), height=2.0)
    assert ("sprinkler-under-work", "warn") in told(head(walled, "1", 10, 50.1))
    assert ("sprinkler-under-work", "warn") not in told(head(walled, "1", 10, 52))


def test_throw_onto_paving_counts_from_a_twentieth_and_onto_seats_from_a_foot() -> None:
    # a circle of 10 ft whose edge lies d beyond the paving's edge wets the segment of that height
    assert told(head(patio(yard()), "1", 10, 48.0)) == [("sprinkler-onto-hard", "note")]  # 2 ft over: 5.2%
    assert told(head(patio(yard()), "1", 10, 48.1)) == []  # 1.9 ft over: 4.8%
    seats = patio(yard(), ZoneKind.DINING)
    assert told(head(seats, "1", 10, 48.9)) == [("sprinkler-onto-people", "warn")]
    assert told(head(seats, "1", 10, 49.9)) == []


def test_head_set_anew_is_decided_and_asked_no_more() -> None:
    assert told(head(patio(yard()), "1", 10, 44)) == [("sprinkler-onto-hard", "note")]
    assert told(head(patio(yard()), "1", 10, 44, fate=Fate.PROTECTED)) == []


def test_throw_onto_the_house_and_onto_power_is_said() -> None:
    assert told(head(yard(), "1", 30, 25)) == [("sprinkler-onto-people", "warn")]
    away = {"arc": 180.0, "faces": 0.0}
    assert told(head(yard(), "1", 30, 25, **away)) == []
    near, far = (
        with_feature(head(yard(), "1", 30, 50), "Outlet", "outlet-allowance", x=x, y=50.0) for x in (39.0, 41.0)
    )
    assert told(near) == [("sprinkler-onto-people", "warn")]
    assert told(far) == []


def test_what_is_not_known_of_a_head_is_named_and_never_guessed() -> None:
    job = head(head(yard(), "1", 30, 50, flow=None), "2", 40, 50, throw=None, arc=90.0)
    assert told(job) == [("sprinkler-valve-known", "not checked")]
    assert set(valve(job).built.lacks) == {"flow of 1", "throw of 2", "the way it faces of 2"}
    assert valve(job).built.rate is None
    assert told(head(yard(), "1", 30, 50, valve_id=None)) == [("sprinkler-valve-known", "not checked")] * 2
    outside = valve(head(yard(), "1", 200, 200))
    assert outside.built.lacks == ("any lawn or bed where its heads throw",)
    assert outside.built.rate is None
    assert outside.built.gives == 3.0  # what its heads give is known without
    undrawn = replace(job, existing=job.existing[1:])
    assert "the outline of lawn or beds" in valve(undrawn).built.lacks


def test_pressure_is_asked_for_and_held_to_what_heads_are_made_for() -> None:
    job = head(yard(), "1", 30, 50)

    def at(psi):
        things = [replace(one, pressure=psi) if one.kind == "valve" else one for one in job.existing]
        return told(replace(job, existing=tuple(things)))

    assert at(None) == [("sprinkler-valve-known", "not checked")]
    assert at(22.5) == at(39.0) == []  # 75 and 130% of 30 psi
    assert at(22.4) == [("sprinkler-pressure", "warn")]
    assert at(39.1) == [("sprinkler-pressure-most", "note")]


def test_heads_of_one_valve_are_matched_to_fifteen_percent() -> None:
    # Source: matched nozzles, half of a circle gives half of its flow
    half = {"arc": 180.0, "faces": 0.0}
    assert told(head(head(yard(), "1", 20, 50), "2", 45, 50, flow=1.5, **half)) == []
    assert told(head(head(yard(), "1", 20, 50), "2", 45, 50, flow=3.0, **half)) == [("sprinkler-matched", "warn")]
    assert told(head(head(yard(), "1", 20, 50), "2", 45, 50, flow=2.56)) == []
    assert told(head(head(yard(), "1", 20, 50), "2", 45, 50, flow=2.54)) == [("sprinkler-matched", "warn")]


def test_lawn_and_beds_on_one_valve_are_said_from_a_tenth() -> None:
    bedded = with_zone(yard(), "B", rectangle(40, 20, at=(20, 60)), "planting-bed", kind=ZoneKind.PLANTING)
    assert told(head(bedded, "1", 40, 60)) == [("sprinkler-lawn-and-beds", "note")]
    assert told(head(bedded, "1", 40, 51.5)) == []  # 1.5 ft of it: 5%
    found = valve(head(bedded, "1", 40, 60))
    assert found.built.beds.area == pytest.approx(found.built.lawn.area, rel=0.01)
    assert found.today.beds.area == 0
    assert (found.lawn_depth, found.bed_depth) == (pytest.approx(7 * 0.18 * 0.8), pytest.approx(7 * 0.18 * 0.9))
    assert found.lawn_minutes == pytest.approx(found.lawn_depth / found.built.rate / 0.65 * 60)


def test_valve_takes_no_more_than_its_source_gives() -> None:
    def at(gpm):
        return told(head(yard(source_flow=gpm), "1", 30, 50), silent=("sprinkler-pipes",))

    assert at(None) == [("sprinkler-source", "not checked")]
    assert at(3.0) == []
    assert at(2.99) == [("sprinkler-source", "warn")]


def test_meter_and_nozzles_agree_and_the_meter_counts_while_nothing_changes() -> None:
    def at(gpm, **more):
        job = head(yard(), "1", 30, 50, **more)
        return replace(job, existing=tuple(replace(o, flow=gpm) if o.kind == "valve" else o for o in job.existing))

    assert told(at(3.5)) == []
    assert told(at(3.6)) == [("sprinkler-measured", "warn")]
    assert valve(at(3.5)).built.whole.in_all == pytest.approx(3.5)
    assert valve(at(3.5, flow=None)).built.rate == pytest.approx(96.25 * 3.5 / (pi * 100), rel=1e-3)
    moved = {"fate": Fate.MOVES, "moves_to": (30.0, 55.0)}
    assert valve(at(3.5, **moved)).built.whole.in_all == pytest.approx(3.0)
    assert valve(at(3.5, flow=None, **moved)).built.rate is None


def test_paving_takes_ground_from_a_valve_and_its_rate_stays_with_the_water_that_lands() -> None:
    job = patio(head(yard(), "1", 10, 40, fate=Fate.PROTECTED), at=(-20, 22), size=(80, 18))
    found = valve(job)
    assert found.today.whole.area == pytest.approx(pi * 100, rel=1e-3)
    assert found.built.whole.area == pytest.approx(pi * 50, rel=1e-2)
    assert found.built.whole.beside == pytest.approx(0.5, abs=0.01)
    assert found.built.rate == pytest.approx(found.today.rate, rel=1e-2)


def test_ground_below_the_house_and_below_paving_of_today_is_not_watered() -> None:
    bed = with_zone(empty(), "B", rectangle(40, 20, at=(0, 10)), "planting-bed", kind=ZoneKind.PLANTING)
    walk = with_existing(bed, "Walk", "concrete", fate=Fate.STAYS, outline=rectangle(40, 5, at=(0, 25)))
    # of 20 ft of depth 10 lie below the house and 5 below the walk
    assert green_built(walk, BASIS).beds.area == pytest.approx(200.0)
    gone = with_existing(bed, "Walk", "concrete", fate=Fate.GOES, outline=rectangle(40, 5, at=(0, 25)))
    assert green_built(gone, BASIS).beds.area == pytest.approx(400.0)


def test_new_head_of_a_bed_waters_once_it_is_built_and_counts_itself() -> None:
    bed = with_zone(empty(), "B", rectangle(30, 30, at=(0, 40)), "planting-bed", kind=ZoneKind.PLANTING)
    told_of = {"head": "spray", "throw": 8.0, "arc": 360.0, "flow": 2.0}
    job = with_feature(bed, "New 1", "sprinkler-head", x=15.0, y=55.0, **told_of)
    found = valve(job)
    assert found.valve is None
    assert not found.today.heads
    assert found.built.rate == pytest.approx(96.25 * 2 / (pi * 64), rel=1e-3)
    two = with_feature(job, "New 2", "sprinkler-head", x=25.0, y=55.0, **told_of)
    assert _bought(two, "sprinkler head") == _bought(job, "sprinkler head") * 2 == 2


def _bought(job: Job, role: str) -> float:
    return sum(one.amount for one in estimate(job, BASIS).requirements if one.role == role)


def test_decided_heads_are_priced_by_themselves_and_counted_once() -> None:
    paved = patio(yard())
    capped = head(paved, "1", 10, 35, fate=Fate.GOES, assembly="cap-sprinklers")
    both = head(capped, "2", 15, 35, fate=Fate.GOES, assembly="cap-sprinklers")
    assert _bought(both, "head cap") == 2
    counted = with_existing(both, "Heads", "sprinklers", "cap-sprinklers", count=5)
    assert _bought(counted, "head cap") == 7
    assert told(counted) == [("sprinkler-counted-twice", "warn"), ("sprinkler-valve-known", "not checked")]
    assert ("sprinkler-counted-twice", "warn") not in told(both)
    staying = with_existing(head(paved, "1", 50, 60), "Heads", "sprinklers", "cap-sprinklers", count=5)
    assert told(staying) == []


def test_half_of_the_heads_that_are_set_anew_are_replaced_however_they_are_listed() -> None:
    one_by_one = yard()
    for place in range(6):
        one_by_one = head(one_by_one, str(place), 10 * place, 60, fate=Fate.PROTECTED, assembly="repair-sprinklers")
    listed = with_existing(yard(), "Heads", "sprinklers", "repair-sprinklers", fate=Fate.PROTECTED, count=6)
    assert _bought(one_by_one, "sprinkler head") == _bought(listed, "sprinkler head") == 3


def test_pipes_that_nobody_found_are_said_where_something_is_dug() -> None:
    job = head(patio(yard()), "1", 50, 60)
    assert ("sprinkler-pipes", "not checked") in told(job, silent=())
    assert ("sprinkler-pipes", "not checked") not in told(head(yard(), "1", 50, 60), silent=())
    piped = with_existing(
        job, "Pipe", "other", fate=Fate.STAYS, utility="reclaimed", points=((0.0, 60.0), (50.0, 60.0))
    )
    assert ("sprinkler-pipes", "not checked") not in told(piped, silent=())


def test_valve_box_below_paving_is_a_lid_to_open() -> None:
    def lid(x: float) -> bool:
        job = patio(with_existing(empty(), "Box of valve 1", "valve", fate=Fate.STAYS, x=x, y=35.0))
        return any(one.rule == "open-under-paving" and "Box of valve 1" in one.what for one in check(job, BASIS))

    assert lid(10.0)
    assert not lid(50.0)


def test_job_without_sprinklers_is_asked_nothing_and_keeps_no_work() -> None:
    assert sprinkled(patio(empty()), BASIS) is None
    assert told(with_work(patio(empty()), PlaceKind.JOB, None, "check-sprinklers"), silent=()) == []
    assert site(empty(), source_flow=1.0).site.source_flow == 1.0
