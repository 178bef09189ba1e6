"""What one device made in a row: each change after the one before, as the entries of the record name it."""

from collections.abc import Collection
from uuid import UUID

import msgspec
from sqlalchemy import Connection, bindparam, func, select

from app.db.tables.office import RECORD

_LINK = select(RECORD.c.seq, RECORD.c.id, RECORD.c.body).where(RECORD.c.id == bindparam("in_id"))


class _Follows(msgspec.Struct):
    """Of a change's body only what it was made after."""

    follows: str | None = None


def chain(connection: Connection, newest: UUID | None, among: Collection[str]) -> set[str]:
    """Which entries of `among` a device made in the chain that ends with `newest`."""
    found: set[str] = set()
    if newest is None or not among:
        return found
    oldest = connection.execute(select(func.min(RECORD.c.seq)).where(RECORD.c.id.in_(among))).scalar_one() or 0
    following: str | None = str(newest)
    while following is not None and len(found) < len(among):
        row = connection.execute(_LINK, {"in_id": following}).one_or_none()
        if row is None or row.seq < oldest:
            break
        found |= {row.id} & set(among)
        following = msgspec.json.decode(row.body, type=_Follows).follows
    return found
