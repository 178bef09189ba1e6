"""Ways, doors, kitchens and seats on small plans, both sides of every limit.

Limits: 2010 ADA Standards 403.5.1 (36 in), 403.3 (1:20), 405.2 (1:12), 903.5 (seats 17 to 19 in) as comfort figures;
kitchen planning guidelines (42 in aisle); common practice for the rest.
"""

from dataclasses import replace

import pytest

from app.domain.checks import check
from app.domain.findings import Finding, Severity
from app.domain.job import Fate, Job, Opening, RunKind, ZoneKind
from app.domain.plan import rectangle
from app.domain.plan.placing import Placing
from tests.plans.yards import basis, empty, site, with_existing, with_feature, with_need, with_run, with_zone

LOT = rectangle(80, 100, at=(-20, -20))  # the house stands in it: 40 by 20, its back wall at y = 20
BACK_DOOR = Opening(title="Kitchen door", x=20, y=20)


def yard(*openings: Opening) -> Job:
    return site(empty(), lot=LOT, openings=openings or (BACK_DOOR,))


def of(rule: str, job: Job, on=None) -> list[Finding]:
    return [one for one in check(job, on or basis()) if one.rule == rule]


def behind_a_fence(gap: float) -> Job:
    """A terrace at the back of the lot, behind a fence from side to side with one gap."""
    job = with_zone(yard(), "A", rectangle(20, 15, at=(10, 60)))
    job = with_run(job, "Fence left", kind=RunKind.FENCE, points=((-20, 40), (20 - gap / 2 - 0.0, 40)))
    return with_run(job, "Fence right", kind=RunKind.FENCE, points=((20 + gap / 2, 40), (60, 40)))


@pytest.mark.parametrize(("gap", "said"), [(2.9, 1), (3.1, 0)])
def test_way_to_a_place_both_sides_of_the_limit(gap: float, said: int) -> None:
    found = of("passage-width", behind_a_fence(gap))
    assert len(found) == said
    if found:
        assert found[0].severity is Severity.WARN
        assert "between Fence left and Fence right" in found[0].what
        assert found[0].measured.startswith("2'-10")


def test_place_without_a_way_is_said() -> None:
    (found,) = of("passage-width", behind_a_fence(0.0))
    assert found.measured == "no way"


def test_gate_in_a_fence_that_stays_lets_people_pass() -> None:
    fenced = with_existing(
        with_zone(yard(), "A", rectangle(20, 15, at=(10, 60))),
        "Fence",
        "fence",
        fate=Fate.STAYS,
        points=((-20, 40), (60, 40)),
    )
    assert [one.measured for one in of("passage-width", fenced)] == ["no way"]
    gate = Opening(title="Gate", x=20, y=40, width=4.0)
    assert of("passage-width", site(fenced, openings=(BACK_DOOR, gate))) == []


def test_way_is_not_checked_without_lot_or_door() -> None:
    job = with_zone(empty(), "A", rectangle(20, 15, at=(10, 60)))
    (found,) = of("passage-width", job)
    assert (found.severity, found.measured) == (Severity.NOT_CHECKED, "the lot")
    (found,) = of("passage-width", site(job, lot=LOT, openings=(Opening(title="Gate", x=-20, y=40),)))
    assert found.measured == "a door of the house"


def test_nothing_to_reach_asks_for_nothing() -> None:
    assert of("passage-width", empty()) == []


def test_more_room_never_adds_a_narrow_place() -> None:
    said = [len(of("passage-width", behind_a_fence(gap))) for gap in (0.0, 1.0, 2.0, 2.9, 3.1, 4.0, 8.0)]
    assert said == sorted(said, reverse=True)


@pytest.mark.parametrize("turn", [37.0, 90.0])
def test_turning_the_whole_plan_changes_no_narrow_place(turn: float) -> None:
    job, place = behind_a_fence(2.5), Placing(turn=turn)
    doors = tuple(
        replace(one, x=place.point((one.x, one.y))[0], y=place.point((one.x, one.y))[1]) for one in job.site.openings
    )
    assert job.site.house is not None
    turned = replace(
        job,
        site=replace(job.site, lot=place.outline(LOT), house=place.outline(job.site.house), openings=doors),
        alternatives=tuple(
            replace(one, outline=place.outline(one.outline)) for one in job.alternatives if one.outline is not None
        ),
        runs=tuple(replace(one, points=place.points(one.points)) for one in job.runs),
    )
    assert [one.measured for one in of("passage-width", turned)] == [one.measured for one in of("passage-width", job)]


@pytest.mark.parametrize(("wide", "narrow", "side"), [(2.4, 1, 1), (2.5, 0, 1), (3.9, 0, 1), (4.0, 0, 0)])
def test_width_of_a_path_both_sides_of_its_limits(wide: float, narrow: int, side: int) -> None:
    job = with_zone(yard(), "A", rectangle(20, wide, at=(10, 22)), kind=ZoneKind.PATH)
    assert len(of("path-width", job)) == narrow
    assert len(of("path-two-abreast", job)) == side
    assert all(one.severity is Severity.NOTE for one in of("path-two-abreast", job))


