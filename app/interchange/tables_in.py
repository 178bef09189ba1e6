"""A CSV or XLSX file, read by what it is and not by its name, into rows of text. Hostile files end in a sentence.

Runs in the worker: whatever gets past the bounds here is stopped there, by memory or by time.
"""

import csv
import math
import warnings
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from io import BytesIO, StringIO
from typing import Any
from zipfile import BadZipFile, ZipFile

from app.domain.errors import BadValue
from app.domain.pricebook import Table, table_of
from app.interchange.cells_out import as_written

LARGEST = 12_000_000  # bytes of a file
LARGEST_UNPACKED = 120_000_000  # bytes of a workbook's parts together
MOST_TIMES = 400  # a part may grow by when unpacked
MOST_PARTS = 500
MOST_ROWS, MOST_COLUMNS, LONGEST_CELL = 20_000, 60, 4_000
MOST_BLANK = 1_000  # blank rows between two that hold something
TOLD_EVERY = 500  # rows between two words of progress
DELIMITERS = ",;\t|"
NO_TABLE = (
    (
        b"\xd0\xcf\x11\xe0",
        "This is a workbook of the old kind (.xls), or one locked with a password. Save it as .xlsx.",
    ),
    (b"%PDF", "This is a PDF. Ask for the list as a spreadsheet, or copy its table into one."),
    (b"\x1f\x8b", "This is a packed file. Unpack it first."),
    (b"{", "This does not read as a table. Send a CSV or XLSX file."),
    (b"<", "This is a web page or an XML file, not a table. Save it as .xlsx or .csv."),
)


def read_table(content: bytes, tell: Any = lambda _share, _words: None) -> Table:
    """The first table of a file that has rows. Raises: BadValue with what it is instead, or what is wrong with it."""
    if not content.strip():
        raise BadValue("The file is empty.", field="file")
    if len(content) > LARGEST:
        raise BadValue(f"The file has {len(content) / 1e6:,.0f} MB; {LARGEST / 1e6:.0f} MB can be read.", field="file")
    try:
        if content.startswith(b"PK"):
            return _of_workbook(content, tell)
        return _of_text(content, tell)
    except BadValue as wrong:
        wrong.field = wrong.field or "file"
        raise


def _of_workbook(content: bytes, tell: Any) -> Table:
    _check_parts(content)
    from openpyxl.reader.excel import load_workbook

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the library does not know of a workbook is none of the cells
            book = load_workbook(BytesIO(content), read_only=True, data_only=True, keep_links=False)
            return _of_first_sheet(book, tell)
    except (BadValue, MemoryError):
        raise
    except Exception as wrong:  # the library meets hostile XML with whatever error it likes
        raise BadValue(
            "This workbook cannot be read: it is broken, or not a real .xlsx file. Open it and save it anew."
        ) from wrong


def _of_first_sheet(book: Any, tell: Any) -> Table:
    """The first sheet that has rows; hidden ones only where there is no other."""
    sheets = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"] or list(book.worksheets)
    for sheet in sheets:
        sheet.reset_dimensions()  # what a file says of its size is not believed
        rows = _rows_of_sheet(sheet, tell)
        if sum(1 for row in rows if any(row)) > 1:
            others = [one.title for one in sheets if one is not sheet]
            said = f"Read from the sheet “{sheet.title}”; not from {', '.join(others)}." if others else ""
            return table_of(rows, [said] if said else [])
    raise BadValue("The workbook has no rows below a heading.")


def _check_parts(content: bytes) -> None:
    """Refuse what unpacks to far more than it is, before anything is unpacked."""
    try:
        with ZipFile(BytesIO(content)) as packed:
            parts = packed.infolist()
    except (BadZipFile, NotImplementedError, ValueError, OSError) as wrong:
        raise BadValue("This file is broken: it ends early or was damaged. Send it again.") from wrong
    if not any(one.filename == "[Content_Types].xml" for one in parts):
        raise BadValue("This is a packed folder, not a workbook. Unpack it and send the list itself.")
    if any(one.flag_bits & 1 for one in parts):
        raise BadValue("This workbook is locked with a password. Save it without one.")
    unpacked = sum(one.file_size for one in parts)
    grown = max((one.file_size / max(one.compress_size, 1) for one in parts if one.file_size > 1_000_000), default=1)
    if len(parts) > MOST_PARTS or unpacked > LARGEST_UNPACKED or grown > MOST_TIMES:
        raise BadValue(
            f"This workbook unpacks to {unpacked / 1e6:,.0f} MB from {len(content) / 1e6:,.1f} MB. "
            "That is no price list, and it was not opened."
        )


