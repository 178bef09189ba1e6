"""What the firm has of its own in book, library and settings; and read again after changes: the rows that changed."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from app.db.repositories import record
from app.db.repositories.record import Mark, Since
from app.db.repositories.things import read_thing, read_things
from app.db.tables.things import FIRM_THINGS

Own = Mapping[str, Mapping[str, Any]]  # values by kind, then by key, in the order of their keys


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRows:
    """The firm's own things, and the newest entry of the record about them. A kind nothing was done to is the same."""

    own: Own
    mark: Mark | None


def read_book(
    connection: Connection, firm_id: str, known: BookRows | None = None, since: Since | None = None
) -> BookRows:
    """The firm's own things. Of what was `known` of them only what was edited `since` is read, where that is known."""
    if known is None or since is None:
        whole = {
            kind: {row.thing_id: row.value() for row in read_things(connection, firm_id, kind)} for kind in FIRM_THINGS
        }
        return BookRows(own=whole, mark=record.mark(connection, None))
    if since.mark == known.mark:
        return known
    edited = [(kind, key) for kind, key in since.edited if kind in FIRM_THINGS]
    own = {kind: dict(known.own[kind]) for kind, _ in edited}
    for kind, key in edited:
        row = read_thing(connection, firm_id, kind, key)
        if row is None:
            own[kind].pop(key, None)
        else:
            own[kind][key] = row.value()
    return _with(known, own, since.mark)


def book_after(known: BookRows, edited: Mapping[tuple[str, str], Any], mark: Mark | None) -> BookRows:
    """What is known with things edited since (None: gone), as who wrote them knows them: nothing is read again."""
    own = {kind: dict(known.own[kind]) for kind, _ in edited}
    for (kind, key), value in edited.items():
        if value is None:
            own[kind].pop(key, None)
        else:
            own[kind][key] = value
    return _with(known, own, mark)


def _with(known: BookRows, own: Mapping[str, dict[str, Any]], mark: Mark | None) -> BookRows:
    in_order = {kind: dict(sorted(values.items())) for kind, values in own.items()}
    return BookRows(own={**known.own, **in_order} if own else known.own, mark=mark)
