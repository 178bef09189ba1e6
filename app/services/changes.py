"""The one function that changes stored data: same id, stored answer; stale, both values; else save and record."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from app.db.repositories import counters, record, things
from app.db.repositories.device_chain import chain
from app.db.repositories.things import Row, Writing
from app.db.session import Database
from app.db.tables.things import FIRM_THINGS, field_names
from app.domain.change import Change, Edit, Fields, inverse, settle
from app.domain.codec import to_plain
from app.domain.errors import NotFound, Refused, Stale


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """What became of a change: the versions of its things, the counter of its job or firm."""

    change_id: str
    versions: Mapping[str, int]
    counter: int
    again: bool = False  # it had been applied before; this is the stored answer


Beside = Callable[[Connection], None]  # what is written in the transaction of a change, right after it


def apply(database: Database, firm_id: str, change: Change, beside: Beside | None = None) -> Applied:
    """Apply one change in one transaction; it is on disk when it is answered.

    Raises: Stale with both values, NotFound when a thing is gone, BadValue when a field does not fit.
    """
    with database.write() as connection:
        done = apply_within(connection, firm_id, change)
        if beside is not None and not done.again:
            beside(connection)
        return done


def apply_within(connection: Connection, firm_id: str, change: Change) -> Applied:
    """Apply one change inside a transaction that the caller commits."""
    if (known := stored_answer(connection, change.id)) is not None:
        return known
    _of_one_scope(change)
    done = []
    for edit in change.edits:  # each on what the one before it left
        one = work_out(connection, firm_id, change, edit)
        if one is not None:
            things.write(connection, firm_id, [one.writing])
            done.append(one)
    whole = replace(change, edits=tuple(one.edit for one in done))
    return recorded(connection, firm_id, whole, [one.version for one in done])


def stored_answer(connection: Connection, change_id: UUID) -> Applied | None:
    """What a change that was sent before was answered with; None for one that is new."""
    known = record.find(connection, str(change_id))
    return Applied(**{**known.answer, "again": True}) if known is not None else None


def recorded(
    connection: Connection, firm_id: str, change: Change, versions: Sequence[int], body: bytes = b""
) -> Applied:
    """Count a change that is written, and put it on the record; `versions` are its things' now, edit by edit."""
    scope = f"job:{change.job_id}" if change.job_id else f"firm:{firm_id}"
    count = counters.raise_counter(connection, scope) if change.edits else counters.counter(connection, scope)
    by_thing = {edit.thing_id: version for edit, version in zip(change.edits, versions, strict=True)}
    answer = {"change_id": str(change.id), "versions": by_thing, "counter": count}
    record.append(
        connection, firm_id=firm_id, kind="change", change=change, answer=answer, versions=versions, body=body
    )
    return Applied(change_id=str(change.id), versions=by_thing, counter=count)


def _of_one_scope(change: Change) -> None:
    """A job's things change through the job and the firm's through the firm: so each can tell what changed of it."""
    for edit in change.edits:
        if edit.kind != "client" and (edit.kind in FIRM_THINGS) == (change.job_id is not None):
            raise Refused("A change is about one job, or about the firm, not about both. Nothing was changed.")


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """An edit as it will be recorded: the version its thing then has, what is written, and what the thing then is."""

    edit: Edit
    version: int
    writing: Writing
    value: Any = None  # None: it is gone


def work_out(connection: Connection, firm_id: str, change: Change, edit: Edit) -> WorkedOut | None:
    """An edit held against what is stored; None where nothing is left to do. Nothing is written here.

    Raises: Stale with both values, NotFound when the thing is gone, BadValue when a field does not fit.
    """
    row = things.read_thing(connection, firm_id, edit.kind, edit.thing_id)
    if edit.after is None:
        return _remove(connection, change, edit, row)
    if row is None:
        return _make(connection, firm_id, change, edit)
    return _change_fields(connection, change, edit, row)


