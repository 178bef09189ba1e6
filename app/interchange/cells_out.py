"""Cells that leave for a spreadsheet: a text that it would run as a formula is written so that it stays a text.

Source: OWASP, "CSV Injection": what begins with =, +, -, @, tab, carriage return or line feed (and their full-width
forms) is prefixed with an apostrophe. What is brought in again loses that apostrophe, so nothing is changed by it.
"""

import csv
import re
from collections.abc import Iterable, Sequence
from io import StringIO

STARTS = "=+\\-@\t\r\n＝＋－＠"
_RUNS = re.compile(f"'*[{STARTS}]")
_KEPT_FROM_RUNNING = re.compile(f"''*[{STARTS}]")


def safe_cell(cell: object) -> object:
    """A cell as it may be written; numbers and days stay what they are.

    >>> safe_cell("=1+1"), safe_cell("paver"), safe_cell(4)
    ("'=1+1", 'paver', 4)
    """
    return f"'{cell}" if isinstance(cell, str) and _RUNS.match(cell) else cell


def as_written(cell: str) -> str:
    """A text that came back, without the apostrophe that `safe_cell` gave it.

    >>> as_written("'=1+1"), as_written("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if _KEPT_FROM_RUNNING.match(cell) else cell


def csv_table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """A table as CSV (RFC 4180), safe to open; a byte order mark tells spreadsheets that it is UTF-8."""
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(head)
    for row in rows:
        writer.writerow([safe_cell(cell) for cell in row])
    return out.getvalue().encode("utf-8-sig")
