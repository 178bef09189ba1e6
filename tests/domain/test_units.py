"""Lengths, areas, slopes, counts, shares, money and days: read as meant, shown back, or refused with a sentence."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain import units
from app.domain.errors import BadValue
from app.domain.units import (
    AREA,
    FORMULA_UNITS,
    LENGTH,
    RATIO,
    TIME,
    TRADE_UNITS,
    VOLUME,
    WEIGHT,
    Dimension,
    Typed,
    format_amount,
    format_area,
    format_day,
    format_length,
    format_money,
    format_number,
    format_price,
    format_quantity,
    format_share,
    format_short,
    format_slope,
    parse_area,
    parse_count,
    parse_day,
    parse_length,
    parse_money,
    parse_price,
    parse_share,
    parse_slope,
)

SIXTEENTH = 1 / 16 / 12 + 1e-9
NOISE = st.text(alphabet="0123456789 .,-+/'\"’”½¼′″ftinmcydx:%$k()e²﷼٣\x00\n", max_size=20)


@pytest.mark.parametrize(
    ("typed", "inches"),
    [
        ("12' 6 1/2\"", 150.5),
        ("12’ 6½”", 150.5),
        ("12′ 6 ½″", 150.5),
        ("12'-6 1/2\"", 150.5),
        ("12'6", 150),
        ("12-6", 150),
        ("12 - 6", 150),
        ("12–6", 150),
        ("12-6 1/2", 150.5),
        ("12-6-1/2", 150.5),
        ("12.5", 150),
        (".5", 6),
        ("12,5", 150),
        ("12 1/2", 150),
        ("12½", 150),
        ("12 ft 6", 150),
        ("12 FT. 6 IN.", 150),
        ("12 ft 6 in", 150),
        ("12 feet 6 inches", 150),
        ("12 foot", 144),
        ("12'", 144),
        ("150in", 150),
        ("150''", 150),
        ('6"', 6),
        ('1/2"', 0.5),
        ('⅜"', 0.375),
        ('6-1/2"', 6.5),
        ("12'\u202f6\u00a0½\u2009\"", 150.5),
        ("2 yd", 72),
        ("0", 0),
        ("1,234.5 ft", 1234.5 * 12),
        ("5280", 5280 * 12),
        ("3.81 m", 150),
        ("3,81 m", 150),
        ("381 cm", 150),
        ("3 m 81 cm", 150),
        ("3810mm", 150),
    ],
)
def test_length_as_people_write_it_is_read(typed, inches):
    assert parse_length(typed).feet == pytest.approx(inches / 12, abs=1e-12)


@pytest.mark.parametrize(
    ("typed", "part"),
    [
        ("", "Nothing was typed"),
        ("  \u2009 ", "Nothing was typed"),
        ("-5", "negative"),
        ("−5'", "negative"),
        ("1,234", "1234 or 1.234"),
        ("12.6.5", "not understood"),
        ("12' 14\"", "13'-2\""),
        ("12' 12", "13'-0\""),
        ("6-1/2", "6 1/2 ft or 6 ft 1/2 in"),
        ("12 6", "two numbers"),
        ("12 m 6", "two numbers"),
        ("12.5' 6\"", "twice"),
        ("6 3/2", "not a fraction"),
        ("6.5 1/2", "decimal and a fraction"),
        ("1/0", "not a fraction"),
        ("5280.1", "more than a mile"),
        ("99999999999999", "more than a mile"),
        ("about 12", "not understood"),
        ("12 lb", "not understood"),
        ("1e3", "not understood"),
        ("٣ ft", "not understood"),
        ("nan", "not understood"),
        ("1" * 61, "too long"),
    ],
)
def test_length_that_is_no_clear_length_is_refused_with_a_sentence(typed, part):
    with pytest.raises(BadValue) as refused:
        parse_length(typed)
    assert part in refused.value.sentence
    assert refused.value.sentence.endswith(".")


@pytest.mark.parametrize(
    ("unit", "system", "feet"),
    [("in", "feet", 0.5), ("yd", "feet", 18), ("", "metric", 6 / 0.3048), ("cm", "metric", 0.06 / 0.3048)],
)
def test_bare_length_takes_the_unit_beside_the_field(unit, system, feet):
    assert parse_length("6", unit=unit, system=system).feet == pytest.approx(feet)


def test_dash_in_a_metric_job_is_refused():
    with pytest.raises(BadValue, match="metric"):
        parse_length("12-6", system="metric")
    assert parse_length("12' 6\"", system="metric").feet == 12.5


def test_length_understood_is_shown_in_the_firms_system_beside_the_typed_one():
    assert parse_length("3.81 m").understood == "3.81 m = 12'-6\""
    assert parse_length("12-6").understood == "12'-6\""
    assert parse_length("12' 6\"", system="metric").understood == "12'-6\" = 3.81 m"
    assert parse_length("3,81", system="metric").understood == "3.81 m"


def test_length_below_zero_is_read_only_where_signed():
    assert parse_length("-0' 6\"", signed=True).feet == -0.5
    assert parse_length('+6"', signed=True).feet == 0.5
    assert format_length(-0.5) == '-6"'


@pytest.mark.parametrize(
    ("feet", "shown"),
    [
        (28, "28'-0\""),
        (12.5 + 1 / 24, "12'-6 1/2\""),
        (0.5, '6"'),
        (0, '0"'),
        (-0.001, '0"'),
        (11.999, "12'-0\""),
        (1 / 96, '1/8"'),
        (0.0051, '0"'),
        (0.0053, '1/8"'),
    ],
)
def test_length_is_shown_to_the_eighth(feet, shown):
    assert format_length(feet) == shown


@given(st.floats(0, 5279), st.sampled_from(["feet", "metric"]))
@settings(max_examples=100)
def test_length_shown_and_typed_again_is_within_a_sixteenth_of_an_inch(feet, system):
    typed = parse_length(format_length(feet, system), system=system)
    assert typed.feet == pytest.approx(feet, abs=SIXTEENTH)
    assert parse_length(typed.understood, system=system).feet == pytest.approx(feet, abs=2 * SIXTEENTH)


@given(st.one_of(NOISE, st.text(max_size=70)), st.sampled_from(["feet", "metric"]))
@settings(max_examples=300)
def test_any_text_is_read_or_refused_never_anything_else(text, system):
    for read in (parse_length, parse_area, parse_slope):
        typed = _read_or_sentence(read, text, system=system)
        if not isinstance(typed, str):
            assert (typed.feet if isinstance(typed, Typed) else typed.value) >= 0
            assert typed.understood
    for read in (parse_count, parse_share, parse_money, parse_price, parse_day):
        _read_or_sentence(read, text)


def _read_or_sentence(read, text, **options):
    try:
        return read(text, **options)
    except BadValue as refused:
        sentence = refused.sentence
    assert sentence.endswith(".")
    return sentence


@pytest.mark.parametrize(
    ("typed", "square_feet"),
    [
        ("450", 450), ("450 sq ft", 450), ("1,234 sq. ft.", 1234), ("450 ft²", 450), ("50 sq yd", 450), ("0.25 acre", 10890),
        ("20' x 12' 6\"", 250), ("20 × 12", 240), ("20 by 12", 240), ("42 m²", 42 / 0.09290304), ("12½ sqft", 12.5),
    ],
)  # fmt: skip
def test_area_as_people_write_it_is_read(typed, square_feet):
    assert parse_area(typed).value == pytest.approx(square_feet)


@pytest.mark.parametrize("typed", ["", "-3", "3 ft", "3 lb", "101 acres", "x 12", "1x2x3", "1,23,4"])
def test_area_that_is_none_is_refused(typed):
    with pytest.raises(BadValue):
        parse_area(typed)


def test_area_bare_in_a_metric_job_is_in_square_meters():
    assert parse_area("42", system="metric").understood == "42 m²"
    with pytest.raises(BadValue, match=r"1234 or 1\.234"):
        parse_area("1,234", system="metric")


@pytest.mark.parametrize(
    ("typed", "slope"),
    [
        ("1/4 in per ft", 1 / 48), ('1/4"/ft', 1 / 48), ("¼″ per foot", 1 / 48), ("1/4 in in a ft", 1 / 48), ("2%", 0.02), ("2 %", 0.02),
        ("2", 0.02), ("1:48", 1 / 48), ("1 in 48", 1 / 48), ("20 mm per m", 0.02), ("6 in per 10 ft", 0.05), ("0", 0), ("1/4 in per ft (2%)", 0.02),
    ],
)  # fmt: skip
def test_slope_as_people_write_it_is_read(typed, slope):
    assert parse_slope(typed).value == pytest.approx(slope, abs=1e-12)


def test_slope_bare_takes_the_unit_beside_the_field():
    assert parse_slope("1/4", unit="in per ft").value == pytest.approx(1 / 48)


@pytest.mark.parametrize("typed", ["", "-2%", "1:0", "1/4 in per 0 ft", "201%", "steep", "2%%", "1/4 in"])
def test_slope_that_is_none_is_refused(typed):
    with pytest.raises(BadValue):
        parse_slope(typed)


@given(st.floats(0, 1.9), st.sampled_from(["feet", "metric"]))
@settings(max_examples=60)
def test_slope_shown_and_typed_again_is_within_a_twentieth_of_a_percent(slope, system):
    assert parse_slope(format_slope(slope, system)).value == pytest.approx(slope, abs=0.000501)


def test_slope_is_shown_per_foot_with_its_percent():
    assert format_slope(1 / 48) == "1/4 in per ft (2.1%)"
    assert format_slope(0.25) == "3 in per ft (25%)"
    assert format_slope(0) == "0 in per ft (0%)"
    assert format_slope(0.02, "metric") == "20 mm per m (2%)"


def test_count_is_whole():
    assert parse_count("1,200") == 1200
    assert parse_count("12", most=12) == 12
    for typed in ("12.5", "-1", "13", "", "a"):
        with pytest.raises(BadValue):
            parse_count(typed, most=12)


def test_share_is_typed_in_percent():
    assert parse_share("18 %") == parse_share("18") == Decimal("0.18")
    assert parse_share("8.25%") == Decimal("0.0825")
    assert parse_share("100") == 1
    assert str(parse_share("100")) == "1"
    for typed in ("100.1", "-1", "1.00001", "", "%"):
        with pytest.raises(BadValue):
            parse_share(typed)


@pytest.mark.parametrize(
    ("typed", "cents"),
    [
        ("$1,234.50", 123450),
        ("1.2k", 120000),
        ("80K", 8000000),
        ("1234", 123400),
        ("1,234", 123400),
        ("$ .5", 50),
        ("1.234,50 €", 123450),
        ("100 usd", 10000),
        ("100000000", 10**10),
    ],
)
def test_money_as_people_write_it_is_read(typed, cents):
    assert parse_money(typed) == cents


@pytest.mark.parametrize("typed", ["", "-5", "12.345", "1.234567k", "100000000.01", "5 apples", "$", "1/2"])
def test_money_that_is_none_is_refused(typed):
    with pytest.raises(BadValue):
        parse_money(typed)


def test_money_below_zero_is_read_only_where_signed():
    assert parse_money("-$50", signed=True) == -5000
    assert parse_money("50", signed=True) == 5000


def test_unit_price_keeps_four_decimals():
    assert parse_price("0.0325") == Decimal("0.0325")
    with pytest.raises(BadValue, match="decimals"):
        parse_price("0.03251")


@given(st.integers(0, 10**10))
@settings(max_examples=60)
def test_money_shown_and_typed_again_is_the_same_cents(cents):
    assert parse_money(format_money(cents)) == cents == parse_money(format_money(cents, always_cents=True))


def test_money_is_shown_with_cents_only_when_there_are_any():
    assert format_money(5894000) == "$58,940"
    assert format_money(5894050) == "$58,940.50"
    assert format_money(5894000, always_cents=True) == "$58,940.00"
    assert format_money(-5) == "-$0.05"
    assert format_money(100, "EUR") == "€1"
    assert format_price(Decimal("4.85")) == "$4.85"
    assert format_price(Decimal("-0.0325")) == "-$0.0325"


@pytest.mark.parametrize(
    ("dollars", "shown"),
    [
        (80000, "$80k"),
        (4500, "$4.5k"),
        (850, "$850"),
        (999.49, "$999"),
        (999.5, "$1k"),
        (9949, "$9.9k"),
        (9950, "$10k"),
        (999_499, "$999k"),
        (999_500, "$1M"),
        (1_234_567, "$1.23M"),
        (-80000, "-$80k"),
        (0, "$0"),
    ],
)
def test_money_at_a_glance_is_short(dollars, shown):
    assert format_short(round(dollars * 100)) == shown


@pytest.mark.parametrize(
    ("dollars", "below", "above"),
    [
        (16_860, "$16k", "$17k"),
        (17_000, "$17k", "$17k"),
        (4_610, "$4.6k", "$4.7k"),
        (999.4, "$999", "$1k"),
        (9_960, "$9.9k", "$10k"),
        (999_600, "$999k", "$1M"),
        (-1_250, "-$1.3k", "-$1.2k"),
        (0, "$0", "$0"),
    ],
)
def test_ends_of_a_range_are_rounded_out_of_it(dollars, below, above):
    cents = round(dollars * 100)
    assert (format_short(cents, toward="below"), format_short(cents, toward="above")) == (below, above)


def test_numbers_are_shown_without_idle_zeros():
    assert format_number(1234.50) == "1,234.5"
    assert format_number(-0.001, 2) == "0"
    assert format_number(0.125) == "0.13"
    assert format_number(1e6, 0) == "1,000,000"
    assert format_share(Decimal("0.18")) == "18%"
    assert format_area(9.96) == "10 sq ft"
    assert format_area(1234.4) == "1,234 sq ft"
    for value in (float("inf"), float("nan"), 1e300):
        with pytest.raises(BadValue):
            format_number(value)
    with pytest.raises(BadValue):
        format_length(float("inf"))


@pytest.mark.parametrize(
    ("amount", "unit", "shown"),
    [
        (54, "foot**3", "2 cu yd"), (26.9, "foot**3", "26.9 cu ft"), (27, "foot**3", "1 cu yd"), (0.5, "yard**3", "13.5 cu ft"), (1, "ton", "1 ton"), (2.25, "ton", "2.25 tons"),
        (1999, "lb", "1,999 lb"), (2000, "lb", "1 ton"), (1, "bag", "1 bag"), (3, "bag", "3 bags"), (2, "box", "2 boxes"), (4, "each", "4 each"), (1234.5, "foot**2", "1,235 sq ft"),
        (3, "hour", "3 hours"), (1, "gallon", "1 gallon"), (2, "yard", "6 ft"),
    ],
)  # fmt: skip
def test_quantity_is_told_in_trade_units(amount, unit, shown):
    assert format_quantity(amount, unit) == shown


def test_quantity_as_bought_keeps_its_unit():
    assert format_quantity(54, "foot**3", as_bought=True) == "54 cu ft"
    assert format_quantity(1, "foot**3", "metric") == "0.03 m³"
    assert format_amount(2, RATIO) == "2"
    assert format_amount(140, WEIGHT / VOLUME) == "140 lb/cu ft"
    with pytest.raises(BadValue, match="furlong"):
        format_quantity(1, "furlong")


def test_day_is_read_month_first_or_iso():
    assert parse_day("2026-05-14") == parse_day("5/14/2026") == parse_day("5/14/26") == date(2026, 5, 14)
    assert format_day(date(2026, 5, 14)) == "May 14, 2026"
    for typed in ("", "14/5/2026", "2/29/2026", "0/1/2026", "May 14", "0000-01-01"):
        with pytest.raises(BadValue):
            parse_day(typed)


def test_dimensions_multiply_divide_and_have_names():
    assert LENGTH * LENGTH == AREA == LENGTH**2
    assert VOLUME / AREA == LENGTH
    assert AREA / AREA == RATIO
    assert [d.name for d in (RATIO, LENGTH, AREA, VOLUME, WEIGHT, TIME)] == [
        "ratio",
        "length",
        "area",
        "volume",
        "weight",
        "time",
    ]
    assert (WEIGHT / VOLUME).name == "lb/cu ft"
    assert (TIME / AREA).unit == "hour/sq ft"
    assert (RATIO / LENGTH).unit == "1/ft"
    assert Dimension(length=4).unit == "ft^4"


def test_formula_units_agree_with_the_tables_of_weights_and_measures():
    """NIST Handbook 44, appendix C: gallon = 231 cubic inches, yard = 3 feet, (short) ton = 2,000 pounds."""
    assert FORMULA_UNITS["gallon"][0] * 12**3 == pytest.approx(231)
    assert FORMULA_UNITS["yard"][0] == 3
    assert FORMULA_UNITS["ton"][0] == 2000
    assert FORMULA_UNITS["inch"][0] * 12 == pytest.approx(1)
    assert TRADE_UNITS["yard**3"].size == FORMULA_UNITS["yard"][0] ** 3


def test_every_name_of_the_package_is_there():
    assert all(hasattr(units, name) for name in units.__all__)
