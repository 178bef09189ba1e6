"""The sun against published positions and times; shadows against geometry; hours two ways; where it does not hold."""

import time
from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest
import shapely

from app.domain.errors import BadValue
from app.domain.trades.sun import (
    Blocker,
    Grid,
    Light,
    Spot,
    Sun,
    day_of,
    glare,
    hours_at,
    hours_over,
    shadow,
    shadow_length,
    sun_at,
    toward,
    typical_lights,
)

PHILADELPHIA = Spot(39.9526, -75.1652, "America/New_York")
GOLDEN = Spot(39.742476, -105.1786, "Etc/GMT+7")
AWHILE = 90  # s: this library against the reference algorithm


def clock(moment):
    return moment.hour * 3600 + moment.minute * 60 + moment.second


def seconds(text):
    hours, minutes, *rest = (int(one) for one in text.split(":"))
    return hours * 3600 + minutes * 60 + (rest[0] if rest else 0)


def test_the_reference_position_of_the_solar_position_algorithm():
    # Source: Reda and Andreas, Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302, worked
    # example: apparent elevation 39.888, azimuth 194.340
    found = sun_at(GOLDEN, datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7))))
    assert found.altitude == pytest.approx(39.888, abs=0.05)
    assert found.bearing == pytest.approx(194.340, abs=0.05)


@pytest.mark.parametrize(
    ("spot", "day", "rise", "noon", "sets"),
    [
        # Source: NREL SPA calculator, as kept in the tests of the library pvlib
        (GOLDEN, date(2015, 1, 2), "7:21:55", "12:04:45", "16:47:43"),
        (Spot(-35.0, 0.0, "UTC"), date(1996, 7, 5), "7:08:15", "12:04:36", "17:01:04"),
        # Source: timeanddate, as kept in the tests of the library astral
        (Spot(51.5, -0.13333, "UTC"), date(2015, 12, 1), "7:43", "11:49", "15:55"),
        (Spot(51.5, -0.13333, "UTC"), date(2015, 12, 25), "8:05", "12:00", "15:55"),
        # Source: the library pvlib, solar position algorithm, run once; no published table
        (PHILADELPHIA, date(2025, 3, 20), "7:03:34", "13:07:57", "19:13:00"),
        (PHILADELPHIA, date(2025, 6, 21), "5:32:12", "13:02:33", "20:32:42"),
        (PHILADELPHIA, date(2025, 12, 21), "7:18:57", "11:58:56", "16:38:55"),
    ],
)
def test_rise_noon_and_set_are_those_that_were_published(spot, day, rise, noon, sets):
    found = day_of(spot, day)
    for own, published in ((found.rise, rise), (found.noon, noon), (found.set, sets)):
        assert clock(own) == pytest.approx(seconds(published), abs=AWHILE)


@pytest.mark.parametrize(("day", "declination"), [(date(2025, 6, 21), 23.44), (date(2025, 12, 21), -23.44)])
def test_noon_stands_as_high_as_latitude_and_declination_say(day, declination):
    # Source: astronomy, 90° − latitude + declination; at 40° N 73.44° and 26.56°
    assert day_of(Spot(40.0, -75.0, "America/New_York"), day).highest == pytest.approx(50 + declination, abs=0.06)


def test_shadows_are_as_long_as_the_tangent_says():
    # Source: geometry at 40° N, a wall of 6 ft at noon: 1.78, 5.03, 12.00 ft
    assert [round(shadow_length(6.0, high), 2) for high in (73.44, 50.0, 26.56)] == [1.78, 5.03, 12.00]
    # A shadow printed as 790 / 2.89 = 273.36 ft (Science, 84621) took a rounded tangent; by tan 70.9° it is 273.56
    assert shadow_length(790.0, 70.9) == pytest.approx(273.56, abs=0.005)
    assert abs(shadow_length(790.0, 70.9) - 273.36) > 0.15


def test_a_block_throws_a_shadow_as_long_as_it_is_high_at_45_degrees():
    block = Blocker(shapely.box(0, 0, 10, 10), 10.0)
    found = shadow(block, Sun(45.0, 180.0))  # the sun in the south: to the top of the plan
    assert found.bounds == pytest.approx((0, 0, 10, 20))
    assert found.area == pytest.approx(200)
    turned = shadow(block, Sun(45.0, 180.0), north=90.0)  # north lies to the right
    assert turned.bounds == pytest.approx((0, 0, 20, 10))


