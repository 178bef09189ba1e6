"""Kitchen and fire held against geometry done another way, and against figures of the trade."""

from math import cos, pi, sin

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from app.domain.trades import kitchen
from app.domain.trades.registry import CALCULATIONS
from app.domain.trades.validity import OutsideValidity
from app.domain.trades.working_out import read_typed, worked_out


def values(key: str, **typed: str):
    one = CALCULATIONS[key]
    return worked_out(one, read_typed(one, typed))


@given(st.floats(0.5, 8), st.floats(1, 8), st.floats(1, 5))
def test_seats_fit_around_the_ring_and_one_more_does_not(fire: float, clear: float, each: float) -> None:
    count = kitchen.seats_around(fire, clear, 2.0, each)
    fronts = fire / 2 + clear
    assert count * each <= 2 * pi * fronts + 1e-6
    assert (count + 1) * each > 2 * pi * fronts


def test_seats_set_as_shapes_touch_the_ring_and_not_one_another() -> None:
    fire, clear, deep, each = 4.0, 3.0, 2.0, 2.5
    count = kitchen.seats_around(fire, clear, deep, each)
    radius, seats = fire / 2 + clear, []
    for place in range(count):
        turn = 2 * pi * place / count
        half = each / 2 - 0.06  # straight seats on an arc
        corners = [(radius, -half), (radius + deep, -half), (radius + deep, half), (radius, half)]
        seats.append(
            shapely.Polygon([(x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn)) for x, y in corners])
        )
    assert all(a.intersection(b).area < 1e-6 for place, a in enumerate(seats) for b in seats[place + 1 :])
    whole = shapely.Point(0, 0).buffer(kitchen.ring_across(fire, clear, deep, 2.0) / 2, quad_segs=64)
    assert all(whole.contains(one) for one in seats)
    assert whole.area == pytest.approx(kitchen.round_area(kitchen.ring_across(fire, clear, deep, 2.0)), rel=1e-3)


def test_counter_holds_its_appliances_and_landings_in_their_order() -> None:
    # kitchen planning guidelines: grill 24 and 12 in (practice), sink 24 and 18, refrigerator 15; two that meet: longer + 12
    answer = values(
        "kitchen-counter", appliances="Grill; 36 in; 12 in; 24 in\nSink; 24 in; 24 in; 18 in\nIce; 24 in; 0; 15 in"
    )
    assert answer.values["length"] == pytest.approx((12 + 36 + 36 + 24 + 18 + 24 + 15) / 12)
    begins = [row[1] for row in answer.tables[0].rows]
    assert begins == pytest.approx([1.0, 7.0, 10.5])
    assert answer.values["landings"] == pytest.approx((12 + 36 + 18 + 15) / 12)
    with pytest.raises(OutsideValidity):
        kitchen.counter_length([])


def test_top_is_as_heavy_as_its_stone_and_held_where_it_reaches_far() -> None:
    # 8 × 2.5 ft of granite 1 1/4 in at 168 lb/cu ft: 17.5 lb a sq ft
    answer = values(
        "counter-top", length="8 ft", deep="30 in", thick="1.25", density="168", overhang="12 in", pieces="1"
    )
    assert answer.values["weight"] == pytest.approx(20 * 17.5)
    assert answer.values["people"] == 7
    assert answer.values["brackets"] == 5
    assert values("counter-top", overhang="10 in").values["brackets"] == 0
    assert kitchen.overhang_allowed(1.25, 2.0) == pytest.approx(2 / 3)  # a third of its depth is less
    assert any("More than four people" in note for note in answer.notes)


def test_a_counter_of_short_landings_has_no_stretch_to_prepare_food_on() -> None:
    """Landings of a foot on every side add up to 5 ft, and none of them is longer than the 2 ft that two share."""
    rows = "\n".join(f"Burner {place}; 2 ft; 1 ft; 1 ft" for place in range(3))
    answer = values("kitchen-counter", appliances=rows)
    assert answer.values["landings"] == pytest.approx(6.0)
    assert answer.values["stretch"] == pytest.approx(2.0)
    assert any("prepare food" in note for note in answer.notes)
    assert answer.values["openings"] == 3
    assert not values("kitchen-counter", appliances=rows, prep="2 ft").notes
