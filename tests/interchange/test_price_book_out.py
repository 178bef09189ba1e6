"""The price book taken out and brought back in: nothing has changed. Cells that a spreadsheet would run do not run."""

import csv
from datetime import date
from decimal import Decimal
from io import BytesIO, StringIO

import openpyxl
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import Basis, Material, Price, Supplier
from app.domain.pricebook import Verdict, book_of, dry_run, proposed_reading
from app.interchange.price_book_out import book_payload, book_rows, book_task, example_csv, rows_csv
from app.interchange.tables_in import read_table
from app.worker import run_now

WORDS = st.text(st.characters(blacklist_categories=("Cs", "Cc"), max_codepoint=0x2000), min_size=1, max_size=24).filter(
    lambda one: one.strip()
)
HOSTILE = st.sampled_from(
    ["=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", "'=1", '=HYPERLINK("x")', 'a"b', "a;b,c", "'+"]
)
SHARES = st.integers(0, 60).map(lambda percent: percent / 100)
DAYS = st.none() | st.dates(date(2020, 1, 1), date(2030, 1, 1))
PRICES = st.builds(
    dict,
    unit_price=st.decimals(min_value=Decimal("0.0001"), max_value=90_000, places=4),
    supplier=st.sampled_from(["", "ferry", "mill"]),
    code=HOSTILE | WORDS | st.just(""),
    pack=st.sampled_from([1.0, 480.0, 0.3, 12.5]),
    pack_name=WORDS | st.just(""),
    least=st.sampled_from([0.0, 5.0, 0.25]),
    batch=st.sampled_from(["", "one batch"]),
    priced_on=DAYS,
    valid_until=DAYS,
    low=SHARES.map(lambda share: -share if share else 0.0),
    high=SHARES,
    delivery_cents=st.integers(0, 99_999),
    hour_cents=st.integers(0, 99_999),
    half_day_cents=st.integers(0, 99_999),
    day_cents=st.integers(0, 99_999),
    week_cents=st.integers(0, 999_999),
    month_cents=st.integers(0, 9_999_999),
    pickup_cents=st.integers(0, 99_999),
    fuel=st.sampled_from(["", "in the rate", "ours", "none"]),
    fuel_cents=st.integers(0, 9_999),
    tip_cents=st.integers(0, 99_999),
    tip_per=st.sampled_from(["", "ton", "yard", "load"]),
    tip_least_cents=st.integers(0, 99_999),
    small_below=st.sampled_from([0.0, 10.0, 0.25]),
    small_cents=st.integers(0, 99_999),
    pallet=st.sampled_from([0.0, 480.0, 1.5]),
    deposit_cents=st.integers(0, 9_999),
    deposit_lost=SHARES,
    note=HOSTILE | WORDS | st.just(""),
)
UNITS = st.sampled_from(["each", "ton", "foot**2", "yard**3", "bag", "day", "gallon", "inch", "pallet"])


@st.composite
def books(draw) -> Basis:
    keys = draw(
        st.lists(st.from_regex(r"[a-z]{1,8}(-[a-z0-9]{1,4})?", fullmatch=True), min_size=1, max_size=8, unique=True)
    )
    materials = {key: Material(key=key, title=draw(HOSTILE | WORDS), role="finish", buy=draw(UNITS)) for key in keys}
    prices = {key: Price(material=key, **draw(PRICES)) for key in keys if draw(st.booleans())}
    suppliers = {
        key: Supplier(key=key, title=title) for key, title in (("ferry", "=Alder Ferry Stone"), ("mill", "Mill Race"))
    }
    return Basis(materials=materials, prices=prices, suppliers=suppliers)


def come_back(basis: Basis, content: bytes) -> set[Verdict]:
    table = read_table(content)
    run = dry_run(table, proposed_reading(table), book_of(basis, date(2027, 3, 9)))
    assert len(run.rows) == len(basis.materials)
    return {row.verdict for row in run.rows}


@given(books())
@settings(max_examples=50)
def test_book_taken_out_and_brought_in_changes_nothing(basis: Basis) -> None:
    assert come_back(basis, rows_csv(book_rows(basis))) == {Verdict.SAME}
    assert come_back(basis, book_task(book_payload(basis), lambda _share, _words: None)) == {Verdict.SAME}


@given(books())
@settings(max_examples=30)
def test_no_cell_that_leaves_would_run(basis: Basis) -> None:
    for row in csv.reader(StringIO(rows_csv(book_rows(basis)).decode("utf-8-sig"))):
        assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")) for cell in row)
    book = openpyxl.load_workbook(BytesIO(book_task(book_payload(basis), lambda _share, _words: None)))
    for row in book.active.iter_rows():
        for cell in row:
            assert cell.data_type != "f"
            assert not str(cell.value or "").startswith(("=", "+", "@"))


def test_the_worker_writes_a_workbook() -> None:
    basis = Basis(materials={"pea": Material(key="pea", title="Pea stone", role="finish", buy="ton")})
    book = openpyxl.load_workbook(BytesIO(run_now("book file", book_payload(basis))))
    assert [cell.value for cell in book.active[2]][:4] == ["pea", "Pea stone", "finish", "ton"]


def test_example_reads_as_a_price_list() -> None:
    reading = proposed_reading(read_table(example_csv()))
    assert reading.columns == ("code", "title", "unit", "unit_price", "valid_until", "pack")
