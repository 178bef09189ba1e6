"""Machines hired at the cheapest mix: by hand, against every mix there is, never dearer for less, fuel once."""

from dataclasses import replace
from decimal import Decimal
from itertools import product
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import Basis, CostClass, Material, Price, Rule
from app.domain.errors import BadValue
from app.domain.findings import Severity, Stop
from app.domain.takeoff.hiring import (
    PERIODS,
    Period,
    Terms,
    cheapest_hire,
    hire_words,
    idle_words,
    machine_hours,
    rates_of,
    terms_of,
)
from app.domain.takeoff.purchases import purchases
from app.domain.takeoff.requirements import Requirement
from app.domain.units import RATIO, TIME
from tests.domain.takeoff.yards import key

HOUR, HALF, DAY, WEEK, MONTH = Period.HOUR, Period.HALF_DAY, Period.DAY, Period.WEEK, Period.MONTH
RATES = {HOUR: 62_00, DAY: 310_00, WEEK: 1_040_00, MONTH: 2_900_00}
USUAL = Terms()


def mix(hours: float, rates=RATES, **more):
    found = cheapest_hire(hours, rates, USUAL, **more)
    return {period.value: count for period, count, _ in found.periods}, found.cents


@pytest.mark.parametrize(
    ("hours", "periods", "cents"),
    [
        (1.0, {"hour": 1}, 62_00),
        (4.0, {"hour": 4}, 248_00),
        (5.0, {"day": 1}, 310_00),  # 5 hours and the day cost the same: the fewest periods
        (8.5, {"day": 1, "hour": 1}, 372_00),
        (26.0, {"week": 1}, 1_040_00),  # 3 days and 2 hours would be 1,054
        (24.0, {"day": 3}, 930_00),
        (40.0, {"week": 1}, 1_040_00),
        (41.0, {"week": 1, "hour": 1}, 1_102_00),
        (97.0, {"week": 2, "day": 2, "hour": 1}, 2_762_00),
        (104.0, {"month": 1}, 2_900_00),  # 2 weeks and 3 days would be 3,010, 3 weeks 3,120
        (160.0, {"month": 1}, 2_900_00),
    ],
)
def test_mix_by_hand(hours, periods, cents):
    # rates invented: hour 62, day 310, week 1,040, month 2,900; 8-hour days, 5 in a week, 20 in a month
    assert mix(hours) == (periods, cents)


def test_half_day_is_taken_where_the_yard_lets_one():
    rates = {HALF: 62_00, DAY: 92_00}
    assert [mix(hours, rates) for hours in (3.0, 4.0, 4.5, 12.0, 13.0)] == [
        ({"half day": 1}, 62_00),
        ({"half day": 1}, 62_00),
        ({"day": 1}, 92_00),
        ({"day": 1, "half day": 1}, 154_00),
        ({"day": 2}, 184_00),
    ]


def test_exact_whole_day_is_that_day_and_no_hour_more():
    assert mix(8.0000000001) == ({"day": 1}, 310_00)
    assert mix(8.01) == ({"day": 1, "hour": 1}, 372_00)


def test_shortest_hire_is_paid():
    assert mix(1.0, least=4.0) == ({"hour": 4}, 248_00)


def test_week_that_is_hired_for_four_days_says_one_is_idle():
    found = cheapest_hire(30.0, RATES, USUAL)
    assert (hire_words(found), found.days, found.idle) == ("1 week", 4, 1)
    assert idle_words(found) == "needed on 4 of 5 days, 1 idle"
    assert idle_words(cheapest_hire(40.0, RATES, USUAL)) == ""


def test_words_of_a_mix():
    assert hire_words(cheapest_hire(97.0, RATES, USUAL)) == "2 weeks, 2 days and 1 hour"


def test_more_than_can_be_hired_is_refused_in_words():
    with pytest.raises(BadValue, match="more than can be hired"):
        cheapest_hire(8_001.0, RATES, USUAL)
    with pytest.raises(BadValue, match="No period"):
        cheapest_hire(8.0, {}, USUAL)


