"""What heads throw over and what of it counts: areas against closed formulas and random points, rates against a source."""

from math import acos, pi, radians, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box, contains_xy, union_all

from app.domain.trades.sprinklers import Throw, precipitation, sector, wetted
from app.domain.trades.validity import OutsideValidity

EVERYWHERE = box(-500, -500, 500, 500)


@given(st.floats(1, 60), st.floats(10, 360), st.floats(0, 360))
def test_sector_has_the_area_of_its_share_of_the_circle(radius: float, arc: float, faces: float) -> None:
    # Source: geometry, half of r² times the angle
    assert sector(Throw(at=(3, 4), radius=radius, arc=arc, faces=faces)).area == pytest.approx(
        radius**2 * radians(arc) / 2, rel=3e-4
    )


@pytest.mark.parametrize(("faces", "inside"), [(0, (0, 5)), (90, (5, 0)), (180, (0, -5)), (270, (-5, 0))])
def test_sector_lies_where_it_faces_clockwise_from_the_top(faces: float, inside: tuple[float, float]) -> None:
    shape = sector(Throw(at=(0, 0), radius=10, arc=90, faces=faces))
    assert contains_xy(shape, *inside)
    assert not contains_xy(shape, -inside[0], -inside[1])


def test_ground_that_two_heads_reach_counts_once() -> None:
    # Source: geometry, the lens of two circles of radius r at a distance d: 2 r² acos(d/2r) - d/2 √(4r² - d²)
    r, d = 10.0, 10.0
    lens = 2 * r**2 * acos(d / (2 * r)) - d / 2 * sqrt(4 * r**2 - d**2)
    found = wetted([Throw(at=(0, 0), radius=r, flow=2), Throw(at=(d, 0), radius=r, flow=2)], EVERYWHERE)
    assert found.area == pytest.approx(2 * pi * r**2 - lens, rel=5e-4)
    assert found.flow == pytest.approx(4.0)
    assert found.beside == pytest.approx(0.0, abs=1e-9)


def test_rate_is_that_of_a_utility_district_where_all_water_lands_on_the_ground() -> None:
    # Source: a utility district's page of sprinkler rates: 10 gpm on 1,000 sq ft water 0.9625 in/h
    radius = sqrt(1000 / pi)
    found = wetted([Throw(at=(0, 0), radius=radius, flow=10)], EVERYWHERE)
    assert found.rate == pytest.approx(0.9625, rel=5e-4)
    assert precipitation(10, 1000) == 0.9625


def test_water_on_paving_waters_nothing_and_the_rate_of_the_rest_stays() -> None:
    # half of a circle is paved: half of the water on half of the ground, the same rate
    whole = wetted([Throw(at=(0, 0), radius=10, flow=3)], EVERYWHERE)
    half = wetted([Throw(at=(0, 0), radius=10, flow=3)], box(0, -20, 20, 20))
    assert half.area == pytest.approx(whole.area / 2)
    assert half.rate == pytest.approx(whole.rate)
    assert half.beside == pytest.approx(0.5)


def test_area_agrees_with_points_thrown_at_random() -> None:
    rng = np.random.default_rng(7)
    throws = [
        Throw(at=(0, 0), radius=12, arc=90, faces=45, flow=1),
        Throw(at=(15, 0), radius=12, arc=180, faces=0, flow=2),
        Throw(at=(8, 14), radius=9, arc=360, flow=3),
    ]
    ground = union_all([box(-5, 0, 10, 20), box(12, 3, 30, 9)])
    x, y = rng.uniform(-10, 35, 400_000), rng.uniform(-10, 35, 400_000)
    reached = np.zeros(len(x), dtype=bool)
    for one in throws:  # by distance and angle, without the geometry library
        dx, dy = x - one.at[0], y - one.at[1]
        turn = np.degrees(np.arctan2(dx, dy))
        off = np.abs((turn - one.faces + 180) % 360 - 180)
        reached |= (np.hypot(dx, dy) <= one.radius) & (off <= one.arc / 2)
    on = ((x >= -5) & (x <= 10) & (y >= 0) & (y <= 20)) | ((x >= 12) & (x <= 30) & (y >= 3) & (y <= 9))
    by_chance = float((reached & on).mean()) * 45**2
    assert wetted(throws, ground).area == pytest.approx(by_chance, rel=0.02)


def test_nothing_reached_has_no_rate_and_no_throw_is_refused() -> None:
    assert wetted([Throw(at=(0, 0), radius=5, flow=1)], box(100, 100, 110, 110)).rate is None
    for wrong in ({"radius": 0.0}, {"radius": 201.0}, {"radius": 10.0, "arc": 0.0}, {"radius": 10.0, "arc": 361.0}):
        with pytest.raises(OutsideValidity):
            sector(Throw(at=(0, 0), **wrong))


def test_each_head_alone_waters_by_its_own_sector() -> None:
    # Source: matched nozzles, 6 gpm a full circle, 3.0 a half, 1.5 a quarter (irrigation practice)
    throws = [Throw(at=(0, 0), radius=12, arc=arc, flow=flow) for arc, flow in ((360, 6.0), (180, 3.0), (90, 1.5))]
    apart = wetted(throws, EVERYWHERE).apart
    assert max(apart) == pytest.approx(min(apart), rel=1e-3)
