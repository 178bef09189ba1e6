"""A hire yard's list: rates by the period, with or without a price of their own."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.basis import Price
from app.domain.pricebook import Listed, Verdict, dry_run, proposed_reading, table_of
from app.domain.pricebook.columns import column_of
from tests.domain.pricebook.lists import BOOK, only

HIRE = replace(
    BOOK,
    materials={
        **BOOK.materials,
        "digger": Listed(title="Digger", buy="hour"),
        "plate": Listed(title="Plate", buy="day"),
    },
    prices={**BOOK.prices, "plate": Price(material="plate", unit_price=Decimal(92), week_cents=280_00)},
)
HEAD = ("Description", "Half day", "Day", "Week", "4 weeks", "Pick-up", "Fuel")


def row_of(*cells: str, head: Sequence[str] = HEAD):
    table = table_of([head, cells])
    return only(dry_run(table, proposed_reading(table), HIRE))


def test_rates_without_a_price_are_a_price():
    row = row_of("Digger", "", "310", "$1,040", "2900", "80", "not included")
    assert row.verdict is Verdict.NEW
    price = row.choices[0].price
    assert (price.unit_price, price.day_cents, price.week_cents, price.month_cents) == (0, 310_00, 1_040_00, 2_900_00)
    assert (price.pickup_cents, price.fuel) == (80_00, "ours")


def test_day_rate_of_what_is_priced_by_the_day_is_its_price():
    row = row_of("Plate", "62", "95", "295", "", "", "electric")
    assert row.verdict is Verdict.CHANGED
    price = row.choices[0].price
    assert (price.unit_price, price.day_cents, price.half_day_cents, price.week_cents) == (95, 0, 62_00, 295_00)


def test_rates_of_what_is_not_let_by_time_are_no_price():
    assert row_of("Pea stone", "", "310", "", "", "", "").verdict is Verdict.UNKNOWN


def test_word_for_fuel_that_is_not_known_is_refused_in_words():
    row = row_of("Digger", "", "310", "", "", "", "perhaps")
    assert row.verdict is Verdict.REFUSED
    assert "“perhaps” was read" in row.why[0]


@pytest.mark.parametrize(
    ("heading", "key"), [("Day", "day_cents"), ("Daily rate", "day_cents"), ("Lead time, day", "")]
)
def test_period_alone_is_a_rate(heading, key):
    assert column_of(heading)[0] == key


def test_tipping_and_small_orders_are_read():
    head = (
        "Description",
        "Unit",
        "Price",
        "Tipping fee",
        "Tipping by",
        "Small order below",
        "Small load fee",
        "Pallet deposit",
    )
    row = row_of("Pea stone", "cu yd", "46", "62.50", "tons", "4", "65", "24", head=head)
    price = row.choices[0].price
    assert (price.tip_cents, price.tip_per, price.small_below, price.small_cents) == (62_50, "ton", 4.0, 65_00)
    assert price.deposit_cents == 24_00
