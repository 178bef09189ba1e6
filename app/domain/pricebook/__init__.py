"""A supplier's price list against the price book: its columns, its cells, its rows, and what it would change."""

from app.domain.pricebook.book import Book, Listed, book_of
from app.domain.pricebook.columns import COLUMNS, proposed_columns
from app.domain.pricebook.deciding import DryRun, dry_run
from app.domain.pricebook.reading import Reading, proposed_reading
from app.domain.pricebook.rows import Choice, Row, Verdict
from app.domain.pricebook.table import Line, Table, table_of

__all__ = [
    "COLUMNS",
    "Book",
    "Choice",
    "DryRun",
    "Line",
    "Listed",
    "Reading",
    "Row",
    "Table",
    "Verdict",
    "book_of",
    "dry_run",
    "proposed_columns",
    "proposed_reading",
    "table_of",
]
