"""The one function that changes stored data: same id, stored answer; stale, both values; else save and record."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from app.db.repositories import record, things
from app.db.repositories.things import Row
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


def apply(database: Database, firm_id: str, change: Change) -> Applied:
    """Apply one change in one transaction; it is on disk when it is answered.

    Raises: Stale with both values, NotFound when a thing is gone, BadValue when a field does not fit.
    """
    with database.write() as connection:
        return apply_within(connection, firm_id, change)


def apply_within(connection: Connection, firm_id: str, change: Change) -> Applied:
    """Apply one change inside a transaction that the caller commits."""
    known = record.find(connection, str(change.id))
    if known is not None:
        return Applied(**{**known.answer, "again": True})
    _of_one_scope(change)
    job_id = str(change.job_id) if change.job_id else None
    outcomes = [_apply_edit(connection, firm_id, change, edit) for edit in change.edits]
    done = [outcome for outcome in outcomes if outcome is not None]
    scope = f"job:{job_id}" if job_id else f"firm:{firm_id}"
    count = record.raise_counter(connection, scope) if done else record.counter(connection, scope)
    applied = Applied(
        change_id=str(change.id),
        versions={edit.thing_id: version for edit, version in done},
        counter=count,
    )
    record.append(
        connection,
        firm_id=firm_id,
        kind="change",
        change=replace(change, edits=tuple(edit for edit, _ in done)),
        answer={"change_id": applied.change_id, "versions": dict(applied.versions), "counter": count},
        versions=[version for _, version in done],
    )
    return applied


def _of_one_scope(change: Change) -> None:
    """A job's things change through the job and the firm's through the firm: so each can tell what changed of it."""
    for edit in change.edits:
        if edit.kind != "client" and (edit.kind in FIRM_THINGS) == (change.job_id is not None):
            raise Refused("A change is about one job, or about the firm, not about both. Nothing was changed.")


def _apply_edit(connection: Connection, firm_id: str, change: Change, edit: Edit) -> tuple[Edit, int] | None:
    row = things.read_thing(connection, firm_id, edit.kind, edit.thing_id)
    if edit.after is None:
        return _remove(connection, firm_id, change, edit, row)
    if row is None:
        return _make(connection, firm_id, change, edit)
    return _change_fields(connection, firm_id, change, edit, row)


def _make(connection: Connection, firm_id: str, change: Change, edit: Edit) -> tuple[Edit, int]:
    if edit.before is not None:
        raise NotFound("This was removed meanwhile. Nothing was changed; undo the removal to go on with it.")
    value = things.value_of(edit.kind, edit.thing_id, edit.after or {})
    fields = {name: to_plain(getattr(value, name)) for name in field_names(edit.kind)}
    version = record.last_version(connection, edit.kind, edit.thing_id) + 1
    own = edit.kind != "client" and change.job_id  # a client may have several jobs
    job_id = str(change.job_id) if own else None
    things.insert_thing(connection, firm_id, Row(edit.kind, edit.thing_id, job_id, version, str(change.id), fields))
    return replace(edit, before=None, after=fields), version


def _remove(
    connection: Connection, firm_id: str, change: Change, edit: Edit, row: Row | None
) -> tuple[Edit, int] | None:
    if row is None:
        return None
    since = _since(connection, change, edit, row)
    if since:
        raise Stale(
            "Somebody changed this since you opened it; look at it again before you remove it.",
            theirs=dict(row.fields),
            yours={},
        )
    things.delete_thing(connection, firm_id, edit.kind, edit.thing_id)
    return replace(edit, before=dict(row.fields), after=None), row.version + 1


def _change_fields(
    connection: Connection, firm_id: str, change: Change, edit: Edit, row: Row
) -> tuple[Edit, int] | None:
    known = set(field_names(edit.kind))
    if unknown := set(edit.after or {}) - known:
        raise Refused(f"There is no field named {', '.join(sorted(unknown))} to change.")
    settled = settle(edit, row.fields, _since(connection, change, edit, row))
    if settled is None:
        return None
    new = settled.after or {}
    value = things.value_of(edit.kind, edit.thing_id, {**row.fields, **new})  # refuses what does not fit
    clean = {name: to_plain(getattr(value, name)) for name in new}
    after = replace(row, version=row.version + 1, last_change=str(change.id), fields={**row.fields, **clean})
    things.update_thing(connection, firm_id, after, clean)
    return replace(settled, after=clean), after.version


def _since(connection: Connection, change: Change, edit: Edit, row: Row) -> list[Any]:
    """What happened to the thing after it was read, without the chain of changes this one was made after.

    A device without a connection makes many changes on what it once read: none of its own is news to it, whatever it
    changed in between; what somebody else changed in the meantime is.
    """
    if row.version <= edit.version:
        return []
    past = record.past_since(connection, edit.kind, edit.thing_id, edit.version)
    own = record.chain(connection, change.follows, {str(one.change_id) for one in past})
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
        found = last_undoable(connection, job_id, who)
        entry = record.find(connection, found.id) if found else None
        if entry is None:
            raise Refused("There is nothing to undo.")
        versions = entry.answer["versions"]  # whoever came later is a conflict, not overwritten
        back = inverse(entry.change(), id=change_id, who=who, when=when, versions=versions)
        return apply_within(connection, firm_id, replace(back, follows=follows))


def fields_of(value: Any, kind: str) -> Fields:
    """A domain value as the plain fields that a change holds."""
    plain = to_plain(value)
    return {name: plain[name] for name in field_names(kind)}