def every_mix(hours: float, rates, terms: Terms) -> int:
    """The cheapest of all mixes there are, by trying every one."""
    offered = [period for period in PERIODS if period in rates]
    ranges = [range(ceil(hours / terms.hours(period)) + 1) for period in offered]
    fits = (
        sum(count * rates[period] for count, period in zip(counts, offered, strict=True))
        for counts in product(*ranges)
        if sum(count * terms.hours(period) for count, period in zip(counts, offered, strict=True)) >= hours - 1e-9
    )
    return min(fits)


SOME_RATES = st.dictionaries(st.sampled_from(PERIODS), st.integers(1, 90), min_size=1)
SOME_TERMS = st.builds(
    Terms, st.sampled_from([8.0, 9.0, 7.5]), st.sampled_from([5, 4]), st.sampled_from([10, 8])
)  # short months, so that every mix can be tried


@settings(max_examples=150)
@given(st.integers(1, 72).map(lambda quarters: quarters / 4), SOME_RATES, SOME_TERMS)
def test_mix_is_the_cheapest_of_all_there_are(hours, rates, terms):
    # whatever the rates: a day dearer than a week, an hour dearer than a month
    found = cheapest_hire(hours, rates, terms)
    assert found.cents == every_mix(hours, rates, terms)
    assert found.cents == sum(count * cents for _, count, cents in found.periods)
    assert sum(count * terms.hours(period) for period, count, _ in found.periods) >= hours - 1e-9


@settings(max_examples=200)
@given(st.floats(0.1, 900), st.floats(0, 200), SOME_RATES, st.sampled_from([0.0, 4.0]))
def test_needing_less_is_never_dearer_and_never_more_hire(hours, more, rates, least):
    less, grown = (cheapest_hire(one, rates, USUAL, least=least) for one in (hours, hours + more))
    assert grown.cents >= less.cents
    assert grown.covers >= less.covers
    assert grown.days >= less.days


# bought for a phase

MACHINE = Material(key="digger", title="Digger", role="digger", buy="hour", cost_class=CostClass.EQUIPMENT)
PRICE = Price(
    material="digger",
    unit_price=Decimal(62),
    day_cents=310_00,
    week_cents=1_040_00,
    delivery_cents=95_00,
    pickup_cents=80_00,
    fuel="ours",
    fuel_cents=6_20,
)


def need(amount: float, *, of: str = "digger", phase: str = "1", dimension=TIME) -> Requirement:
    return Requirement(key(1), 0, "material", of, "r", "R", amount, dimension, 0.0, 0.0, "z", phase, "zone:z", "a")


def basis_of(price: Price = PRICE, material: Material = MACHINE, *others: tuple[Material, Price], rules=()) -> Basis:
    both = ((material, price), *others)
    return Basis(
        materials={one.key: one for one, _ in both},
        prices={one.key: what for one, what in both},
        rules={rule.id: rule for rule in rules},
    )


def test_machine_of_a_phase_is_hired_once_with_delivery_pick_up_and_fuel():
    # 20 + 10.5 hours in one phase: a week at 1,040; there and back 175; 30.5 h × 6.20 = 189.10
    bought, findings = purchases([need(20.0), need(10.5)], basis_of())
    assert [(one.hire.periods, one.cents, one.delivery_cents, one.fuel_cents, one.total_cents) for one in bought] == [
        (((WEEK, 1, 1_040_00),), 1_040_00, 175_00, 189_10, 1_404_10)
    ]
    assert (bought[0].bought, sum(bought[0].parts)) == (40.0, 1_404_10)
    assert findings == ()


def test_phases_hire_apart():
    bought, _ = purchases([need(20.0), need(10.5, phase="2")], basis_of())
    assert [[count for _, count, _ in one.hire.periods] for one in bought] == [[2, 4], [1, 3]]


