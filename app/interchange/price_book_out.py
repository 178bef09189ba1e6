"""The price book as CSV and as XLSX, with headings that are known again when it is brought back in."""

import csv
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any

from app.domain.basis import Basis, Price
from app.domain.units import TRADE_UNITS
from app.interchange.cells_out import safe_cell

HEAD = (
    "Our key",
    "Description",
    "What it is for",
    "Unit",
    "Price",
    "Supplier",
    "Their code",
    "Priced on",
    "Good until",
    "Units in a pack",
    "Pack name",
    "Smallest order",
    "Batch",
    "Delivery, a load",
    "Rate of an hour",
    "Rate of half a day",
    "Rate of a day",
    "Rate of a week",
    "Rate of a month",
    "Pick-up, a hire",
    "Fuel",
    "Fuel, a machine hour",
    "Tipping fee",
    "What tipping goes by",
    "Least tipping, a load",
    "A small order is below",
    "Charge for a small order",
    "Units on a pallet",
    "Deposit for a pallet",
    "Pallets that do not come back %",
    "May be lower by %",
    "May be higher by %",
    "Note",
)
WIDE = {"Our key": 24, "Description": 44, "What it is for": 20, "Supplier": 24, "Their code": 16, "Note": 40}
USUAL_WIDTH = 12
Cells = Sequence[object]
EXAMPLE: tuple[Cells, ...] = (
    ("Item no.", "Description", "Unit", "Price", "Valid until", "Per pallet"),
    ("AF-2041", "Clay paver, dark, 4 × 8", "M", "912.00", "2027-12-31", 480),
    ("AF-3300", "Crushed stone, 3/4 in", "ton", "31.50", "2027-12-31", ""),
    ("AF-3310", "Pea stone", "cu yd", "46.00", "2027-12-31", ""),
    ("AF-7002", "Jointing sand, 50 lb", "bag", "11.85", "2027-12-31", 49),
)


def book_rows(basis: Basis) -> Iterator[Cells]:
    """Heading and one row a material, those without a price too: they can be filled in and brought back."""
    yield HEAD
    titles = {key: one.title for key, one in basis.suppliers.items()}
    for key, material in sorted(basis.materials.items(), key=lambda one: (one[1].role, one[1].title, one[0])):
        price = basis.prices.get(key)
        unit = TRADE_UNITS.get(material.buy)
        start = (key, material.title, material.role, unit.one if unit else material.buy)
        yield (*start, *(_price_cells(price, titles) if price else ("",) * (len(HEAD) - len(start))))


def _price_cells(price: Price, suppliers: Mapping[str, str]) -> Cells:
    return (
        price.unit_price,
        suppliers.get(price.supplier, ""),
        price.code,
        price.priced_on or "",
        price.valid_until or "",
        price.pack,
        price.pack_name,
        price.least or "",
        price.batch,
        price.delivery_cents / 100 or "",
        price.hour_cents / 100 or "",
        price.half_day_cents / 100 or "",
        price.day_cents / 100 or "",
        price.week_cents / 100 or "",
        price.month_cents / 100 or "",
        price.pickup_cents / 100 or "",
        price.fuel,
        price.fuel_cents / 100 or "",
        price.tip_cents / 100 or "",
        price.tip_per,
        price.tip_least_cents / 100 or "",
        price.small_below or "",
        price.small_cents / 100 or "",
        price.pallet or "",
        price.deposit_cents / 100 or "",
        _percent(price.deposit_lost),
        _percent(-price.low),
        _percent(price.high),
        price.note,
    )


def _percent(share: float) -> object:
    return float(f"{share * 100:.12g}") or ""


def rows_csv(rows: Iterator[Cells] | Sequence[Cells]) -> bytes:
    """Rows as CSV that any spreadsheet opens: UTF-8 with its mark, cells kept from running."""
    out = StringIO()
    writer = csv.writer(out)
    for row in rows:
        writer.writerow([safe_cell(_written(cell)) for cell in row])
    return out.getvalue().encode("utf-8-sig")


def _written(cell: object) -> object:
    """A figure with all its digits and never with an exponent."""
    return f"{Decimal(str(cell)):f}" if isinstance(cell, float | Decimal) else cell


def book_payload(basis: Basis) -> list[list[object]]:
    """What the worker is given to write a workbook: rows of plain cells; a day is `{"day": …}`."""
    return [[_plain(cell) for cell in row] for row in book_rows(basis)]


def _plain(cell: object) -> object:
    if isinstance(cell, date):
        return {"day": cell.isoformat()}
    return cell if isinstance(cell, str | int | float) else float(str(cell))


def book_task(payload: Any, tell: Any) -> bytes:
    """The worker's task: rows in, the bytes of a workbook out."""
    from openpyxl.cell.cell import WriteOnlyCell
    from openpyxl.utils.cell import get_column_letter
    from openpyxl.workbook.workbook import Workbook

    tell(0.0, "Writing the price book")
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Price book")
    sheet.freeze_panes = "A2"
    for at, heading in enumerate(HEAD, start=1):
        sheet.column_dimensions[get_column_letter(at)].width = WIDE.get(heading, USUAL_WIDTH)
    for row in payload:
        sheet.append([_cell(sheet, cell, WriteOnlyCell) for cell in row])
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def _cell(sheet: Any, cell: Any, kind: Any) -> Any:
    """A cell of the workbook; a text is never a formula, whatever it begins with."""
    if isinstance(cell, dict):
        return date.fromisoformat(cell["day"])
    if not isinstance(cell, str):
        return cell
    text = kind(sheet, value=safe_cell(_writable(cell)))
    text.data_type = "s"
    return text


def _writable(text: str) -> str:
    """Without the signs that a workbook cannot hold."""
    return "".join(sign for sign in text if sign >= " " or sign in "\t\n\r")


def example_csv() -> bytes:
    """A price list of invented goods, to see how one may look."""
    return rows_csv(EXAMPLE)
