"""Fires, seats and tables on small plans.

Limits: International Fire Code 307.4.2 (25 ft, wood); a common local figure (10 ft, gas); common practice (3 ft).
"""

import pytest

from app.domain.checks import check
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Fate, ZoneKind
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, site, with_existing, with_feature, with_run, with_zone

# wood pit of the library: 36 in inside, 12 in walls: its edge lies 2.5 ft from its middle
WOOD_REACH, GAS_REACH = 2.5, 2.5  # the gas unit is 5 ft long


def of(rule: str, job, on=None) -> list[Finding]:
    return [one for one in check(job, on or basis()) if one.rule == rule]


def pit(y: float, assembly: str = "fire-wood", x: float = 20.0):
    return with_feature(empty(), "Fire", assembly, x=x, y=y)


@pytest.mark.parametrize(
    ("assembly", "rule", "clear", "severity"),
    [
        ("fire-wood", "fire-distance-wood", 24.99, Severity.STOP),
        ("fire-wood", "fire-distance-wood", 25.0, None),
        ("fire-gas", "fire-distance-gas", 9.99, Severity.WARN),
        ("fire-gas", "fire-distance-gas", 10.0, None),
    ],
)
def test_fire_to_house_both_sides_of_the_limit(assembly, rule, clear, severity) -> None:
    found = of(rule, pit(20 + clear + 2.5, assembly))
    assert [one.severity for one in found] == ([severity] if severity else [])


def test_fire_too_near_is_a_matter_of_law() -> None:
    (found,) = of("fire-distance-wood", pit(30.0))
    assert found.stop is Stop.LAW
    assert "7'-6\"" in found.measured  # 30 ft − 20 ft of house − 2.5 ft to its edge
    assert "25'" in found.limit


def test_firm_s_own_distance_counts() -> None:
    assert of("fire-distance-wood", pit(38.0), basis(fire_distance_wood=15.0)) == []


def test_fire_without_a_place_is_not_checked() -> None:
    job = with_feature(empty(), "Fire", "fire-wood")
    assert [one.measured for one in of("fire-distance-wood", job)] == ["place"]


def test_fire_without_a_house_is_not_checked() -> None:
    (found,) = of("fire-distance-wood", site(pit(60.0), house=None))
    assert (found.severity, found.measured) == (Severity.NOT_CHECKED, "the house")


def test_fence_that_stays_counts_and_one_that_goes_does_not() -> None:
    fence = {"kind": "fence", "outline": rectangle(40, 0.5, at=(0, 60))}
    stays = with_existing(pit(55.0), "Back fence", fate=Fate.STAYS, **fence)
    goes = with_existing(pit(55.0), "Back fence", fate=Fate.GOES, **fence)
    assert ["Back fence" in one.what for one in of("fire-distance-wood", stays)] == [True]
    assert of("fire-distance-wood", goes) == []


@pytest.mark.parametrize(("clear", "count"), [(2.99, 1), (3.0, 0)])
def test_seat_wall_to_fire_both_sides_of_three_feet(clear, count) -> None:
    y = 80 + WOOD_REACH + clear
    job = with_run(pit(80.0), "Seat", "seat-wall", points=((0.0, y), (40.0, y)), height=1.5)
    assert len(of("fire-to-seat", job)) == count


def test_fire_without_drawn_seats_is_not_checked() -> None:
    assert [one.severity for one in of("fire-to-seat", pit(80.0))] == [Severity.NOT_CHECKED]


@pytest.mark.parametrize(("width", "count"), [(9.98, 1), (10.0, 0)])
def test_chairs_behind_a_table_both_sides_of_three_feet(width, count) -> None:
    """A 4 ft table in the middle of a 10 ft terrace leaves 3 ft on each side. Source: geometry."""
    job = with_zone(empty(), "A", rectangle(width, 20, at=(0, 50)), kind=ZoneKind.DINING)
    job = with_feature(job, "Round table", zone_id=named("zone A"), x=width / 2, y=60.0, length=4.0)
    assert len(of("chair-clearance", job)) == count


def test_dining_zone_without_a_table_is_not_checked() -> None:
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)), kind=ZoneKind.DINING)
    assert [one.severity for one in of("chair-clearance", job)] == [Severity.NOT_CHECKED]