@pytest.mark.parametrize(("away", "said"), [(2.7, 1), (3.3, 0)])
def test_room_outside_a_door(away: float, said: int) -> None:
    job = with_run(yard(), "Low wall", kind=RunKind.WALL, points=((15, 20 + away + 0.25), (25, 20 + away + 0.25)))
    found = of("door-clear", job)
    assert len(found) == said
    assert all("Low wall stands close to Kitchen door" in one.what for one in found)


def test_fence_beside_its_gate_is_no_obstacle_to_a_door() -> None:
    gate = Opening(title="Gate", x=-10, y=40, width=4.0)
    job = with_run(yard(BACK_DOOR, gate), "Fence", kind=RunKind.FENCE, points=((-20, 40), (60, 40)))
    assert of("door-clear", job) == []


@pytest.mark.parametrize(("fall", "walk", "wheels"), [(0.05, 0, 0), (0.06, 0, 1), (0.0833, 0, 1), (0.09, 1, 1)])
def test_slope_of_a_path(fall: float, walk: int, wheels: int) -> None:
    job = with_zone(yard(), "A", rectangle(20, 5, at=(10, 22)), kind=ZoneKind.PATH, fall=fall)
    assert len(of("walk-slope", job)) == walk
    assert of("wheel-slope", job) == []
    asked = with_need(job, "A path a wheelchair can use")
    assert len(of("wheel-slope", asked)) == wheels


@pytest.mark.parametrize(("wide", "said"), [(2.9, 1), (3.0, 0)])
def test_width_for_wheels_is_asked_where_somebody_asked(wide: float, said: int) -> None:
    job = with_zone(yard(), "A", rectangle(20, wide, at=(10, 22)), kind=ZoneKind.PATH)
    assert of("wheel-width", job) == []
    assert len(of("wheel-width", with_need(job, "Un camino para silla de ruedas"))) == said


def kitchen(grill_at: float, long: float = 8.0) -> Job:
    """A counter of 8 ft with a grill of 32 in; its middle stands so far from the counter's left end."""
    job = with_run(yard(), "Counter", "counter-block", points=((10, 30), (10 + long, 30)), height=3.0)
    return with_feature(job, "Grill", "grill", x=10 + grill_at, y=30, length=32 / 12)


@pytest.mark.parametrize(("grill_at", "said"), [(2.3, 1), (2.34, 0), (4.0, 0), (5.7, 1)])
def test_counter_beside_a_grill_both_sides_of_the_limit(grill_at: float, said: int) -> None:
    assert len(of("landing-long", kitchen(grill_at))) == said


def test_longer_side_wants_more_counter() -> None:
    (found,) = of("landing-long", kitchen(2.5, long=5.8))
    assert found.limit.endswith('on one side and 12" on the other') or "on one side" in found.limit


def test_grill_that_stands_alone_is_not_checked() -> None:
    (found,) = of("landing-long", with_feature(yard(), "Grill", "grill", x=10, y=40))
    assert (found.severity, found.measured) == (Severity.NOT_CHECKED, "counter")


DEEP = 30 / 12 / 2  # half the depth of the recipe


def beside(job: Job, title: str, away: float) -> Job:
    """A seat wall (half a foot thick as drawn) so far from the face of the counter; negative on the house's side."""
    y = 30 + (DEEP + abs(away) + 0.25) * (1 if away > 0 else -1)
    return with_run(job, title, "seat-wall", points=((10, y), (18, y)))


@pytest.mark.parametrize(("away", "said"), [(3.4, 1), (3.6, 0)])
def test_aisle_before_a_counter_on_its_freer_side(away: float, said: int) -> None:
    job = beside(beside(kitchen(4.0), "Bench", away), "Back wall", -1.0)
    assert len(of("aisle", job)) == said
    assert of("aisle", beside(kitchen(4.0), "Bench", away)) == [], "a cook stands on the other side"


def test_what_stands_in_a_counter_and_lines_to_it_take_no_room() -> None:
    job = beside(beside(kitchen(4.0), "Bench", 3.6), "Back wall", -1.0)
    gas = with_run(job, "Gas to the grill", "gas-run", points=((14, 20), (14, 30)))
    assert of("aisle", gas) == []


@pytest.mark.parametrize(("y", "said"), [(60.0, 0), (60.1, 1)])
def test_grill_far_from_the_house_is_noted(y: float, said: int) -> None:
    found = of("to-kitchen", with_feature(yard(), "Grill", "grill", x=20, y=y))
    assert len(found) == said


@pytest.mark.parametrize(("inches", "said"), [(15.9, 1), (16, 0), (18, 0), (20, 0), (20.1, 1)])
def test_height_of_a_seat_wall_both_sides(inches: float, said: int) -> None:
    job = with_run(yard(), "Bench", "seat-wall", points=((0, 50), (10, 50)), height=inches / 12)
    assert len(of("seat-highest", job)) == said


@pytest.mark.parametrize(("side", "said"), [(18.9, 1), (19.1, 0)])
def test_ring_around_a_fire(side: float, said: int) -> None:
    job = with_zone(yard(), "A", rectangle(side, side, at=(10, 50)), kind=ZoneKind.FIRE)
    job = with_feature(job, "Fire", "fire-wood", x=10 + side / 2, y=50 + side / 2, zone_id=job.zones[0].id)
    assert len(of("fire-ring", job)) == said
