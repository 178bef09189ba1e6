"""Money, numbers, days and units in the forms that suppliers write them."""

from contextlib import suppress
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.pricebook.cells import day_in, money_in, number_in, writes_comma, writes_day_first
from app.domain.pricebook.units_meant import factor, meanings, per_unit

D = Decimal


@pytest.mark.parametrize(
    ("typed", "comma", "amount", "unit"),
    [
        ("$1,250.00", False, "1250", ""),
        ("1.250,00 €", True, None, ""),
        ("1 250.5", False, "1250.5", ""),
        ("1\u00a0250,50", True, "1250.5", ""),
        ("1'250.00", False, "1250", ""),
        ("USD 48", False, "48", ""),
        ("$ 48.00 / ton", False, "48", "ton"),
        ("48 per cu yd", False, "48", "cu yd"),
        ("12,5", False, "12.5", ""),
        ("1,250", False, "1250", ""),
        ("1.250", True, "1250", ""),
        ("1.25", True, "1.25", ""),
        (".85", False, "0.85", ""),
        ("0.03251", False, "0.0325", ""),
    ],
)
def test_price_is_read_as_suppliers_write_it(typed: str, comma: bool, amount: str | None, unit: str) -> None:
    if amount is None:
        with pytest.raises(BadValue, match="is in EUR; the price book is in USD"):
            money_in(typed, comma=comma, currency="USD")
        assert money_in(typed, comma=comma, currency="EUR").amount == D("1250")
        return
    found = money_in(typed, comma=comma, currency="USD")
    assert (found.amount, found.unit) == (D(amount), unit)


@pytest.mark.parametrize(
    "typed", ["call", "POA", "-", "-4.20", "=2*3", "1,2,3", "1.2.3", "9" * 70, "2000001", "NaN", "1e9"]
)
def test_what_is_no_price_is_refused_in_a_sentence(typed: str) -> None:
    with pytest.raises(BadValue, match=r"\.$"):
        money_in(typed, comma=False, currency="USD")


def test_digits_beyond_a_ten_thousandth_are_cut_and_that_is_known() -> None:
    assert money_in("0.03251", comma=False, currency="USD").rounded
    assert not money_in("0.0325", comma=False, currency="USD").rounded


@pytest.mark.parametrize(
    "typed",
    [
        "2026-05-14",
        "2026/5/14",
        "5/14/2026",
        "5/14/26",
        "14.05.2026",
        "14 May 2026",
        "May 14, 2026",
        "14-May-26",
        "2026-05-14 00:00:00",
    ],
)
def test_day_is_read_in_several_forms(typed: str) -> None:
    assert day_in(typed, day_first=False) == date(2026, 5, 14)


@pytest.mark.parametrize("typed", ["soon", "31.02.2026", "2026-13-40", "14 Foo 2026", "=TODAY()", "5/14"])
def test_what_is_no_day_is_refused(typed: str) -> None:
    with pytest.raises(BadValue):
        day_in(typed, day_first=False)


def test_a_column_says_how_it_writes_decimals_and_days() -> None:
    assert writes_comma(["4,50", "1.250,00", "12"])
    assert not writes_comma(["4.50", "1,250", "12"])
    assert writes_day_first(["05/06/2026", "25/06/2026"])
    assert not writes_day_first(["05/06/2026", "06/25/2026"])


@given(st.decimals(min_value=0, max_value=999_999, places=2))
@settings(max_examples=60)
def test_an_amount_reads_the_same_however_it_is_grouped(amount: Decimal) -> None:
    us = f"${amount:,.2f}"
    eu = f"{amount:,.2f}".replace(",", " ").replace(".", ",")
    assert money_in(us, comma=False, currency="USD").amount == amount
    assert money_in(eu, comma=True, currency="USD").amount == amount


@given(st.text(max_size=30))
@settings(max_examples=100)
def test_any_text_is_read_or_refused(typed: str) -> None:
    for read in (
        lambda: money_in(typed, comma=False, currency="USD"),
        lambda: number_in(typed, comma=True),
        lambda: day_in(typed, day_first=True),
    ):
        with suppress(BadValue):
            read()


@pytest.mark.parametrize(
    ("unit", "buy", "by"),
    [
        ("M", "each", Fraction(1, 1000)),
        ("C", "each", Fraction(1, 100)),
        ("dozen", "each", Fraction(1, 12)),
        ("pcs", "each", Fraction(1)),
        ("CY", "yard**3", Fraction(1)),
        ("yd", "yard**3", Fraction(1)),  # common practice, no source: bulk goods by the yard are cubic yards
        ("cu yd", "foot**3", Fraction(1, 27)),  # 3 ft × 3 ft × 3 ft
        ("lb", "ton", Fraction(2000)),
        ("SY", "foot**2", Fraction(1, 9)),
        ("m", "foot", Fraction(3048, 10_000)),  # the foot is 0.3048 m, exactly: NIST SP 811, appendix B.8
        ("kg", "lb", Fraction(45_359_237, 100_000_000)),  # the pound is 0.45359237 kg: the same table
        ("plt", "pallet", Fraction(1)),
    ],
)
def test_units_of_one_measure_convert_exactly(unit: str, buy: str, by: Fraction) -> None:
    found = factor(unit, buy)
    assert found is not None
    assert found[0] == by


@pytest.mark.parametrize(
    ("unit", "buy"), [("ton", "yard**3"), ("bag", "each"), ("pallet", "foot**2"), ("t", "lb"), ("furlong", "foot")]
)
def test_units_of_another_measure_or_of_two_meanings_do_not_convert(unit: str, buy: str) -> None:
    assert factor(unit, buy) is None


def test_metric_ton_and_short_ton_are_told_apart_by_name_only() -> None:
    assert len(meanings("t")) == 2
    found = factor("tonne", "ton")
    assert found is not None
    # 1 metric ton is 1.10231 short tons (NIST SP 811, appendix B.8: 1 short ton = 907.1847 kg)
    assert float(1 / found[0]) == pytest.approx(1.10231, abs=5e-6)


def test_price_per_another_unit_is_rounded_to_a_ten_thousandth() -> None:
    assert per_unit(D("912.00"), Fraction(1, 1000)) == D("0.9120")
    assert per_unit(D(38), Fraction(1, 27)) == D("1.4074")
