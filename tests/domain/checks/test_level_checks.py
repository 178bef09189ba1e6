"""Walls, steps and drops on small plans.

Limits: International Residential Code R105.2 (4 ft), R311.7.5 (7 3/4 in, 10 in), R311.7.8 (four risers), R312.1.1
(more than 30 in), as the rules of the library name them.
"""

import pytest

from app.domain.checks import check
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import PlaceKind, RunKind, ZoneKind
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, with_edge, with_run, with_work, with_zone


def of(rule: str, job, on=None) -> list[Finding]:
    return [one for one in check(job, on or basis()) if one.rule == rule]


def wall(height: float | None, **parameters: str):
    return with_run(
        empty(), "Bank wall", "retaining-wall", kind=RunKind.WALL, length=20.0, height=height, parameters=parameters
    )


@pytest.mark.parametrize(("height", "stops"), [(3.5, False), (3.51, True)])
def test_wall_counts_with_its_buried_part(height, stops) -> None:
    """6 in are buried at this height: 3 ft 6 in above ground makes 4 ft. Source: the recipe, arithmetic."""
    found = [one for one in of("wall-height", wall(height)) if one.severity is Severity.STOP]
    assert [one.stop for one in found] == ([Stop.LAW] if stops else [])


def test_wall_that_only_its_pad_lifts_over_the_limit_is_noted() -> None:
    assert [one.severity for one in of("wall-height", wall(3.4))] == [Severity.NOTE]
    assert of("wall-height", wall(2.9)) == []


def test_wall_without_a_height_is_not_checked() -> None:
    assert [one.measured for one in of("wall-height", wall(None))] == ["height"]


def test_engineer_on_the_wall_answers_for_its_height() -> None:
    job = with_work(wall(5.0), PlaceKind.RUN, named("run Bank wall"), "wall-engineering")
    assert of("wall-height", job) == []


def test_lower_local_limit_counts() -> None:
    assert of("wall-height", wall(2.0), basis(wall_height=2.0))[0].severity is Severity.STOP


def steps(**parameters: str):
    return with_zone(
        empty(), "A", rectangle(4, 4, at=(0, 50)), "stone-steps", kind=ZoneKind.STEPS, parameters=parameters
    )


@pytest.mark.parametrize(("riser", "count"), [("7.75*inch", 0), ("7.8*inch", 1)])
def test_riser_both_sides_of_the_limit(riser, count) -> None:
    assert len(of("riser-height", steps(riser=riser, rise="14*inch"))) == count


@pytest.mark.parametrize(("tread", "count"), [("10*inch", 0), ("9.9*inch", 1)])
def test_tread_both_sides_of_the_limit(tread, count) -> None:
    found = of("tread-depth", steps(tread=tread, rise="12*inch"))
    assert [one.stop for one in found] == [Stop.LAW] * count


@pytest.mark.parametrize(("rise", "count"), [("18*inch", 0), ("24*inch", 1)])
def test_handrail_from_four_risers(rise, count) -> None:
    """6 in risers: 18 in make three, 24 in make four. Source: arithmetic."""
    found = of("handrail", steps(rise=rise))
    assert [one.measured for one in found] == ["4 risers"] * count


def test_handrail_in_the_zone_of_the_steps_answers() -> None:
    rail = {"assembly": "handrail", "length": 6.0}
    assert of("handrail", with_run(steps(rise="24*inch"), "Rail", zone_id=named("zone A"), **rail)) == []
    other = with_zone(steps(rise="24*inch"), "B", rectangle(4, 4, at=(30, 50)))
    assert of("handrail", with_run(other, "Rail", zone_id=named("zone B"), **rail))


def test_steps_at_an_edge_count_by_its_drop() -> None:
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)))
    assert of("handrail", with_edge(job, "A", "ground", "steps-at-edge", length=10.0, drop=2.0))
    assert of("handrail", with_edge(job, "A", "ground", "steps-at-edge", length=10.0, drop=1.5)) == []


def test_steps_without_a_drop_are_not_checked() -> None:
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)))
    (found,) = of("handrail", with_edge(job, "A", "ground", "steps-at-edge", length=10.0))
    assert found.severity is Severity.NOT_CHECKED


def two_levels(drop: float, kind: ZoneKind = ZoneKind.LOUNGING):
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)), level=drop, kind=kind)
    return with_zone(job, "B", rectangle(10, 10, at=(10, 50)), level=0.0)


@pytest.mark.parametrize(("drop", "count"), [(2.5, 0), (2.51, 1)])
def test_guard_above_thirty_inches_between_zones(drop, count) -> None:
    found = of("guard", two_levels(drop))
    assert [one.where for one in found] == [f"zone:{named('zone A')}"] * count


def test_guard_counts_a_drop_typed_for_an_edge() -> None:
    job = with_edge(with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)), level=0.0), "A", "ground", drop=3.0)
    assert [one.stop for one in of("guard", job)] == [Stop.LAW]


def test_fence_of_three_feet_in_the_upper_zone_is_a_guard() -> None:
    fence = {"kind": RunKind.FENCE, "zone_id": named("zone A")}
    assert of("guard", with_run(two_levels(3.0), "Guard", height=3.0, **fence)) == []
    assert of("guard", with_run(two_levels(3.0), "Low fence", height=2.9, **fence))


def test_bed_above_a_drop_is_not_walked() -> None:
    assert of("guard", two_levels(3.0, ZoneKind.PLANTING)) == []


def test_zones_without_levels_are_not_checked() -> None:
    job = with_zone(with_zone(empty(), "A", rectangle(9, 9, at=(0, 50))), "B", rectangle(9, 9, at=(9, 50)))
    assert [one.severity for one in of("guard", job)] == [Severity.NOT_CHECKED]
