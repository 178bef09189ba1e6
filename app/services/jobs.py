"""Jobs: begin one, open one, make, change and remove its things."""

from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import Connection

from app.db.repositories import record, things
from app.db.repositories.job_rows import JobRows, read_job
from app.db.repositories.record import Since
from app.db.repositories.record_log import AsOf
from app.db.session import Moment
from app.domain.basis import Basis
from app.domain.change import Change, Edit, Fields
from app.domain.codec import to_plain
from app.domain.errors import NotFound
from app.domain.job import JOB_THINGS, Client, Head, Job, Site, without_names
from app.domain.job.naming import HANGING
from app.domain.takeoff.stocked import stocked
from app.services import changes
from app.services.changes import Applied
from app.services.held_editions import held, remember
from app.services.office import Office, who_of
from app.services.own_basis import basis_of
from app.services.starting import starting

KEPT = 64  # jobs kept in memory, each by its counter


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A job as it is now, with what it stands on and the version of each thing."""

    job: Job
    basis: Basis
    counter: int
    versions: Mapping[tuple[str, str], int]
    saved_at: str
    undo: str | None  # what the undo button would take back, in words
    newest: int = 0  # number of the newest entry of the record about it
    book: Basis | None = None  # the basis before the plants of its lists were added to it

    def version(self, kind: str, thing_id: object) -> int:
        """The version a form of this thing was read at."""
        return self.versions.get((kind, str(thing_id)), 0)

    def version_read(self, order: "Order", kind: str, thing_id: object) -> int:
        """The version that whoever orders has read: what came later is theirs, not to be typed over."""
        return self.version(kind, thing_id) if order.read_at is None else order.read_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """Who changes, under which id, after which change of the same device."""

    change_id: UUID
    follows: UUID | None = None
    what: str = ""
    read_at: int | None = None  # the version of the one thing that a form is of; None: as it is now


@dataclass(frozen=True, slots=True)
class _Kept:
    """A job as it was opened last, and the moment in which the database said that it still is so."""

    rows: JobRows
    as_of: AsOf
    who: str
    opened: OpenJob
    moment: Moment | None


def open_job(office: Office, job_id: UUID) -> OpenJob:
    """A job by id. What was read of it before is used where it still holds: an edit reads the rows it changed.

    Raises: NotFound.
    """
    memory: OrderedDict[UUID, _Kept] = office.database.memory.setdefault("jobs", OrderedDict())
    kept = memory.get(job_id)
    if kept is None or not office.database.is_now(kept.moment):
        kept = memory[job_id] = _look(office, job_id, kept)
        memory.move_to_end(job_id)
        while len(memory) > KEPT:
            memory.popitem(last=False)
    return kept.opened


def _look(office: Office, job_id: UUID, kept: _Kept | None) -> _Kept:
    """A job as the database has it now; it is not asked again where it has said by now that nothing happened to it."""
    if kept and office.is_current() and kept.who == office.who() and _untouched(kept, _since(office, kept)):
        return _opened(office, kept.rows, office.basis(), kept.opened.undo)
    with office.database.read() as connection:
        live = office.basis_in(connection)
        known, since = (kept.rows, _since(office, kept)) if kept else (None, None)
        rows = read_job(connection, office.firm_id, str(job_id), known, since)
        if rows is None:
            raise NotFound("There is no such job (any more).")
        who = who_of(live.firm)
        same = kept is not None and kept.rows.mark == rows.mark and kept.who == who
        undo = kept.opened.undo if kept and same else undoable(connection, job_id, who)
    return _opened(office, rows, live, undo)


def _untouched(kept: _Kept, since: Since | None) -> bool:
    return since is not None and not since.edited and since.mark == kept.rows.mark


def _since(office: Office, kept: _Kept) -> Since | None:
    head = kept.rows.job.head
    return office.since(kept.as_of, kept.rows.mark, str(head.id), str(head.client_id))


def _opened(office: Office, rows: JobRows, live: Basis, undo: str | None) -> _Kept:
    """A job as read, on what it stands on."""
    book = held(office, rows.job, basis_of(office, rows.job, live))
    basis = stocked(book, rows.job)
    at, newest = (rows.mark.at, rows.mark.seq) if rows.mark else ("", 0)
    opened = OpenJob(rows.job, basis, rows.counter, rows.versions, at, undo, newest, book)
    return _Kept(rows, office.as_of, who_of(live.firm), opened, office.database.moment)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewJob:
    """What the first call tells."""

    name: str
    phone: str = ""
    email: str = ""
    street: str = ""
    town: str = ""
    title: str = ""
    found_us: str = ""


def begin_job(office: Office, told: NewJob, order: Order) -> UUID:
    """Make a client, a job, its empty site and the works every job starts with in one change; returns the job's id."""
    known = _job_of_change(office, order.change_id)
    if known is not None:
        return known
    firm = office.firm()
    client = Client(
        id=uuid4(),
        name=told.name,
        phone=told.phone,
        email=told.email,
        street=told.street,
        town=told.town,
        found_us=told.found_us,
    )
    with office.database.read() as connection:
        number = things.next_job_number(connection, office.firm_id)
    head = Head(
        id=uuid4(),
        client_id=client.id,
        number=number,
        title=told.title or "Back yard",
        street=told.street,
        town=told.town,
        state=firm.state,
        time_zone=firm.time_zone,
        first_call=office.today(),
        exclusions=firm.standard_exclusions,
    )
    new: list[tuple[str, Any]] = [("client", client), ("job", head), ("site", Site(id=uuid4()))]
    new += [("work", work) for work in starting(office)]
    edits = tuple(made(kind, value) for kind, value in new)
    save(office, head.id, edits, replace(order, what=order.what or f"New job for {told.name}"))
    return head.id


