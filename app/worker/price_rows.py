"""The worker's task that tries out a price list: table, reading and price book in, every row with its verdict out."""

from typing import Any

import msgspec

from app.domain.codec import from_plain, to_plain
from app.domain.pricebook import Book, DryRun, Reading, Table, dry_run


def dry_run_payload(table: Table, reading: Reading, book: Book) -> dict[str, Any]:
    """What the task is given, as plain values."""
    return {"table": to_plain(table), "reading": to_plain(reading), "book": to_plain(book)}


def dry_run_task(payload: Any, tell: Any) -> bytes:
    """Try the list out."""
    table = from_plain(payload["table"], Table)
    reading, book = from_plain(payload["reading"], Reading), from_plain(payload["book"], Book)
    found = dry_run(
        table, reading, book, lambda share: tell(share, f"{round(share * len(table.lines)):,} rows compared")
    )
    return msgspec.json.encode(found)


def dry_run_of(content: bytes) -> DryRun:
    """What the task found."""
    return msgspec.json.decode(content, type=DryRun)
