"""Whether the record holds: its chain, what stands beside each entry, its end; and whether things are as it says.

The chain alone misses a cut end and what no hash covers. So an entry's columns are held against its body, its list of
edits against the edits in it, the newest entry against a counter, and every thing's version against the last edit of
it. A chain forged whole, all hashes made anew, is seen by a head that was kept outside: each backup keeps one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from itertools import groupby
from typing import Any

import msgspec
from sqlalchemy import Connection, and_, func, select

from app.db.repositories import counters, record
from app.db.repositories.emptied import ERASE, ERASED, Emptied, vouched_for
from app.db.repositories.record import START, content_hash
from app.db.tables.office import DEVICE_EPOCH, RECORD, RECORD_EDIT, REVISION_FILE
from app.db.tables.things import TABLES


class _Target(msgspec.Struct):
    kind: str
    thing_id: str


class _Told(msgspec.Struct, kw_only=True):
    """What the body of an entry says of it."""

    id: str
    who: str
    when: datetime
    edits: list[_Target] = []
    job_id: str | None = None
    what: str = ""
    undoes: str | None = None


def verify(connection: Connection) -> str | None:
    """Walk the record; None when all of it holds, else a sentence that names the first entry that does not.

    An entry whose content was erased holds where a later one vouches for it, by both hashes.
    """
    previous, seq = START, 0
    walked = _Walked({}, [], set())
    edits = {key: list(rows) for key, rows in groupby(connection.execute(_EDITS), key=lambda one: one.seq)}
    for row in connection.execute(select(RECORD).order_by(RECORD.c.seq)):
        own = sha256((previous + row.content_hash).encode()).hexdigest()
        if (previous, own) != (row.previous_hash, row.hash) or not _is_as_told(row, edits.pop(row.seq, []), walked):
            return _broken(row)
        previous, seq = own, row.seq
    for emptied, row in walked.emptied:
        if emptied not in walked.vouched:
            return _broken(row)
    if counters.counter(connection, record.NEWEST_ENTRY) > seq or edits:
        return f"The record ends at entry {seq}, and there were more: its end was cut off."
    return None


_EDITS = select(RECORD_EDIT).order_by(RECORD_EDIT.c.seq, RECORD_EDIT.c.position)


@dataclass(frozen=True, slots=True)
class _Walked:
    """What is known on the way: each thing's version, entries without their content, and those vouched for."""

    versions: dict[tuple[str, str], int]
    emptied: list[tuple[Emptied, Any]]
    vouched: set[Emptied]


def _broken(row: Any) -> str:
    return f"The record is broken at entry {row.seq} ({row.what or row.kind}, {row.at})."


def _is_as_told(row: Any, edits: list[Any], walked: _Walked) -> bool:
    """Whether columns and list of edits say what the body says, and every thing's versions go up."""
    try:
        told = msgspec.json.decode(row.body, type=_Told)
    except msgspec.DecodeError:
        return False
    columns = (row.id, row.who, row.at, row.job_id, row.what, row.undoes)
    if columns != (told.id, told.who, told.when.isoformat(), told.job_id, told.what, told.undoes):
        return False
    body = row.body.encode()
    plain = sha256(body).hexdigest()
    wanted = [(at, edit.kind, edit.thing_id) for at, edit in enumerate(told.edits)]
    if row.content_hash not in (content_hash(body, row.kind, row.firm_id, row.epoch, row.answer), plain):
        walked.emptied.append((Emptied(row.id, row.content_hash, plain), row))
    elif row.kind == ERASE:
        walked.vouched.update(vouched_for(row.body))
        if edits:
            return False
    elif [(edit.position, edit.kind, edit.thing_id) for edit in edits] != wanted:
        return False
    return all(_goes_up(edit, walked.versions) for edit in edits)


def _goes_up(edit: Any, versions: dict[tuple[str, str], int]) -> bool:
    key = (edit.kind, edit.thing_id)
    before, versions[key] = versions.get(key, 0), edit.version
    return bool(edit.version == before + 1)


def holds(connection: Connection, entries: int, head: str) -> bool:
    """Whether the record begins with so many entries of which the newest has this hash, kept elsewhere since."""
    if entries == 0:
        return True
    query = select(RECORD.c.hash).order_by(RECORD.c.seq).limit(1).offset(entries - 1)
    return connection.execute(query).scalar_one_or_none() == head


def off_the_record(connection: Connection) -> Iterator[str]:
    """What is kept beside the record and is not as the record says: things, files of revisions, epochs."""
    last = {(row.kind, row.thing_id): row for row in connection.execute(_LAST)}
    for kind, table in TABLES.items():
        query = select(table.c.thing_id, table.c.version, table.c.last_change)
        for row in connection.execute(query):
            said = last.pop((kind, row.thing_id), None)
            if said is None or (said.version, said.id) != (row.version, row.last_change):
                yield f"The {kind} {row.thing_id} was changed without the record, or the record of it is gone."
    for (kind, thing_id), row in last.items():
        if not _was_removed(connection, row):
            yield f"The {kind} {thing_id} is gone, and nothing on the record removed it."
    yield from _other_files(connection)
    epochs = {1} | {one["epoch"] for one in map(msgspec.json.decode, connection.execute(_RESTORES).scalars())}
    if not set(connection.execute(select(DEVICE_EPOCH.c.number)).scalars()) <= epochs:
        yield "An epoch was begun by no restore on the record."


def _other_files(connection: Connection) -> Iterator[str]:
    """Revisions with files that the record does not know of, or without one that it does and that was not erased."""
    told: dict[bool, set[tuple[str, str, str]]] = {False: set(), True: set()}
    for row in connection.execute(_ANSWERS):
        answer = msgspec.json.decode(row.answer)
        told[row.what == ERASED and not row.who] |= {(answer["revision"], *one) for one in answer["files"].items()}
    there = {(row.revision_id, row.role, row.file) for row in connection.execute(_FILES)}
    for revision_id in sorted({one[0] for one in (there - told[False] - told[True]) | (told[False] - there)}):
        yield f"The files of the revision {revision_id} are not those on the record."


_NEWEST = (
    select(RECORD_EDIT.c.kind, RECORD_EDIT.c.thing_id, func.max(RECORD_EDIT.c.version).label("version"))
    .group_by(RECORD_EDIT.c.kind, RECORD_EDIT.c.thing_id)
    .subquery()
)
_SAME = (
    RECORD_EDIT.c.kind == _NEWEST.c.kind,
    RECORD_EDIT.c.thing_id == _NEWEST.c.thing_id,
    RECORD_EDIT.c.version == _NEWEST.c.version,
)
_LAST = select(RECORD_EDIT, RECORD.c.id).join(_NEWEST, and_(*_SAME)).join(RECORD, RECORD.c.seq == RECORD_EDIT.c.seq)
_ANSWERS = select(RECORD.c.answer, RECORD.c.what, RECORD.c.who).where(RECORD.c.kind.in_(("issue", "sign", "void")))
_FILES = select(REVISION_FILE.c.revision_id, REVISION_FILE.c.role, REVISION_FILE.c.file)
_RESTORES = select(RECORD.c.answer).where(RECORD.c.kind == "restore")


def _was_removed(connection: Connection, last: Any) -> bool:
    body = connection.execute(select(RECORD.c.body).where(RECORD.c.seq == last.seq)).scalar_one()
    if not msgspec.json.decode(body, type=_Told).edits:
        return True  # it was erased, with what the entry held
    return record.edit_at(body, last.position).after is None
