"""The record: an append-only chain of hashes over every change."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from hashlib import sha256
from secrets import token_hex
from typing import Any
from uuid import UUID

import msgspec
from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    Select,
    and_,
    bindparam,
    desc,
    exists,
    func,
    insert,
    or_,
    select,
    update,
)

from app.db.repositories.emptied import ERASE
from app.db.tables.office import COUNTER, DEVICE_EPOCH, RECORD, RECORD_EDIT
from app.domain.change import Change, Edit, Fields, Past
from app.domain.codec import canonical_bytes, from_plain, to_plain
from app.domain.record_chain import entry_hash

START = "0" * 64
# kinds of entries that nothing of a job or the firm rests on: they close no undo
ABOUT_DEVICES = ("pair", "revoke", "device", "passcode", "feed", ERASE)
NEWEST_ENTRY = "record"  # the counter that stands at the newest entry's number
ABOUT_TAKINGS = ("take", "return", "lift")
CLOSE_NO_UNDO = (*ABOUT_DEVICES, *ABOUT_TAKINGS, "mail")  # a letter changes nothing of a job
# fields that were named otherwise when they were recorded: kind → name then → name now. An entry itself never changes
RENAMED: Mapping[str, Mapping[str, str]] = {"packet": {"works": "work_ids"}}


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
        return _change(self.body)


# statements are written once: building one costs more than running it
_EPOCH = select(func.max(DEVICE_EPOCH.c.number))
_HEAD = select(RECORD.c.hash).order_by(desc(RECORD.c.seq)).limit(1)
_HEAD_AND_EPOCH = select(_HEAD.scalar_subquery(), _EPOCH.scalar_subquery())
_NEWEST_AT = select(RECORD.c.at).order_by(desc(RECORD.c.seq)).limit(1)
_SEQ_THEN = select(func.max(RECORD.c.seq)).where(RECORD.c.hash == bindparam("in_hash")).scalar_subquery()
_SIGNED_SINCE = select(func.count()).where(RECORD.c.kind == "sign", RECORD.c.seq > func.coalesce(_SEQ_THEN, 0))
_FIND = select(RECORD).where(RECORD.c.id == bindparam("in_id"))
_APPEND = insert(RECORD)
_APPEND_EDITS = insert(RECORD_EDIT)


def epoch(connection: Connection) -> int:
    """The database's epoch: raised by every restore."""
    return connection.execute(_EPOCH).scalar_one() or 1


def head(connection: Connection) -> str:
    """The hash of the newest entry: printed in each signed copy and kept in each backup."""
    return connection.execute(_HEAD).scalar_one_or_none() or START


def holds_hash(connection: Connection, entry_hash: str) -> bool:
    """Whether an entry has this hash: whether a head that a paper prints was ever this record's."""
    return connection.execute(select(RECORD.c.seq).where(RECORD.c.hash == entry_hash)).first() is not None


def newest_at(connection: Connection) -> str:
    """When the newest entry was made (ISO, UTC); empty without entries."""
    return connection.execute(_NEWEST_AT).scalar_one_or_none() or ""


def signed_since(connection: Connection, head_then: str) -> bool:
    """Whether somebody signed after the entry with this hash; without one, whether anybody ever did."""
    return bool(connection.execute(_SIGNED_SINCE, {"in_hash": head_then}).scalar_one())


def find(connection: Connection, entry_id: str) -> Entry | None:
    """The entry with this id, or None."""
    row = connection.execute(_FIND, {"in_id": entry_id}).one_or_none()
    return None if row is None else _entry(row)


def append(
    connection: Connection,
    *,
    firm_id: str,
    kind: str,
    change: Change,
    answer: dict[str, Any],
    versions: Sequence[int] = (),
    body: bytes = b"",
) -> str:
    """Add an entry to the chain and return its hash. `versions` are those of the edited things afterwards.

    `body` is what `body_of` makes of the change, where that was made before.
    """
    body = body or canonical_bytes(to_plain(replace(change, salt=token_hex(16))))
    newest, number = connection.execute(_HEAD_AND_EPOCH).one()
    previous, told = newest or START, canonical_bytes(answer).decode()
    content = content_hash(body, kind, firm_id, number or 1, told)
    own = sha256((previous + content).encode()).hexdigest()
    made = connection.execute(
        _APPEND,
        {
            "id": str(change.id),
            "firm_id": firm_id,
            "job_id": str(change.job_id) if change.job_id else None,
            "epoch": number or 1,
            "kind": kind,
            "who": change.who,
            "at": change.when.isoformat(),
            "what": change.what,
            "undoes": str(change.undoes) if change.undoes else None,
            "body": body.decode(),
            "content_hash": content,
            "previous_hash": previous,
            "hash": own,
            "answer": told,
        },
    )
    seq = made.inserted_primary_key[0] if made.inserted_primary_key else 0
    _note_newest(connection, seq)
    rows = [
        {"seq": seq, "position": at, "kind": edit.kind, "thing_id": edit.thing_id, "version": version}
        for at, (edit, version) in enumerate(zip(change.edits, versions, strict=True))
    ]
    if rows:
        connection.execute(_APPEND_EDITS, rows)
    return own


