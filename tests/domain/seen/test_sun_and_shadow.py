"""Where the sun stands and what it shades, against published examples and geometry."""

from datetime import date
from math import radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.seen.bodies import box_around
from app.domain.seen.solids import Solid
from app.domain.seen.sunlight import Sun, shadows_at, sun_at, toward

POST = Solid("post", box_around((0.0, 0.0), 1.0, 1.0, 0.0), 0.0, 8.0, "#000000")


@pytest.mark.parametrize(
    ("day", "hour", "zenith", "azimuth"),
    [  # Duffie and Beckman, Solar Engineering of Thermal Processes, example 1.6.2: Madison, latitude 43 (from memory)
        (date(2027, 2, 13), 9.5, 66.5, -40.0),
        (date(2027, 7, 1), 18.5, 79.6, 112.0),
    ],
)
def test_zenith_and_azimuth_of_the_worked_example(day: date, hour: float, zenith: float, azimuth: float) -> None:
    sun = sun_at(43.0, day, hour)
    assert 90 - sun.altitude == pytest.approx(zenith, abs=0.2)
    assert sun.azimuth - 180 == pytest.approx(azimuth, abs=0.3)


@pytest.mark.parametrize(("day", "altitude"), [(date(2027, 6, 21), 73.45), (date(2027, 12, 21), 26.55)])
def test_noon_at_the_solstices_is_the_latitude_less_the_tilt(day: date, altitude: float) -> None:
    assert sun_at(40.0, day, 12.0).altitude == pytest.approx(altitude, abs=0.02)  # 90 - 40 ± 23.45: astronomy


def test_mornings_are_in_the_east_and_evenings_in_the_west() -> None:
    assert 0 < sun_at(40.0, date(2027, 4, 1), 9.0).azimuth < 180 < sun_at(40.0, date(2027, 4, 1), 15.0).azimuth


@given(st.floats(5, 85), st.floats(0, 359))
def test_a_shadow_is_as_long_as_the_height_over_the_tangent(altitude: float, azimuth: float) -> None:
    sun = Sun(azimuth, altitude)
    x, y = toward(sun, 0.0)
    shape = shadows_at(0.0, [POST], sun, 0.0)
    reach = max(-(px * x + py * y) for px, py in shape.exterior.coords)
    foot = max(-(px * x + py * y) for px, py in POST.base)
    assert reach - foot == pytest.approx(8.0 / tan(radians(altitude)), rel=1e-6)


def test_north_turns_the_shadow_with_the_plan() -> None:
    noon = Sun(180.0, 45.0)
    assert toward(noon, 0.0) == pytest.approx((0.0, -1.0))
    assert toward(noon, 90.0) == pytest.approx((-1.0, 0.0))  # north to the right: the sun stands left


def test_at_night_and_for_what_lies_lower_there_is_no_shadow() -> None:
    assert shadows_at(0.0, [POST], Sun(180.0, 2.9), 0.0).is_empty
    assert shadows_at(8.0, [POST], Sun(180.0, 45.0), 0.0).is_empty
    assert not shadows_at(0.0, [POST], Sun(180.0, 3.0), 0.0).is_empty


def test_a_roof_shades_beside_itself_and_shadows_count_once() -> None:
    roof = Solid("roof", box_around((0.0, 0.0), 10.0, 10.0, 0.0), 9.0, 10.0, "#000000")
    shade = shadows_at(0.0, [roof, roof], Sun(180.0, 45.0), 0.0)
    assert shade.area == pytest.approx(10 * 11)  # 10 wide, 10 deep and one more for its thickness
    assert shade.bounds == pytest.approx((-5.0, 4.0, 5.0, 15.0))