def test_machine_priced_by_the_day_is_counted_in_the_firm_s_machine_days():
    plate = replace(MACHINE, buy="day")
    price = replace(PRICE, unit_price=Decimal(92), day_cents=0, week_cents=295_00, half_day_cents=62_00, fuel="none")
    bought, _ = purchases([need(3.3, dimension=RATIO)], basis_of(price, plate))
    assert (bought[0].bought, bought[0].hire.hours, bought[0].hire.days) == (5.0, pytest.approx(26.4), 4)
    long = Rule(id="machine-day", title="", value=10.0)
    bought, _ = purchases([need(1.0, dimension=RATIO)], basis_of(price, plate, rules=[long]))
    assert bought[0].hire.hours == 10.0


def test_price_without_other_periods_is_bought_as_before():
    plain = replace(PRICE, day_cents=0, week_cents=0)
    bought, _ = purchases([need(20.5)], basis_of(plain))
    assert (bought[0].hire, bought[0].bought, bought[0].cents) == (None, 21.0, 21 * 62_00)
    assert bought[0].fuel_cents == 127_10  # 20.5 × 6.20


def test_unit_price_of_nothing_is_no_hour_for_nothing():
    price = replace(PRICE, unit_price=Decimal(0))
    assert rates_of(price, MACHINE) == {DAY: 310_00, WEEK: 1_040_00}


def test_hire_is_worked_out_again_when_the_terms_change():
    needed = [need(30.0)]
    before, _ = purchases(needed, basis_of())
    after, _ = purchases(needed, basis_of(rules=[Rule(id="hire-week", title="", value=3.0)]))
    assert before[0].hire.periods != after[0].hire.periods
    assert terms_of({}) == USUAL
    assert machine_hours(2.0, replace(MACHINE, buy="each"), USUAL) == 0.0


def test_too_much_to_hire_stops_in_words():
    _, findings = purchases([need(9_000.0)], basis_of())
    assert [(one.rule, one.stop) for one in findings] == [("cannot-buy", Stop.MONEY)]


# fuel and moves

FUEL = Material(key="fuel", title="Fuel", role="machine fuel", buy="each", cost_class=CostClass.EQUIPMENT)
FUEL_PRICE = Price(material="fuel", unit_price=Decimal(4))
MOVE = Material(key="move", title="Move", role="machine move", buy="each", cost_class=CostClass.EQUIPMENT)
MOVE_PRICE = Price(material="move", unit_price=Decimal(235))


def rules_found(price: Price, *others: tuple[Material, Price]) -> list[tuple[str, Severity]]:
    needs = [need(20.0), *(need(1.0, of=one.key, dimension=RATIO) for one, _ in others)]
    return [(one.rule, one.severity) for one in purchases(needs, basis_of(price, MACHINE, *others))[1]]


STAYS = {"delivery_cents": 0, "pickup_cents": 0}


@pytest.mark.parametrize(
    ("fuel", "cents", "bought", "found"),
    [
        # rates "include fuel, oil and lubricants": fuel is not added again (FEMA schedule of equipment rates, as
        # restated by the Vermont League of Cities and Towns)
        ("in the rate", 0, False, []),
        ("in the rate", 0, True, [("fuel-twice", Severity.WARN)]),
        ("ours", 620, False, []),
        ("ours", 620, True, [("fuel-twice", Severity.WARN)]),
        ("ours", 0, False, [("fuel-not-priced", Severity.WARN)]),
        ("ours", 0, True, []),
        ("none", 0, False, []),
        ("", 0, False, [("fuel-unknown", Severity.NOTE)]),
    ],
)
def test_fuel_is_paid_once(fuel, cents, bought, found):
    others = [(FUEL, FUEL_PRICE)] if bought else []
    assert rules_found(replace(PRICE, **STAYS, fuel=fuel, fuel_cents=cents), *others) == found


def test_fuel_in_the_rate_adds_no_cent():
    bought, _ = purchases([need(20.0)], basis_of(replace(PRICE, fuel="in the rate", fuel_cents=620)))
    assert bought[0].fuel_cents == 0


def test_machine_brought_with_its_hire_and_moved_again_is_said():
    assert rules_found(PRICE, (MOVE, MOVE_PRICE)) == [("moved-twice", Severity.NOTE)]
    assert rules_found(replace(PRICE, **STAYS), (MOVE, MOVE_PRICE)) == []