def content_hash(body: bytes, kind: str, firm_id: str, epoch: int, answer: str) -> str:
    """The hash of all that an entry says: its body, and what stands beside it and not in it."""
    return entry_hash(body, kind, firm_id, epoch, answer)


def _note_newest(connection: Connection, seq: int) -> None:
    """Count up to the newest entry: a chain does not miss its end, the counter does."""
    told = {"in_seq": seq}
    if connection.execute(_TO_NEWEST, told).rowcount == 0:
        connection.execute(insert(COUNTER).values(scope=NEWEST_ENTRY, value=seq))


_TO_NEWEST = update(COUNTER).where(COUNTER.c.scope == NEWEST_ENTRY).values(value=bindparam("in_seq"))


def body_of(change: Change, edits: Sequence[bytes]) -> bytes:
    """A change as an entry holds it, of its edits as canonical bytes: the same as of the whole change at once."""
    head, middle, rest = canonical_bytes(to_plain(replace(change, edits=()))).partition(b'"edits":[]')
    assert (head, middle) == (b"{", b'"edits":[]'), "the edits come first"
    return b'{"edits":[' + b",".join(edits) + b"]" + rest


def last_version(connection: Connection, kind: str, thing_id: str) -> int:
    """The highest version a thing ever had; 0 for one that never was."""
    return connection.execute(_LAST_VERSION, {"in_kind": kind, "in_thing": thing_id}).scalar_one() or 0


_LAST_VERSION = select(func.max(RECORD_EDIT.c.version)).where(
    RECORD_EDIT.c.kind == bindparam("in_kind"), RECORD_EDIT.c.thing_id == bindparam("in_thing")
)


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
            edit = _change(row.body).edits[row.position]
            found.append(Past(version=row.version, change_id=UUID(row.id), before=edit.before))
    return found


@dataclass(frozen=True, slots=True)
class Newest:
    """A person's newest entry that is neither undone nor an undo."""

    id: str
    kind: str
    what: str


def newest_of(connection: Connection, job_id: str | None, who: str) -> Newest | None:
    """The newest entry a person made to a job (or to the firm) that still stands and changed something.

    What is not a change (issuing, signing) counts too: it closes what was before; what is done about devices does not.
    """
    row = connection.execute(_newest_of(of_job=job_id is not None), {"in_job": job_id, "in_who": who}).one_or_none()
    return None if row is None else Newest(*row)


@cache
def _newest_of(*, of_job: bool) -> Select[Any]:
    later = RECORD.alias("later")
    place = _place(of_job=of_job)
    later_place = later.c.job_id == RECORD.c.job_id if of_job else later.c.job_id.is_(None)
    undone = exists().where(later_place, later.c.seq > RECORD.c.seq, later.c.undoes == RECORD.c.id)
    changed = exists().where(RECORD_EDIT.c.seq == RECORD.c.seq)
    standing = or_(
        RECORD.c.kind.not_in(("change", *CLOSE_NO_UNDO)),
        and_(RECORD.c.undoes.is_(None), ~undone, changed),
    )
    query = select(RECORD.c.id, RECORD.c.kind, RECORD.c.what).where(place, RECORD.c.who == bindparam("in_who"))
    return query.where(standing).order_by(desc(RECORD.c.seq)).limit(1)


def _place(*, of_job: bool) -> ColumnElement[bool]:
    return RECORD.c.job_id == bindparam("in_job") if of_job else RECORD.c.job_id.is_(None)


@dataclass(frozen=True, slots=True)
class Mark:
    """The newest entry about a job (or the firm) when it was read: its hash stands for all that came before it."""

    seq: int
    hash: str
    at: str


@dataclass(frozen=True, slots=True)
class Since:
    """What has happened since a mark: the newest entry now, and the things that were edited, by kind and id."""

    mark: Mark
    edited: frozenset[tuple[str, str]]


def mark(connection: Connection, job_id: str | None) -> Mark | None:
    """The newest entry about a job, or about the firm (None); None where there is none."""
    row = connection.execute(_mark(of_job=job_id is not None), {"in_job": job_id}).one_or_none()
    return None if row is None else Mark(*row)


