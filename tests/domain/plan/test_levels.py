from dataclasses import dataclass, replace
from math import atan2, degrees, hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.plan.levels import compass_word, drop_along, fall_along, finish_level, runs_to
from app.domain.plan.measures import moved, turned, turning
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import rectangle


@dataclass(frozen=True)
class Way:
    outline: Outline | None = None
    level: float | None = None
    level_at: tuple[float, float] | None = None
    fall: float | None = None
    fall_bearing: float | None = None


TERRACE = Way(outline=rectangle(20, 12), level=1.0, fall=0.02, fall_bearing=180)


def test_level_of_a_surface_holds_at_its_center_when_no_point_is_told() -> None:
    assert finish_level(TERRACE, (10, 6)) == 1.0


def test_surface_falls_the_way_its_bearing_points() -> None:
    # 6 ft of 1/4 in per ft (2%): 0.12 ft lower at the lower edge, higher at the upper one
    assert finish_level(TERRACE, (3, 0)) == pytest.approx(0.88)
    assert finish_level(TERRACE, (3, 12)) == pytest.approx(1.12)
    east = replace(TERRACE, fall_bearing=90)
    assert finish_level(east, (20, 0)) == pytest.approx(0.8)


def test_level_holds_at_the_point_that_is_told() -> None:
    at_door = replace(TERRACE, level_at=(10, 12))
    assert finish_level(at_door, (4, 12)) == pytest.approx(1.0)
    assert finish_level(at_door, (4, 0)) == pytest.approx(1.0 - 12 * 0.02)


@pytest.mark.parametrize(
    "way",
    [replace(TERRACE, fall=None), replace(TERRACE, fall=0.0), replace(TERRACE, fall_bearing=None)],
)
def test_surface_without_a_whole_fall_counts_as_level(way: Way) -> None:
    assert finish_level(way, (100, 100)) == 1.0


def test_level_that_is_not_known_stays_unknown() -> None:
    assert finish_level(replace(TERRACE, level=None), (0, 0)) is None
    assert finish_level(replace(TERRACE, outline=None), (0, 0)) is None
    assert finish_level(replace(TERRACE, outline=None, level_at=(0, 0)), (0, 50)) == pytest.approx(2.0)


def test_drop_along_an_edge_is_told_at_both_ends_and_at_its_most() -> None:
    lawn = Way(outline=rectangle(20, 20, at=(0, -20)), level=0.2)
    sideways = replace(TERRACE, fall_bearing=90)
    found = drop_along(sideways, lawn, [(0, 0), (20, 0)])
    assert found is not None
    # 10 ft either way of the center at 2%
    assert (found.start, found.end) == pytest.approx((1.2 - 0.2, 0.8 - 0.2))
    assert (found.most, found.least) == pytest.approx((1.0, 0.6))
    back = drop_along(lawn, sideways, [(0, 0), (20, 0)])
    assert back is not None
    assert (back.most, back.least, back.deepest) == pytest.approx((-0.6, -1.0, 1.0))
    assert drop_along(sideways, Way(), [(0, 0), (20, 0)]) is None


def test_fall_along_a_direction_is_a_share_of_the_whole_fall() -> None:
    assert fall_along(TERRACE, (0, -5)) == pytest.approx(0.02)
    assert fall_along(TERRACE, (0, 5)) == pytest.approx(-0.02)
    assert fall_along(TERRACE, (3, 0)) == pytest.approx(0.0)
    assert fall_along(TERRACE, (1, -1)) == pytest.approx(0.02 / 2**0.5)
    assert fall_along(replace(TERRACE, fall_bearing=None), (1, 0)) is None
    assert fall_along(replace(TERRACE, fall=0.0, fall_bearing=None), (1, 0)) == 0.0


@pytest.mark.parametrize(
    ("bearing", "north", "word"),
    [(0, 0, "north"), (22, 0, "north"), (23, 0, "northeast"), (180, 0, "south"), (359, 0, "north"), (0, 90, "west")],
)
def test_bearing_is_said_by_the_nearest_wind(bearing: float, north: float, word: str) -> None:
    assert compass_word(bearing, north) == word


@settings(max_examples=60)
@given(
    bearing=st.floats(0, 360),
    fall=st.floats(0.001, 0.5),
    turn=st.floats(0, 360),
    shift=st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    point=st.tuples(st.floats(-40, 40), st.floats(-40, 40)),
)
def test_moving_and_turning_the_whole_changes_no_level(
    bearing: float, fall: float, turn: float, shift: tuple[float, float], point: tuple[float, float]
) -> None:
    way = replace(TERRACE, fall=fall, fall_bearing=bearing)
    outline = moved(turned(rectangle(20, 12), turn), *shift)
    there = replace(way, outline=outline, fall_bearing=(bearing - turn) % 360)
    x, y = turning(turn, (0.0, 0.0))(point)
    assert finish_level(there, (x + shift[0], y + shift[1])) == pytest.approx(finish_level(way, point), abs=1e-7)


@settings(max_examples=60)
@given(bearing=st.floats(0, 359.9))
def test_direction_of_a_bearing_is_one_foot_long_and_clockwise_from_the_top(bearing: float) -> None:
    east, north = runs_to(bearing)
    assert hypot(east, north) == pytest.approx(1)
    assert degrees(atan2(east, north)) % 360 == pytest.approx(bearing, abs=1e-6) or bearing < 1e-6