def test_the_shadow_of_an_l_is_no_hull():
    shape = shapely.Polygon([(0, 0), (20, 0), (20, 10), (10, 10), (10, 20), (0, 20)])
    found = shadow(Blocker(shape, 1.0), Sun(45.0, 0.0))  # sun in the north: one foot to the south
    assert found.area == pytest.approx(300 + 20)


def test_a_crown_on_a_trunk_leaves_the_ground_beside_it_lit():
    tree = Blocker(shapely.box(-5, -5, 5, 5), 20.0, 10.0)
    light = [Light(6, Sun(45.0, 180.0))]
    lit = hours_at([(0, 0), (0, 8), (0, 15), (0, 26)], [tree], light)[6]
    assert [bool(one) for one in lit] == [True, False, False, True]  # its shadow lies from 5 to 25 ft north


def test_a_bare_crown_lets_half_the_sun_through_in_winter_only():
    tree = Blocker(shapely.box(-50, -50, 50, 50), 60.0, 0.0, leafy=True)
    lights = [Light(1, Sun(30.0, 180.0)), Light(7, Sun(60.0, 180.0))]
    assert {month: float(one[0]) for month, one in hours_at([(0, 0)], [tree], lights).items()} == {1: 0.25, 7: 0.0}
    there = hours_at([(0, 0)], [tree], lights, south=True)
    assert {month: float(one[0]) for month, one in there.items()} == {1: 0.0, 7: 0.25}


HOUSE = shapely.Polygon([(20, 60), (70, 60), (70, 90), (45, 90), (45, 75), (20, 75)])
FENCE = shapely.LineString([(0, 0), (0, 100), (100, 100), (100, 0)])
YARD = [
    Blocker(HOUSE, 18.0),
    Blocker(FENCE, 6.0),
    *(Blocker(shapely.Point(10 + at * 11, 10 + 7 * at).buffer(8, quad_segs=4), 25.0, 8.0, True) for at in range(8)),
]


def test_hours_by_shadows_and_by_looking_at_the_sun_are_the_same():
    grid, lights = Grid(0.53, 0.51, 20, 30, 5.0), typical_lights(PHILADELPHIA, 2027, (3, 6, 12))
    whole = hours_over(grid, YARD, lights, north=20.0)
    x, y = np.meshgrid(np.arange(20) * 5.0 + 0.53, np.arange(30) * 5.0 + 0.51)
    each = hours_at(np.column_stack((x.ravel(), y.ravel())), YARD, lights, north=20.0)
    for month in (3, 6, 12):
        apart = np.abs(whole[month].ravel() - each[month])
        assert (apart > 1e-9).mean() < 0.005  # on the very rim of a shadow only
    assert whole[6].max() > whole[12].max() > 5


def test_open_ground_has_sun_as_long_as_it_stands_high_enough():
    found = hours_at([(0, 0)], [], typical_lights(PHILADELPHIA, 2027, (6, 12)))
    assert found[6][0] == pytest.approx(day_of(PHILADELPHIA, date(2027, 6, 21)).hours, abs=1.2)
    assert found[12][0] == pytest.approx(day_of(PHILADELPHIA, date(2027, 12, 21)).hours, abs=1.2)


def test_a_lot_on_a_one_foot_grid_takes_two_seconds_at_most():
    begun = time.process_time()
    found = hours_over(Grid(0.5, 0.5, 100, 150), YARD, typical_lights(PHILADELPHIA, 2028))
    assert len(found) == 12
    assert time.process_time() - begun < 2.0


def test_bearings_lie_on_the_plan_as_north_is_turned():
    assert toward(0.0) == pytest.approx((0.0, 1.0))
    assert toward(90.0) == pytest.approx((1.0, 0.0))
    assert toward(0.0, north=90.0) == pytest.approx((1.0, 0.0))


def test_low_sun_ahead_is_glare_and_high_or_behind_is_none():
    assert glare(Sun(24.9, 300.0), 260.0)
    assert not glare(Sun(25.1, 300.0), 260.0)
    assert not glare(Sun(10.0, 306.0), 260.0)
    assert glare(Sun(10.0, 2.0), 350.0)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Spot(66.0, 0.0, "UTC"),
        lambda: Spot(40.0, 181.0, "UTC"),
        lambda: Spot(40.0, 0.0, "Nowhere/Land"),
        lambda: sun_at(PHILADELPHIA, datetime(2051, 1, 1, tzinfo=UTC)),
        lambda: day_of(PHILADELPHIA, date(1949, 12, 31)),
        lambda: shadow_length(6.0, 0.0),
    ],
)
def test_outside_of_where_it_holds_there_is_an_error_and_no_guess(wrong):
    with pytest.raises(BadValue):
        wrong()
