"""Quick math of planting and sun, against printed tables and published hours."""

import pytest

from app.domain.trades.registry import calculation
from app.domain.trades.working_out import NotUnderstood, read_typed, worked_out


def answer(key, **typed):
    one = calculation(key)
    return worked_out(one, read_typed(one, typed)).values


@pytest.mark.parametrize(
    ("inches", "plants"), [(4, 900), (6, 400), (8, 225), (10, 144), (12, 100), (15, 64), (18, 45), (24, 25), (36, 12)]
)
def test_square_plants_on_100_sq_ft(inches, plants):
    # Source: Glover Perennials, groundcover chart: 900, 400, 225, 144, 100, 64, 44, 25, 11; here rounded up
    assert answer("plants", area="100 sq ft", spacing=f"{inches} in", pattern="square")["plants"] == plants


def test_triangular_rows_and_plants():
    # Source: Bloomin' Designs Nursery, plant calculator: 100 sq ft at 12 in, 115 plants, rows 10.4 in apart
    found = answer("plants", area="100 sq ft", spacing="12 in", pattern="triangular")
    assert found["exact"] == pytest.approx(115.47, abs=0.01)
    assert found["rows_apart"] * 12 == pytest.approx(10.4, abs=0.05)


@pytest.mark.parametrize(("inches", "trade"), [(6, 5), (4, 8)])
def test_the_trades_bulb_counts_are_no_spacing_and_are_not_what_is_worked_out(inches, trade):
    # Source: garden writers' rounds, 5 large bulbs a sq ft at 6 in, 8 small ones at 4 in: neither in squares (4; 9) nor
    # in triangles (4.62; 10.39)
    for pattern, exact in (("square", 144 / inches**2), ("triangular", 144 / (inches**2 * 3**0.5 / 2))):
        found = answer("plants", area="100 sq ft", spacing=f"{inches} in", pattern=pattern)["exact"] / 100
        assert found == pytest.approx(exact)
        assert abs(found - trade) > 0.35


@pytest.mark.parametrize(("inches", "square_feet"), [(1, 324), (2, 162), (3, 108), (4, 81)])
def test_a_yard_of_mulch_covers_what_the_yards_say(inches, square_feet):
    # Source: mulch yards' coverage charts: 324, 162, 108, 81 sq ft a cubic yard
    assert answer("mulch", area=f"{square_feet} sq ft", depth=f"{inches} in")["yards"] / 27 == pytest.approx(1.0)


def test_bags_of_mulch_and_worked_yards():
    # Source: Brick Ends Farm, worked: 25 × 50 ft at 3 in is 312.5 cu ft, 11.57 cu yd. A bag of 2 cu ft covers 8 sq ft
    assert answer("mulch", area="1250 sq ft", depth="3 in")["yards"] / 27 == pytest.approx(11.57, abs=0.005)
    assert answer("mulch", area="8 sq ft", depth="3 in")["bags"] == 1


def test_an_afternoon_in_philadelphia():
    # Source: the library pvlib, solar position algorithm: 21 June 2025, 15:00: 60.28° high, toward 245.12°
    found = answer("sun-and-shadow", latitude="39.9526", longitude="-75.1652", hour="15", height="6 ft")
    assert found["altitude"] == pytest.approx(60.28, abs=0.15)
    assert found["bearing"] == pytest.approx(245.12, abs=0.4)
    assert found["shadow"] == pytest.approx(3.42, abs=0.03)


@pytest.mark.parametrize("typed", [{"month": "2", "day": "30"}, {"hour": "2"}, {"latitude": "70"}])
def test_no_such_day_no_sun_and_too_far_north_have_no_answer(typed):
    with pytest.raises((NotUnderstood, Exception)) as refused:
        answer("sun-and-shadow", **typed)
    assert refused.value.__class__.__name__ in {"NotUnderstood", "OutsideValidity"}
