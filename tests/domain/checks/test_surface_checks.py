"""Falls, bases and hard surface on small plans.

Limits: International Residential Code R401.3 (2 % within 10 ft), Interlocking Concrete Pavement Institute (2 %, base
4 in and 6 in), as the rules of the library name them. Geometry: the house's back wall lies at y = 20.
"""

import pytest

from app.domain.checks import check
from app.domain.checks.surfaces import hard_after
from app.domain.checks.yard import Yard
from app.domain.findings import Finding, Severity, Stop
from app.domain.plan import l_shape, rectangle
from tests.plans.yards import basis, empty, site, with_existing, with_zone


def of(rule: str, job, on=None) -> list[Finding]:
    return [one for one in check(job, on or basis()) if one.rule == rule]


def patio(at: float = 20.0, **alternative):
    return with_zone(empty(), "A", rectangle(10, 10, at=(0, at)), "unit-pavers", **alternative)


@pytest.mark.parametrize(
    ("fall", "severities"), [(0.0199, [Severity.STOP]), (0.02, []), (0.03, []), (None, [Severity.NOT_CHECKED])]
)
def test_fall_beside_the_house_both_sides_of_two_percent(fall, severities) -> None:
    found = of("fall-away-from-house", patio(fall=fall, fall_toward="the lawn"))
    assert [one.severity for one in found] == severities
    assert all(one.stop is Stop.LAW for one in found if one.severity is Severity.STOP)


def test_fall_toward_the_house_stops() -> None:
    (found,) = of("fall-away-from-house", patio(fall=0.03, fall_toward="toward the house"))
    assert found.severity is Severity.STOP
    assert "toward the house" in found.measured


@pytest.mark.parametrize(
    ("bearing", "says"),
    [
        (0, None),  # the back wall faces the top of the sheet
        (180, "falls toward the house"),
        (90, "too little away"),
        (60, "too little away"),  # 3% at 60 degrees: 1.5% away from the wall
        (40, None),
    ],
)
def test_direction_of_fall_is_held_against_the_walls(bearing, says) -> None:
    found = of("fall-away-from-house", patio(fall=0.03, fall_bearing=bearing, fall_toward="the lawn"))
    assert [says in one.what for one in found] == ([True] if says else [])
    if says:
        assert found[0].severity is Severity.STOP
        assert "the wall that faces north" in found[0].measured


def test_wall_is_called_by_the_wind_that_north_makes_it() -> None:
    (found,) = of("fall-away-from-house", site(patio(fall=0.03, fall_bearing=180.0), north=90.0))
    assert "the wall that faces west" in found.measured


@pytest.mark.parametrize(
    ("bearing", "severities"),
    [(90, [Severity.WARN]), (0, [Severity.WARN]), (45, []), (270, [Severity.STOP]), (135, [Severity.STOP])],
)
def test_fall_in_an_inner_corner_warns_along_one_wall_and_stops_toward_it(bearing, severities) -> None:
    # the upper right corner of the house is missing: one wall looks up the sheet, one to the right
    house = l_shape(40, 30, 20, 10)
    job = site(
        with_zone(empty(), "A", rectangle(10, 10, at=(20, 20)), "unit-pavers", fall=0.03, fall_bearing=bearing),
        house=house,
    )
    found = of("fall-away-from-house", job)
    assert [one.severity for one in found] == severities
    assert all((one.stop is Stop.LAW) == (one.severity is Severity.STOP) for one in found)


def test_direction_beyond_the_reach_is_not_held_against_the_house() -> None:
    assert of("fall-away-from-house", patio(31.0, fall=0.03, fall_bearing=180.0)) == []


def test_fall_without_direction_is_not_checked() -> None:
    (found,) = of("fall-away-from-house", patio(fall=0.03))
    assert found.severity is Severity.NOT_CHECKED
    assert found.measured == "direction of fall"


@pytest.mark.parametrize(("at", "near"), [(29.99, True), (30.0, True), (30.01, False)])
def test_reach_of_ten_feet_from_the_house(at, near) -> None:
    job = patio(at, fall=0.01, fall_toward="lawn")
    assert bool(of("fall-away-from-house", job)) is near
    assert bool(of("paver-fall", job)) is not near


def test_reach_is_the_firm_s_to_change() -> None:
    assert of("fall-away-from-house", patio(34.0, fall=0.01), basis(fall_reach=15.0))


def test_house_that_is_not_drawn_is_said_once() -> None:
    job = site(patio(fall=0.01), house=None)
    (found,) = of("fall-away-from-house", job)
    assert (found.severity, found.where, found.measured) == (Severity.NOT_CHECKED, "site", "the house")


def test_planting_and_lawn_want_no_paved_fall() -> None:
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 20)), "planting-bed")
    assert of("fall-away-from-house", job) == []
    assert of("paver-fall", job) == []


@pytest.mark.parametrize(("fall", "count"), [(0.0199, 1), (0.02, 0)])
def test_paved_surface_away_from_the_house(fall, count) -> None:
    found = of("paver-fall", patio(50.0, fall=fall))
    assert [one.severity for one in found] == [Severity.WARN] * count


@pytest.mark.parametrize(
    ("title", "base", "rule"),
    [
        ("Terrace", "3.9*inch", "base-thickness"),
        ("Terrace", "4*inch", ""),
        ("Front drive", "5.9*inch", "base-thickness-drive"),
        ("Front drive", "6*inch", ""),
    ],
)
def test_base_both_sides_of_the_limit(title, base, rule) -> None:
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)), "unit-pavers", title=title, parameters={"base": base})
    found = [one for one in check(job, basis()) if one.rule.startswith("base-thickness")]
    assert [one.rule for one in found] == ([rule] if rule else [])


def covered(before: float, limit: float = 0.3):
    """A lot of 5,000 sq ft; 200 sq ft of new terrace."""
    job = with_zone(empty(), "A", rectangle(20, 10, at=(0, 50)), "unit-pavers", fall=0.02)
    return site(job, lot_area=5000.0, coverage_limit=limit, coverage_before=before)


@pytest.mark.parametrize(("before", "stops"), [(1300.0, False), (1300.5, True)])
def test_coverage_both_sides_of_the_limit(before, stops) -> None:
    """30 % of 5,000 sq ft is 1,500: 1,300 of today and 200 of new surface just fit. Source: arithmetic."""
    found = of("coverage", covered(before))
    assert [one.stop for one in found] == ([Stop.LAW] if stops else [])


def test_coverage_gives_credit_for_what_goes() -> None:
    job = with_existing(covered(1400.0), "Old slab", "concrete", area=150.0)
    assert hard_after(Yard(job, basis())) == pytest.approx(1400 - 150 + 200)
    assert of("coverage", job) == []


@pytest.mark.parametrize("missing", ["lot_area", "coverage_limit", "coverage_before"])
def test_coverage_without_an_input_is_not_checked(missing) -> None:
    (found,) = of("coverage", site(covered(0.0), **{missing: None}))
    assert found.severity is Severity.NOT_CHECKED
    assert found.measured


def test_coverage_of_soft_work_is_not_asked() -> None:
    assert of("coverage", with_zone(empty(), "A", rectangle(9, 9, at=(0, 50)), "planting-bed")) == []
