"""Water of plants, new and grown, against worked figures; emitters, flow and time of a valve."""

import pytest

from app.domain.trades.planting.watering import GALLONS, Watered, grown_week, new_each, water_groups


def plants(**fields):
    base = {"title": "", "kind": "shrub", "need": "medium", "count": 10, "spread": 4.0, "gallons": 3.0, "trunk": 0.0}
    return Watered(**{**base, "emitters": 2, "flow": 1.0, **fields})


def test_a_grown_shrub_uses_what_the_extension_service_works_out():
    # Source: Washington State University Extension, drip design for landscapes: 0.623 gal × area × water of the day
    # × 0.9 for shrubs. 4 ft across is 12.566 sq ft; at 0.20 in a day 0.623 × 12.566 × 0.2 × 0.9 × 7 = 9.87 gal a week
    assert pytest.approx(0.623, abs=5e-4) == GALLONS
    assert grown_week("shrub", "high", 4.0, 0.20) == pytest.approx(9.87, abs=0.01)
    assert grown_week("tree", "high", 4.0, 0.20) / grown_week("shrub", "high", 4.0, 0.20) == pytest.approx(1.1 / 0.9)
    assert grown_week("shrub", "low", 4.0, 0.20) == pytest.approx(9.87 / 2, abs=0.01)


def test_a_new_plant_is_given_by_its_pot_or_its_trunk():
    # Source: University of Minnesota Extension (from memory): 1/4 to 1/3 of the container, 1 to 1.5 gal an inch of trunk
    assert 0.25 <= new_each(1.0, 0.0) <= 1 / 3
    assert 2.0 <= new_each(0.0, 2.0) <= 3.0
    # Source: University of Florida, shrub establishment: 3 L for a shrub of 3 gal each time, which is 0.79 gal
    assert new_each(3.0, 0.0) == pytest.approx(0.79, rel=0.2)


def test_a_valve_runs_until_its_thirstiest_row_has_enough():
    small = plants(kind="perennial", count=30, gallons=1.0, emitters=1, flow=0.5)
    large = plants(count=4)
    (group,) = water_groups([small, large], 0.18)
    assert group.emitters == 38
    assert group.flow == 30 * 0.5 + 4 * 2
    assert [round(row.minutes) for row in group.rows] == [36, 27]
    assert group.minutes == pytest.approx(36)
    assert group.gallons == pytest.approx(23 * 0.6)
    assert group.lines == 1


def test_what_wants_more_water_stands_apart_and_much_flow_wants_more_lines():
    found = water_groups([plants(need="low"), plants(need="high", count=150), plants(need="low", count=0)], 0.18)
    assert [one.need for one in found] == ["high", "low"]
    assert [one.lines for one in found] == [2, 1]
    assert [len(one.rows) for one in found] == [1, 1]