def _rows_of_sheet(sheet: Any, tell: Any) -> list[list[str]]:
    rows: list[list[str]] = []
    filled = 0
    for number, cells in enumerate(sheet.iter_rows(values_only=True), start=1):
        _bound(number, len(cells), cells)
        rows.append([_text_of(cell, number) for cell in cells])
        filled = number if any(rows[-1]) else filled
        if number - filled > MOST_BLANK:
            break  # rows that were only formatted
        if number % TOLD_EVERY == 0:
            tell(min(0.95, number / 5_000), f"Row {number:,} read")
    return rows[:filled]


def _text_of(cell: Any, number: int) -> str:
    """A cell of a workbook as text: a day as 2026-05-14, a figure with no more digits than a spreadsheet keeps."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return _figure(cell)
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    return _bounded(str(cell), number)


def _figure(value: float) -> str:
    if not math.isfinite(value):
        return "a number too large"
    plain = f"{value:.15g}"
    return plain if "e" not in plain else f"{value:.10f}".rstrip("0").rstrip(".")


def _of_text(content: bytes, tell: Any) -> Table:
    for start, sentence in NO_TABLE:
        if content.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(start):
            raise BadValue(sentence)
    text, notes = _decoded(content)
    delimiter = _delimiter(text)
    rows: list[list[str]] = []
    try:
        for number, cells in enumerate(
            csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True), start=1
        ):
            _bound(number, len(cells), cells)
            rows.append([_bounded(cell, number) for cell in cells])
            if number % TOLD_EVERY == 0:
                tell(0.5, f"Row {number:,} read")
    except csv.Error as wrong:
        raise BadValue(
            f"Row {len(rows) + 1} cannot be read: a quotation mark is open, or stands astray ({wrong})."
        ) from wrong
    return table_of(rows, notes)


def _decoded(content: bytes) -> tuple[str, list[str]]:
    """The text and what is to be known of its letters. Raises: BadValue for what is no text."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _strictly(content, "utf-16"), []
    if b"\x00" in content:
        raise BadValue("This is no text and no workbook: it holds bytes that no list has. Send a CSV or XLSX file.")
    try:
        return content.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        note = "Its letters are not UTF-8; they were read as Windows letters. See that names with accents are right."
        return _strictly(content, "cp1252"), [note]


def _strictly(content: bytes, encoding: str) -> str:
    try:
        return content.decode(encoding)
    except UnicodeDecodeError as wrong:
        raise BadValue("Its letters cannot be read. Save the list as CSV in UTF-8, or as .xlsx.") from wrong


def _delimiter(text: str) -> str:
    """What parts the cells: of the usual signs the one that most of the first lines have equally often."""
    lines = [line for line in text.splitlines()[:60] if line.strip()]

    def steady(sign: str) -> tuple[int, int]:
        counts = [line.count(sign) for line in lines if line.count(sign)]
        common = max(set(counts), key=counts.count) if counts else 0
        return counts.count(common) if common else 0, common

    return max(DELIMITERS, key=steady)


def _bound(number: int, columns: int, cells: Sequence[Any]) -> None:
    if number > MOST_ROWS:
        raise BadValue(f"The list has more than {MOST_ROWS:,} rows. Split it into two files.")
    if columns > MOST_COLUMNS and any(_beyond(cells)):
        raise BadValue(f"Row {number} has {columns:,} cells; a price list of up to {MOST_COLUMNS} columns can be read.")


def _beyond(cells: Sequence[Any]) -> Iterator[Any]:
    return (cell for cell in cells[MOST_COLUMNS:] if cell not in (None, ""))


def _bounded(text: str, number: int) -> str:
    if len(text) > LONGEST_CELL:
        raise BadValue(f"A cell of row {number} holds {len(text):,} characters; {LONGEST_CELL:,} can be read.")
    return as_written(text)
