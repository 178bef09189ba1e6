"""A small price book, and price lists against it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from app.domain.basis import Price
from app.domain.pricebook import Book, DryRun, Listed, Reading, Row, dry_run, proposed_reading, table_of

D = Decimal
BOOK = Book(
    materials={
        "clay-paver": Listed(title="Clay paver, dark", buy="each"),
        "stone-34": Listed(title="Crushed stone, 3/4 in", buy="ton"),
        "pea": Listed(title="Pea stone", buy="yard**3"),
        "sand": Listed(title="Jointing sand", buy="bag"),
        "fabric": Listed(title="Woven fabric", buy="foot**2"),
    },
    prices={
        "clay-paver": Price(material="clay-paver", unit_price=D("0.86"), supplier="ferry", code="AF-1", pack=480.0),
        "stone-34": Price(material="stone-34", unit_price=D(30), supplier="ferry", priced_on=date(2026, 5, 1)),
        "pea": Price(material="pea", unit_price=D(44)),
    },
    suppliers={"ferry": "Alder Ferry Stone", "mill": "Mill Race Supply"},
    today=date(2027, 3, 9),
)


def tried(
    *rows: Sequence[str], head: Sequence[str] = ("Code", "Description", "Unit", "Price"), **more: object
) -> DryRun:
    table = table_of([head, *rows])
    reading: Reading = replace(proposed_reading(table), **{"supplier": "ferry", **more})
    return dry_run(table, reading, BOOK)


def only(run: DryRun) -> Row:
    (row,) = run.rows
    return row
