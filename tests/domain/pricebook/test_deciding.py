"""A price list tried out on a small book: what is safe, doubtful, refused, and why."""

from datetime import date
from decimal import Decimal

import pytest

from app.domain.errors import BadValue
from app.domain.pricebook import Verdict, proposed_reading, table_of
from tests.domain.pricebook.lists import only, tried

D = Decimal


def test_code_of_the_supplier_is_matched_before_any_name() -> None:
    row = only(tried(("af-1", "Pea stone", "each", "0.90")))
    assert row.verdict is Verdict.CHANGED
    assert row.choices[0].material == "clay-paver"
    assert (row.choices[0].before.unit_price, row.choices[0].price.unit_price) == (D("0.86"), D("0.9"))
    assert row.choices[0].moved == pytest.approx(0.0465, abs=1e-4)


def test_code_of_another_supplier_matches_nothing() -> None:
    row = only(tried(("AF-1", "Something else", "each", "0.90"), supplier="mill"))
    assert row.verdict is Verdict.UNKNOWN


def test_same_name_is_matched_and_its_code_is_learned() -> None:
    row = only(tried(("S-9", "crushed stone 3/4 IN", "ton", "31.50")))
    assert row.verdict is Verdict.CHANGED
    assert row.choices[0].price.code == "S-9"


def test_near_name_is_proposed_and_never_taken_by_itself() -> None:
    row = only(tried(("S-9", "Crushed gray stone 3/4", "ton", "31.50")))
    assert row.verdict is Verdict.DOUBTFUL
    assert row.choices[0].material == "stone-34"
    assert not row.safe


def test_material_without_a_price_is_new() -> None:
    row = only(tried(("J-1", "Jointing sand", "bag", "11.85")))
    assert (row.verdict, row.choices[0].before) == (Verdict.NEW, None)


def test_same_row_changes_nothing() -> None:
    row = only(tried(("AF-1", "Clay paver, dark", "each", "0.86")))
    assert row.verdict is Verdict.SAME


def test_changed_price_of_a_list_without_days_is_dated_today() -> None:
    row = only(tried(("AF-1", "Clay paver, dark", "each", "0.90")))
    assert row.choices[0].price.priced_on == date(2027, 3, 9)


def test_newer_day_alone_is_a_detail() -> None:
    row = only(tried(("AF-1", "Clay paver, dark", "each", "0.86"), priced_on=date(2027, 3, 1)))
    assert row.verdict is Verdict.DETAILS
    assert row.choices[0].apart == ("priced_on",)


def test_unit_of_the_same_measure_is_converted() -> None:
    row = only(tried(("AF-1", "Clay paver, dark", "M", "900")))
    assert (row.verdict, row.choices[0].price.unit_price) == (Verdict.CHANGED, D("0.9000"))


@pytest.mark.parametrize("unit", ["ton", "bucketful"])
def test_unit_of_another_measure_is_doubtful(unit: str) -> None:
    row = only(tried(("P-1", "Pea stone", unit, "44")))
    assert row.verdict is Verdict.DOUBTFUL
    assert "the book buys it by the cu yd" in row.why[0]
    assert row.choices[0].as_is


def test_price_of_a_pallet_is_worked_out_for_one_and_asked_about() -> None:
    head = ("Code", "Description", "Unit", "Price", "Per pallet")
    row = only(tried(("AF-1", "Clay paver, dark", "pallet", "432", "480"), head=head))
    assert row.verdict is Verdict.DOUBTFUL
    assert row.choices[0].price.unit_price == D("0.9000")


@pytest.mark.parametrize(
    ("price", "verdict"),
    [("39", Verdict.CHANGED), ("39.01", Verdict.DOUBTFUL), ("21", Verdict.CHANGED), ("20.99", Verdict.DOUBTFUL)],
)
def test_price_that_moves_by_more_than_thirty_percent_is_doubtful(price: str, verdict: Verdict) -> None:
    assert only(tried(("", "Crushed stone, 3/4 in", "ton", price))).verdict is verdict


def test_several_rows_for_one_material_are_doubtful_together() -> None:
    run = tried(("AF-1", "Clay paver, dark", "each", "0.90"), ("", "Clay paver, dark", "each", "0.91"))
    assert [row.verdict for row in run.rows] == [Verdict.DOUBTFUL] * 2
    assert "Rows 2, 3" in run.rows[0].why[0]


def test_price_of_another_supplier_is_doubtful() -> None:
    row = only(tried(("", "Clay paver, dark", "each", "0.84"), supplier="mill"))
    assert row.verdict is Verdict.DOUBTFUL
    assert "The book has the price of Alder Ferry Stone." in row.why


def test_older_price_is_doubtful() -> None:
    row = only(tried(("", "Crushed stone, 3/4 in", "ton", "29"), priced_on=date(2026, 1, 1)))
    assert row.verdict is Verdict.DOUBTFUL


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (("", "Pea stone", "cu yd", "call"), "is no price"),
        (("", "Pea stone", "cu yd", "-4"), "below zero"),
        (("", "Pea stone", "cu yd", ""), "no price"),
        (("", "Pea stone", "cu yd", "=2+2"), "formula"),
        (("", "Pea stone", "cu yd", "€44"), "EUR"),
        (("", "", "cu yd", "44"), "neither a name nor a code"),
        (("", "Pea stone", "cu yd", "44", "", "astray"), "6 cells"),
        (("", "Jointing sand", "bag", "0"), "zero"),
        (("", "x" * 300, "bag", "1"), "300 characters"),
    ],
)
def test_row_that_cannot_be_used_is_refused_with_its_number(cells: tuple[str, ...], said: str) -> None:
    # a good row beside it: one row's trouble is its own
    run = tried(("AF-1", "Clay paver, dark", "each", "0.90"), ("", "Woven fabric", "sf", "0.19"), cells)
    assert run.rows[0].safe
    assert (run.rows[2].verdict, run.rows[2].number) == (Verdict.REFUSED, 4)
    assert said in run.rows[2].why[0]


def test_headings_between_rows_are_passed_over() -> None:
    run = tried(("PAVERS",), ("AF-1", "Clay paver, dark", "each", "0.90"))
    assert (run.passed, len(run.rows)) == (1, 1)


def test_headings_below_a_title_and_merged_are_found() -> None:
    table = table_of(
        [
            ["Alder Ferry Stone, spring list"],
            [],
            ["", "", "Price", ""],
            ["Item no.", "Description", "per ton", "Valid until"],
            ["S-9", "Crushed stone, 3/4 in", "31.50", "2027-06-30"],
        ]
    )
    reading = proposed_reading(table)
    assert reading.columns == ("code", "title", "unit_price", "valid_until")
    assert reading.unit == "ton"
    assert table.lines[0].number == 5


def test_columns_without_headings_are_known_by_what_stands_in_them() -> None:
    table = table_of(
        [
            ["Item no.", "", "", ""],
            ["S-9", "Crushed stone, 3/4 in", "ton", "31.50"],
            ["S-8", "Pea stone, washed", "cu yd", "46.00"],
        ]
    )
    assert proposed_reading(table).columns == ("code", "title", "unit", "unit_price")


def test_reading_without_a_price_or_with_one_thing_twice_is_refused() -> None:
    with pytest.raises(BadValue, match="which column holds the price"):
        tried(("a", "b", "c", "d"), columns=("code", "title", "unit", ""))
    with pytest.raises(BadValue, match="Two columns"):
        tried(("a", "b", "c", "d"), columns=("code", "title", "title", "unit_price"))
