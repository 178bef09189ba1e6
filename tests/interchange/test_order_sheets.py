"""Order lists as table and text: what a supplier reads is what is ordered, and a spreadsheet runs nothing."""

import csv
from dataclasses import replace
from datetime import date
from io import StringIO

import pytest

from app.domain.orders import OrderKind, OrderLine, OrderList
from app.interchange.order_sheets import HEAD, bought_words, heading, notes_of, order_csv, order_text

PAVERS = OrderLine(
    material="cobble",
    title="Small paver",
    unit="each",
    wanted=837.12,
    bought=900,
    kept=15.36,
    packs=9,
    pack_name="pallet",
    loads=2,
    one_batch=True,
    lead_days=14,
    order_by=date(2027, 4, 26),
    zones=("A", "B"),
    note="pays late",
)
STONE = replace(
    PAVERS, title="Crushed stone", unit="ton", bought=13, wanted=12.4, kept=0, packs=13, pack_name="", loads=1
)
YARD = OrderList(
    kind=OrderKind.MATERIALS,
    supplier="yard",
    supplier_title="Wren Hollow Stone",
    phone="555 0117",
    phase_id="1",
    phase_number=1,
    phase_title="Terrace",
    start=date(2027, 5, 10),
    lines=(PAVERS, STONE),
)


def test_packs_are_said_first_and_what_comes_loose_always_has_its_unit():
    assert bought_words(PAVERS) == "9 × pallet, 900 in all"
    assert bought_words(STONE) == "13 tons"
    assert bought_words(replace(PAVERS, packs=0, pack_name="", bought=12)) == "12 each"


def test_notes_say_loads_batch_and_what_is_kept_in_whole_pieces():
    assert notes_of(PAVERS) == ("2 loads", "all from one batch", "of it 16 kept with the client")
    assert notes_of(replace(STONE, one_batch=False)) == ("1 load",)


def test_heading_says_when_no_day_is_set():
    assert heading(YARD) == "Phase 1 Terrace, starts May 10, 2027"
    assert heading(replace(YARD, start=None, phase_number=0, phase_title="")) == "No phase, no start day yet"


def test_table_has_one_row_a_line_and_no_note_of_ours():
    rows = list(csv.reader(StringIO(order_csv([YARD]))))
    assert rows[0] == list(HEAD)
    row = dict(zip(rows[0], rows[1], strict=True))
    assert (row["Supplier"], row["Order"], row["Packs"], row["Order by"]) == (
        "Wren Hollow Stone",
        "900",
        "9",
        "2027-04-26",
    )
    assert len(rows) == 3
    assert "pays late" not in order_csv([YARD])


@pytest.mark.parametrize("title", ["=1+1", "+cmd", "-2+3", "@sum(a1)"])
def test_spreadsheet_runs_no_cell(title):
    assert f"'{title}" in order_csv([replace(YARD, lines=(replace(PAVERS, title=title),))])


def test_text_reads_line_by_line_without_note_of_ours():
    text = order_text([YARD, replace(YARD, supplier="", supplier_title="", phone="")], "Back yard")
    assert text.startswith(
        "Back yard\n\nMaterials: Wren Hollow Stone, 555 0117\nPhase 1 Terrace, starts May 10, 2027\n- 9 ×"
    )
    assert "Materials: No supplier yet" in text
    assert "pays late" not in text