def made(kind: str, value: Any) -> Edit:
    """The edit that makes a thing of a domain value."""
    return Edit(kind=kind, thing_id=str(value.id), version=0, before=None, after=changes.fields_of(value, kind))


def changed(kind: str, thing_id: object, version: int, fields: Fields) -> Edit:
    """The edit that sets fields of a thing as it was read at `version`."""
    return Edit(kind=kind, thing_id=str(thing_id), version=version, before={}, after=to_plain(fields))


def removal(opened: OpenJob, kind: str, thing_id: object) -> tuple[Edit, ...]:
    """The edits that remove a thing and all that hangs on it, the hanging ones first."""
    edits: list[Edit] = []
    for child_kind, by in HANGING.get(kind, ()):
        for child in getattr(opened.job, JOB_THINGS[child_kind][1]):
            if str(getattr(child, by)) == str(thing_id):
                edits += removal(opened, child_kind, child.id)
    gone = Edit(kind=kind, thing_id=str(thing_id), version=opened.version(kind, thing_id), before={}, after=None)
    return (*edits, gone)


def save(
    office: Office, job_id: UUID | None, edits: tuple[Edit, ...], order: Order, beside: changes.Beside | None = None
) -> Applied:
    """Apply edits as one change of the person at this machine; on disk when it is answered.

    What names a thing that goes with it, names it no more. `beside` writes what else is to be there with the change or
    not at all; it is not called for a change that was saved before.
    """
    edits = (*_names_gone(office, job_id, edits), *edits)
    remember(office, edits, _bases(office, job_id, edits))
    change = Change(
        id=order.change_id,
        job_id=job_id,
        edits=edits,
        who=office.who(),
        when=office.clock(),
        what=order.what,
        follows=order.follows,
    )
    return changes.apply(office.database, office.firm_id, change, beside)


def _names_gone(office: Office, job_id: UUID | None, edits: tuple[Edit, ...]) -> Iterator[Edit]:
    gone = {edit.thing_id for edit in edits if edit.after is None}
    if job_id is None or not gone:
        return
    opened, told = open_job(office, job_id), {edit.thing_id for edit in edits}
    for kind, thing, fields in without_names(opened.job, gone):
        if str(thing.id) not in told:
            yield changed(kind, thing.id, opened.version(kind, thing.id), fields)


def _bases(office: Office, job_id: UUID | None, edits: tuple[Edit, ...]) -> Iterator[Basis]:
    """What a placed recipe may be of: the live basis, else the one the job already stands on."""
    yield office.basis()
    if job_id is not None and not any(edit.kind == "job" and edit.before is None for edit in edits):
        yield open_job(office, job_id).basis


def is_saved(office: Office, change_id: UUID) -> bool:
    """Whether a change was saved before: what is sent twice is not worked out on what came of it."""
    return change_id in saved_of(office, (change_id,))


def saved_of(office: Office, change_ids: Iterable[UUID]) -> list[UUID]:
    """Which of these changes were saved: a device asks where it had no answer."""
    with office.database.read() as connection:
        return [one for one in change_ids if record.find(connection, str(one)) is not None]


def last_change_at(office: Office, job_id: UUID | None) -> str:
    """When a job was last changed (ISO, UTC); empty where there is no such job."""
    try:
        return open_job(office, job_id).saved_at if job_id else ""
    except NotFound:
        return ""


def undo(office: Office, job_id: UUID | None, change_id: UUID, follows: UUID | None = None) -> Applied:
    """Take back this person's newest change of a job (None: of the firm)."""
    return changes.undo(
        office.database,
        office.firm_id,
        job_id=job_id,
        who=office.who(),
        change_id=change_id,
        when=office.clock(),
        follows=follows,
    )


def undo_words(office: Office, job_id: UUID | None) -> str | None:
    """What the undo button would take back, in words; None when there is nothing."""
    with office.database.read() as connection:
        return undoable(connection, job_id, who_of(office.basis_in(connection).firm))


def undoable(connection: Connection, job_id: UUID | None, who: str) -> str | None:
    """The same of a person, as a transaction sees it."""
    found = changes.last_undoable(connection, job_id, who)
    return found.what or "the last change" if found else None


def _job_of_change(office: Office, change_id: UUID) -> UUID | None:
    with office.database.read() as connection:
        entry = record.find(connection, str(change_id))
    return entry.change().job_id if entry else None
