"""Steps from a drop: International Residential Code R311.7.5 (riser 7 3/4 in at most, tread 10 in at least), and the
garden rule 2 R + T = 26 in with risers of 5 1/2 to 7 in and treads of 12 to 18 in (a garden magazine's table)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.trades.steps import StepLimits, flight_for, riser_to_build

INCH = 1 / 12


@pytest.mark.parametrize(
    ("drop", "risers", "riser", "tread"),
    [
        (6, 1, 6, 14),
        (12, 2, 6, 14),
        (11, 2, 5.5, 15),
        (14, 2, 7, 12),
        (18, 3, 6, 14),
        (21, 4, 5.25, 15.5),
        (24, 4, 6, 14),
        (30, 5, 6, 14),
        (7.5, 1, 7.5, 11),
        (8, 2, 4, 18),
        (-12, 2, 6, 14),
    ],
)
def test_flight_keeps_the_garden_rule(drop, risers, riser, tread) -> None:
    found = flight_for(drop * INCH)
    assert (found.risers, found.riser / INCH, found.tread / INCH) == pytest.approx((risers, riser, tread))
    assert 2 * found.riser + found.tread == pytest.approx(26 * INCH)
    assert found.going == pytest.approx((risers - 1) * tread * INCH)


@pytest.mark.parametrize(("drop", "steps"), [(3.99, False), (4, True), (0, False)])
def test_drop_below_a_step_wants_a_slope(drop, steps) -> None:
    assert (flight_for(drop * INCH) is not None) == steps


@given(st.floats(4 * INCH, 12.0))
def test_any_flight_keeps_the_code_and_climbs_the_drop(drop) -> None:
    found = flight_for(drop)
    assert found.risers * found.riser == pytest.approx(drop, abs=1e-9)
    assert found.riser <= 7.75 * INCH + 1e-9
    assert found.tread >= 10 * INCH - 1e-9
    assert found.risers == -(-drop // (riser_to_build(found) + 1e-9))  # the recipe rounds up drop over riser
    assert riser_to_build(found) - found.riser < INCH / 16 + 1e-9


def test_limits_of_the_town_count() -> None:
    low = flight_for(24 * INCH, StepLimits(riser_most=5.5 * INCH, easy_most=5.5 * INCH, easy_least=4 * INCH))
    assert (low.risers, low.riser / INCH) == pytest.approx((5, 4.8))
    deep = flight_for(7.5 * INCH, StepLimits(tread_least=12 * INCH))
    assert deep.tread == pytest.approx(12 * INCH)
