"""Falls beside a house, by hand."""

from dataclasses import dataclass, replace

import pytest

from app.domain.plan.falls import falls_from_house, wall_bearings
from app.domain.plan.measures import moved, turned
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import circle, l_shape, rectangle

HOUSE = rectangle(30, 20)  # its lower wall looks down the sheet
REACH = 10.0


@dataclass(frozen=True)
class Way:
    outline: Outline | None
    level: float | None = 0.0
    level_at: tuple[float, float] | None = None
    fall: float | None = 0.02
    fall_bearing: float | None = 180.0


TERRACE = Way(rectangle(16, 12, at=(5, -12)))


@pytest.mark.parametrize(("bearing", "fall"), [(180, 0.02), (0, -0.02), (90, 0.0), (240, 0.01)])
def test_terrace_falls_away_from_the_wall_it_lies_before(bearing: float, fall: float) -> None:
    found = falls_from_house(replace(TERRACE, fall_bearing=bearing), HOUSE, REACH)
    assert [(one.faces, pytest.approx(one.fall, abs=1e-12)) for one in found] == [(180.0, fall)]


def test_terrace_that_runs_past_the_corner_lies_before_one_wall_only() -> None:
    past = replace(TERRACE, outline=rectangle(20, 12, at=(20, -12)))
    assert [one.faces for one in falls_from_house(past, HOUSE, REACH)] == [180.0]


def test_terrace_in_an_inner_corner_falls_from_both_walls_the_worst_first() -> None:
    house = l_shape(30, 20, 12, 8)  # the upper right corner is missing: two walls look into it
    corner = Way(rectangle(12, 8, at=(18, 12)), fall_bearing=70.0)
    found = falls_from_house(corner, house, REACH)
    assert [one.faces for one in found] == [0.0, 90.0]
    assert [one.fall for one in found] == pytest.approx([0.02 * 0.3420201, 0.02 * 0.9396926])


def test_terrace_out_of_reach_lies_before_no_wall() -> None:
    assert falls_from_house(replace(TERRACE, outline=rectangle(16, 12, at=(5, -23))), HOUSE, REACH) == ()
    assert falls_from_house(replace(TERRACE, outline=rectangle(16, 12, at=(5, -21))), HOUSE, REACH) != ()


def test_wing_of_the_house_stands_between_a_wall_and_what_lies_behind_it() -> None:
    # a U: the inner walls look at each other, 6 ft apart; behind the right wing lies a bed
    u = Outline("POLYGON ((0 0, 30 0, 30 20, 18 20, 18 8, 12 8, 12 20, 0 20, 0 0))")
    bed = Way(rectangle(4, 8, at=(30, 10)), fall_bearing=90.0)
    assert [one.faces for one in falls_from_house(bed, u, 30.0)] == [90.0]


@pytest.mark.parametrize("way", [Way(None), replace(TERRACE, fall=None), replace(TERRACE, fall_bearing=None)])
def test_what_is_not_told_gives_no_fall(way: Way) -> None:
    assert falls_from_house(way, HOUSE, REACH) == ()


def test_flat_surface_falls_away_by_nothing() -> None:
    flat = replace(TERRACE, fall=0.0, fall_bearing=None)
    assert [one.fall for one in falls_from_house(flat, HOUSE, REACH)] == [0.0]


@pytest.mark.parametrize("turn", [0, 30, 217])
def test_moving_and_turning_the_whole_changes_no_fall(turn: float) -> None:
    there = Way(moved(turned(TERRACE.outline, turn), 100, -40), fall_bearing=(200 - turn) % 360)
    found = falls_from_house(there, moved(turned(HOUSE, turn), 100, -40), REACH)
    here = falls_from_house(replace(TERRACE, fall_bearing=200), HOUSE, REACH)
    assert [one.fall for one in found] == pytest.approx([one.fall for one in here])


def test_walls_look_four_ways_however_many_there_are() -> None:
    assert wall_bearings(l_shape(30, 20, 12, 8)) == (0.0, 90.0, 180.0, 270.0)
    assert len(wall_bearings(circle(10))) == 2
