"""The record: an append-only chain of hashes over every change, and the counters that say how new a job is."""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any
from uuid import UUID

import msgspec
from sqlalchemy import Connection, bindparam, desc, func, insert, select

from app.db.tables.office import COUNTER, DEVICE_EPOCH, RECORD, RECORD_EDIT
from app.domain.change import Change, Edit, Past
from app.domain.codec import canonical_bytes, from_plain, to_plain

START = "0" * 64


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the record as read."""

    seq: int
    id: str
    kind: str
    body: str
    answer: dict[str, Any]
    who: str
    at: str
    what: str
    undoes: str | None

    def change(self) -> Change:
        """The change this entry holds."""
        return from_plain(msgspec.json.decode(self.body), Change)


def epoch(connection: Connection) -> int:
    """The database's epoch: raised by every restore."""
    return connection.execute(select(func.max(DEVICE_EPOCH.c.number))).scalar_one() or 1


def head(connection: Connection) -> str:
    """The hash of the newest entry: printed in each signed copy and kept in each backup."""
    return connection.execute(select(RECORD.c.hash).order_by(desc(RECORD.c.seq)).limit(1)).scalar_one_or_none() or START


def find(connection: Connection, entry_id: str) -> Entry | None:
    """The entry with this id, or None."""
    row = connection.execute(select(RECORD).where(RECORD.c.id == entry_id)).one_or_none()
    return None if row is None else _entry(row)


def append(
    connection: Connection,
    *,
    firm_id: str,
    kind: str,
    change: Change,
    answer: dict[str, Any],
    versions: Sequence[int] = (),
) -> str:
    """Add an entry to the chain and return its hash. `versions` are those of the edited things afterwards."""
    body = canonical_bytes(to_plain(change))
    content = sha256(body).hexdigest()
    previous = head(connection)
    own = sha256((previous + content).encode()).hexdigest()
    made = connection.execute(
        insert(RECORD).values(
            id=str(change.id),
            firm_id=firm_id,
            job_id=str(change.job_id) if change.job_id else None,
            epoch=epoch(connection),
            kind=kind,
            who=change.who,
            at=change.when.isoformat(),
            what=change.what,
            undoes=str(change.undoes) if change.undoes else None,
            body=body.decode(),
            content_hash=content,
            previous_hash=previous,
            hash=own,
            answer=canonical_bytes(answer).decode(),
        )
    )
    seq = made.inserted_primary_key[0] if made.inserted_primary_key else 0
    rows = [
        {"seq": seq, "position": at, "kind": edit.kind, "thing_id": edit.thing_id, "version": version}
        for at, (edit, version) in enumerate(zip(change.edits, versions, strict=True))
    ]
    if rows:
        connection.execute(insert(RECORD_EDIT), rows)
    return own


def last_version(connection: Connection, kind: str, thing_id: str) -> int:
    """The highest version a thing ever had; 0 for one that never was."""
    query = select(func.max(RECORD_EDIT.c.version)).where(
        RECORD_EDIT.c.kind == kind, RECORD_EDIT.c.thing_id == thing_id
    )
    return connection.execute(query).scalar_one() or 0


def past_since(connection: Connection, kind: str, thing_id: str, version: int) -> list[Past]:
    """What happened to a thing after a version, oldest first; a change and its undo cancel out."""
    query = (
        select(RECORD.c.body, RECORD.c.id, RECORD.c.undoes, RECORD_EDIT.c.version, RECORD_EDIT.c.position)
        .join(RECORD_EDIT, RECORD_EDIT.c.seq == RECORD.c.seq)
        .where(RECORD_EDIT.c.kind == kind, RECORD_EDIT.c.thing_id == thing_id, RECORD_EDIT.c.version > version)
        .order_by(RECORD_EDIT.c.version)
    )
    rows = list(connection.execute(query))
    ids = {row.id for row in rows}
    gone = {row.undoes for row in rows if row.undoes in ids} | {row.id for row in rows if row.undoes in ids}
    found = []
    for row in rows:
        if row.id not in gone:
            edit: Edit = from_plain(msgspec.json.decode(row.body), Change).edits[row.position]
            found.append(Past(version=row.version, change_id=UUID(row.id), before=edit.before))
    return found


def newest_of(connection: Connection, job_id: str | None, who: str, *, limit: int = 50) -> list[Entry]:
    """The newest changes a person made to a job (or to the firm), newest first."""
    place = RECORD.c.job_id.is_(None) if job_id is None else RECORD.c.job_id == job_id
    query = select(RECORD).where(place, RECORD.c.who == who).order_by(desc(RECORD.c.seq)).limit(limit)
    return [_entry(row) for row in connection.execute(query)]


def history(connection: Connection, job_id: str, *, limit: int = 200, before: int | None = None) -> list[Entry]:
    """Everything that happened to a job, newest first; of a long one, what came before an entry."""
    query = select(RECORD).where(RECORD.c.job_id == job_id).order_by(desc(RECORD.c.seq)).limit(limit)
    if before is not None:
        query = query.where(RECORD.c.seq < before)
    return [_entry(row) for row in connection.execute(query)]


def verify(connection: Connection) -> str | None:
    """Walk the chain; None when every link holds, else a sentence that names the first broken one."""
    previous = START
    for row in connection.execute(select(RECORD).order_by(RECORD.c.seq)):
        content = sha256(row.body.encode()).hexdigest()
        own = sha256((previous + content).encode()).hexdigest()
        if (content, previous, own) != (row.content_hash, row.previous_hash, row.hash):
            return f"The record is broken at entry {row.seq} ({row.what or row.kind}, {row.at})."
        previous = own
    return None


def counter(connection: Connection, scope: str) -> int:
    """How often something in this scope has changed."""
    return connection.execute(_COUNT, {"in_scope": scope}).scalar_one_or_none() or 0


_COUNT = select(COUNTER.c.value).where(COUNTER.c.scope == bindparam("in_scope"))


def raise_counter(connection: Connection, scope: str) -> int:
    """Count one more change of this scope."""
    now = counter(connection, scope) + 1
    changed = connection.execute(COUNTER.update().where(COUNTER.c.scope == scope).values(value=now))
    if not changed.rowcount:
        connection.execute(insert(COUNTER).values(scope=scope, value=now))
    return now


def _entry(row: Any) -> Entry:
    return Entry(
        seq=row.seq,
        id=row.id,
        kind=row.kind,
        body=row.body,
        answer=msgspec.json.decode(row.answer),
        who=row.who,
        at=row.at,
        what=row.what,
        undoes=row.undoes,
    )


def firm_changes_since(connection: Connection, firm_id: str, job_id: str) -> list[Entry]:
    """What was changed in the firm's book, library and settings after a job's newest entry, newest first."""
    newest = select(func.max(RECORD.c.seq)).where(RECORD.c.job_id == job_id).scalar_subquery()
    query = select(RECORD).where(RECORD.c.firm_id == firm_id, RECORD.c.job_id.is_(None), RECORD.c.seq > newest)
    return [_entry(row) for row in connection.execute(query.order_by(desc(RECORD.c.seq)))]


def last_at(connection: Connection, job_id: str) -> str:
    """When a job was last changed, ISO in UTC."""
    query = select(RECORD.c.at).where(RECORD.c.job_id == job_id).order_by(desc(RECORD.c.seq)).limit(1)
    return connection.execute(query).scalar_one_or_none() or ""
