"""The worker's task for a price list: its bytes, or its table with a reading, and the book in; every verdict out.

One process does all of it: reading a file and holding it against the book take less time than starting another.
"""

from dataclasses import dataclass
from typing import Any

import msgspec

from app.domain.codec import from_plain, to_plain
from app.domain.errors import BadValue
from app.domain.pricebook import Book, DryRun, Reading, Table, dry_run, proposed_reading
from app.interchange.tables_in import read_table

HALF = 0.5  # of the progress is reading, the rest comparing


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the task found. Without a run, `sentence` says beside `field` why the list cannot be read so."""

    table: Table
    reading: Reading
    run: DryRun | None = None
    sentence: str = ""
    field: str = ""


def list_payload(content: bytes | Table, reading: Reading | None, book: Book) -> dict[str, Any]:
    """What the task is given, as plain values: a file, or what was read of it before."""
    known = content if isinstance(content, bytes) else to_plain(content)
    return {"content": known, "reading": to_plain(reading), "book": to_plain(book)}


def list_task(payload: Any, tell: Any) -> bytes:
    """Read a list and try it out."""
    tell(0.0, "Opening the file")
    content = payload["content"]
    fresh = isinstance(content, bytes)
    table = read_table(content, lambda share, words: tell(share * HALF, words)) if fresh else from_plain(content, Table)
    reading = from_plain(payload["reading"], Reading) if payload["reading"] else proposed_reading(table)

    def told(share: float) -> None:
        tell(HALF + share * HALF, f"{round(share * len(table.lines)):,} rows compared")

    try:
        run = dry_run(table, reading, from_plain(payload["book"], Book), told)
    except BadValue as wrong:
        return msgspec.json.encode(Answer(table=table, reading=reading, sentence=wrong.sentence, field=wrong.field))
    return msgspec.json.encode(Answer(table=table, reading=reading, run=run))


def answer_of(content: bytes) -> Answer:
    """What the task found."""
    return msgspec.json.decode(content, type=Answer)