@cache
def _mark(*, of_job: bool) -> Select[Any]:
    query = select(RECORD.c.seq, RECORD.c.hash, RECORD.c.at).where(_place(of_job=of_job))
    return query.order_by(desc(RECORD.c.seq)).limit(1)


@dataclass(frozen=True, slots=True)
class Happened:
    """One edit of an entry, or an entry that edited nothing: where it stands in the chain, which job it is about."""

    seq: int
    hash: str
    at: str
    job_id: str | None  # None: about the firm
    kind: str | None
    thing_id: str | None


def happened_since(connection: Connection, seq: int) -> list[Happened]:
    """The entry of that number, and every edit of the newer ones; nothing where it stands in this database no more."""
    return [Happened(*row) for row in connection.execute(_HAPPENED, {"seen": seq})]


def newest(connection: Connection) -> Mark | None:
    """The newest entry of all; None where there is none."""
    row = connection.execute(_NEWEST).one_or_none()
    return None if row is None else Mark(*row)


_SEEN: BindParameter[int] = bindparam("seen")
_HAPPENED = (
    select(RECORD.c.seq, RECORD.c.hash, RECORD.c.at, RECORD.c.job_id, RECORD_EDIT.c.kind, RECORD_EDIT.c.thing_id)
    .select_from(RECORD.outerjoin(RECORD_EDIT, and_(RECORD_EDIT.c.seq == RECORD.c.seq, RECORD_EDIT.c.seq > _SEEN)))
    .where(RECORD.c.seq >= _SEEN)
    .order_by(RECORD.c.seq)
)
_NEWEST = select(RECORD.c.seq, RECORD.c.hash, RECORD.c.at).order_by(desc(RECORD.c.seq)).limit(1)


def history(connection: Connection, job_id: str, *, limit: int = 200, before: int | None = None) -> list[Entry]:
    """Everything that happened to a job, newest first; of a long one, what came before an entry."""
    query = select(RECORD).where(RECORD.c.job_id == job_id).order_by(desc(RECORD.c.seq)).limit(limit)
    if before is not None:
        query = query.where(RECORD.c.seq < before)
    return [_entry(row) for row in connection.execute(query)]


def taken_back(connection: Connection, ids: Sequence[str]) -> set[str]:
    """Which of these entries were undone by a later one."""
    query = select(RECORD.c.undoes).where(RECORD.c.undoes.in_(ids))
    return set(connection.execute(query).scalars())


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
    return [_entry(row) for row in connection.execute(_FIRM_SINCE, {"in_firm": firm_id, "in_job": job_id})]


_OF_FIRM = (RECORD.c.firm_id == bindparam("in_firm"), RECORD.c.job_id.is_(None), RECORD.c.kind.not_in(ABOUT_DEVICES))
_NEWEST_OF_JOB = select(func.max(RECORD.c.seq)).where(RECORD.c.job_id == bindparam("in_job")).scalar_subquery()
_FIRM_SINCE = select(RECORD).where(*_OF_FIRM, RECORD.c.seq > _NEWEST_OF_JOB).order_by(desc(RECORD.c.seq))


def of_thing(connection: Connection, firm_id: str, kind: str, thing_id: str, *, limit: int) -> list[tuple[Entry, Edit]]:
    """What was done to one thing, the newest first: each entry with its edit of the thing, the others left unread."""
    query = (
        select(RECORD, RECORD_EDIT.c.position)
        .join(RECORD_EDIT, RECORD_EDIT.c.seq == RECORD.c.seq)
        .where(RECORD.c.firm_id == firm_id, RECORD_EDIT.c.kind == kind, RECORD_EDIT.c.thing_id == thing_id)
        .order_by(desc(RECORD.c.seq))
        .limit(limit)
    )
    return [(_entry(row), edit_at(row.body, row.position)) for row in connection.execute(query)]


class _Edits(msgspec.Struct):
    """The edits of a change, each unread."""

    edits: list[msgspec.Raw]


def edit_at(body: str, position: int) -> Edit:
    """One edit of an entry's body, the others left unread."""
    return _named_now(msgspec.json.decode(msgspec.json.decode(body, type=_Edits).edits[position], type=Edit))


def _change(body: str) -> Change:
    found: Change = from_plain(msgspec.json.decode(body), Change)
    named = tuple(_named_now(edit) for edit in found.edits)
    return found if named == found.edits else replace(found, edits=named)


def _named_now(edit: Edit) -> Edit:
    names = RENAMED.get(edit.kind)
    return replace(edit, before=_named(edit.before, names), after=_named(edit.after, names)) if names else edit


def _named(held: Fields | None, names: Mapping[str, str]) -> Fields | None:
    return None if held is None else {names.get(name, name): value for name, value in held.items()}