def _make(connection: Connection, firm_id: str, change: Change, edit: Edit) -> WorkedOut:
    if edit.before is not None:
        raise NotFound("This was removed meanwhile. Nothing was changed; undo the removal to go on with it.")
    value = things.value_of(edit.kind, edit.thing_id, edit.after or {})
    if edit.kind == "job" and things.has_job_number(connection, firm_id, value.number):
        value = replace(value, number=things.next_job_number(connection, firm_id))  # taken since it was looked up
    fields = {name: to_plain(getattr(value, name)) for name in field_names(edit.kind)}
    version = record.last_version(connection, edit.kind, edit.thing_id) + 1
    own = edit.kind != "client" and change.job_id  # a client may have several jobs
    job_id = str(change.job_id) if own else None
    row = Row(edit.kind, edit.thing_id, job_id, version, str(change.id), fields)
    return WorkedOut(replace(edit, before=None, after=fields), version, Writing(row=row, made=True), value)


def _remove(connection: Connection, change: Change, edit: Edit, row: Row | None) -> WorkedOut | None:
    if row is None:
        return None
    since = _since(connection, change, edit, row)
    if since:
        raise Stale(
            "Somebody changed this since you opened it; look at it again before you remove it.",
            theirs=dict(row.fields),
            yours={},
        )
    return WorkedOut(replace(edit, before=dict(row.fields), after=None), row.version + 1, Writing(row=row, gone=True))


def _change_fields(connection: Connection, change: Change, edit: Edit, row: Row) -> WorkedOut | None:
    known = set(field_names(edit.kind))
    if unknown := set(edit.after or {}) - known:
        raise Refused(f"There is no field named {', '.join(sorted(unknown))} to change.")
    try:
        settled = settle(edit, row.fields, _since(connection, change, edit, row))
    except Stale as stale:
        stale.version = row.version
        raise
    if settled is None:
        return None
    new = settled.after or {}
    value = things.value_of(edit.kind, edit.thing_id, {**row.fields, **new})  # refuses what does not fit
    clean = {name: to_plain(getattr(value, name)) for name in new}
    after = replace(row, version=row.version + 1, last_change=str(change.id), fields={**row.fields, **clean})
    return WorkedOut(replace(settled, after=clean), after.version, Writing(row=after, names=tuple(clean)), value)


def _since(connection: Connection, change: Change, edit: Edit, row: Row) -> list[Any]:
    """What happened to the thing after it was read, without the chain of changes this one was made after.

    A device without a connection makes many changes on what it once read: none of its own is news to it, whatever it
    changed in between; what somebody else changed in the meantime is.
    """
    if row.version <= edit.version:
        return []
    past = record.past_since(connection, edit.kind, edit.thing_id, edit.version)
    own = chain(connection, change.follows, {str(one.change_id) for one in past})
    return [one for one in past if str(one.change_id) not in own]


def last_undoable(connection: Connection, job_id: UUID | None, who: str) -> record.Newest | None:
    """This person's newest change of the job (or of the firm) that is not itself undone or an undo."""
    found = record.newest_of(connection, str(job_id) if job_id else None, who)
    return found if found and found.kind == "change" else None  # issuing, signing and the like close what was before


def undo(
    database: Database,
    firm_id: str,
    *,
    job_id: UUID | None,
    who: str,
    change_id: UUID,
    when: datetime,
    follows: UUID | None = None,
) -> Applied:
    """Take back this person's newest change; `follows` is the change of the device that the undoing was asked after.

    Raises: Refused when there is none; Stale with both values when somebody has since changed the same fields.
    """
    with database.write() as connection:
        if (known := stored_answer(connection, change_id)) is not None:
            return known  # its answer was lost: nothing more is taken back
        back = taking_back(connection, job_id, who=who, change_id=change_id, when=when)
        return apply_within(connection, firm_id, replace(back, follows=follows))


def taking_back(connection: Connection, job_id: UUID | None, *, who: str, change_id: UUID, when: datetime) -> Change:
    """The change that takes this person's newest one back. Raises: Refused when there is none."""
    found = last_undoable(connection, job_id, who)
    entry = record.find(connection, found.id) if found else None
    if entry is None:
        raise Refused("There is nothing to undo.")
    versions = entry.answer["versions"]  # whoever came later is a conflict, not overwritten
    return inverse(entry.change(), id=change_id, who=who, when=when, versions=versions)


def fields_of(value: Any, kind: str) -> Fields:
    """A domain value as the plain fields that a change holds."""
    plain = to_plain(value)
    return {name: plain[name] for name in field_names(kind)}
