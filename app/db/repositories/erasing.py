"""A client taken out of the database: their jobs, their unsigned papers, and what the record's entries hold of them.

What stays says nothing of them: ids by chance, numbers of jobs, days, hashes. Signed papers stay where that is asked.
"""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

import msgspec
from sqlalchemy import Connection, delete, insert, or_, select, update

from app.db.repositories import addresses, counters, record, takings
from app.db.repositories.emptied import ERASE, Emptied, empty, entries_about, vouching_body
from app.db.repositories.invoices import INVOICE
from app.db.repositories.kept_papers import forget_jobs
from app.db.repositories.mail import remove_mail
from app.db.repositories.revisions import Revision, revisions_of
from app.db.repositories.things import erased_numbers
from app.db.tables.devices import DEVICE, PAIRING
from app.db.tables.office import COUNTER, RECORD, REVISION, REVISION_FILE
from app.db.tables.things import TABLES
from app.domain.change import Change
from app.domain.job import JOB_THINGS

_HASH = re.compile(r"[0-9a-f]{64}")
_FILE = re.compile(r'"(?:basis_)?file":"([0-9a-f]{64})"')
GONE_DEVICE = "A client's device"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """Who is erased: the client, their jobs, and the devices that were paired as theirs."""

    client_id: str
    job_ids: tuple[str, ...]
    numbers: tuple[int, ...]
    device_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class By:
    """Who erases, when, and in which words it stands on record."""

    who: str
    when: datetime
    change_id: UUID
    what: str


def scope_of(connection: Connection, firm_id: str, client_id: str) -> Scope:
    """A client with all their jobs; without any where there is no such client (any more)."""
    job = TABLES["job"].c
    query = select(job.thing_id, job.number).where(job.firm_id == firm_id, job.client_id == client_id)
    found = list(connection.execute(query.order_by(job.number)))
    job_ids = tuple(row.thing_id for row in found)
    devices = select(DEVICE.c.id).where(DEVICE.c.firm_id == firm_id, DEVICE.c.job_id.in_(job_ids))
    return Scope(
        client_id=client_id,
        job_ids=job_ids,
        numbers=tuple(row.number for row in found),
        device_ids=tuple(connection.execute(devices).scalars()),
    )


def is_there(connection: Connection, firm_id: str, client_id: str) -> bool:
    """Whether there is a client of this id."""
    client = TABLES["client"].c
    found = connection.execute(select(client.thing_id).where(client.firm_id == firm_id, client.thing_id == client_id))
    return found.first() is not None


def papers_of(connection: Connection, job_ids: Iterable[str], *, signed: bool = False) -> list[Revision]:
    """What was handed out in these jobs, or only what is to be kept: what is signed by all, and invoices."""
    found = [one for job_id in job_ids for one in revisions_of(connection, job_id)]
    return [one for one in found if is_to_keep(one)] if signed else found


def is_to_keep(one: Revision) -> bool:
    """Whether a paper outlives its client's erasing: what is signed by all, and invoices, for the firm's own books."""
    return one.state == "signed" or one.kind == INVOICE


def left_behind(connection: Connection, firm_id: str) -> list[Revision]:
    """Signed papers of jobs that were erased, the newest first."""
    jobs = select(TABLES["job"].c.thing_id)
    query = select(REVISION.c.job_id).where(REVISION.c.firm_id == firm_id, REVISION.c.job_id.not_in(jobs)).distinct()
    found = papers_of(connection, connection.execute(query).scalars())
    return sorted(found, key=lambda one: one.issued_at, reverse=True)


def erased_on(connection: Connection, firm_id: str) -> list[record.Entry]:
    """Every erasing, the newest first."""
    query = select(RECORD.c.id).where(RECORD.c.firm_id == firm_id, RECORD.c.kind == ERASE, RECORD.c.job_id.is_(None))
    found = connection.execute(query.order_by(RECORD.c.seq.desc())).scalars()
    return [entry for one in found if (entry := record.find(connection, one))]


def erase(connection: Connection, firm_id: str, scope: Scope, by: By, *, papers: bool) -> set[str]:
    """Take a client out, with (`papers`) or without what they signed; returns the files that nobody needs any more."""
    entries = entries_about(connection, scope.job_ids, scope.client_id, _about_devices(connection, scope))
    kept = {one.id for one in papers_of(connection, scope.job_ids, signed=True)} if not papers else set[str]()
    gone = [one for one in papers_of(connection, scope.job_ids) if one.id not in kept]
    files = {name for row in entries for name in _FILE.findall(row.body)}
    files |= _remove_papers(connection, gone) | _remove_things(connection, firm_id, scope)
    files |= takings.erase(connection, scope.job_ids)
    _remove_letters(connection, scope)
    forget_jobs(connection, scope.job_ids)
    addresses.forget(connection, scope.job_ids)
    _remove_devices(connection, scope, by.when)
    _vouch(connection, firm_id, by, list(empty(connection, entries)), entries)
    _keep_number(connection, firm_id, scope.numbers)
    return files - _needed(connection)


def erase_papers(connection: Connection, firm_id: str, job_id: str, by: By) -> set[str]:
    """Take out the signed papers of a job that was erased; returns the files that nobody needs any more."""
    files = _remove_papers(connection, papers_of(connection, (job_id,)))
    _append(connection, firm_id, by, None, ())
    return files - _needed(connection)


def _about_devices(connection: Connection, scope: Scope) -> list[str]:
    """Entries that name one of the client's devices."""
    if not scope.device_ids:
        return []
    query = select(RECORD.c.id, RECORD.c.answer).where(RECORD.c.kind.in_(("pair", "revoke", "device")))
    rows = connection.execute(query)
    return [row.id for row in rows if msgspec.json.decode(row.answer).get("device") in scope.device_ids]


def _remove_papers(connection: Connection, gone: Sequence[Revision]) -> set[str]:
    ids = [one.id for one in gone]
    connection.execute(delete(REVISION_FILE).where(REVISION_FILE.c.revision_id.in_(ids)))
    connection.execute(delete(REVISION).where(REVISION.c.id.in_(ids)))
    return {name for one in gone for name in one.files.values()}


def _remove_letters(connection: Connection, scope: Scope) -> None:
    """Letters with copies name the client's address."""
    remove_mail(connection, scope.job_ids)


def _remove_things(connection: Connection, firm_id: str, scope: Scope) -> set[str]:
    """Every row of the jobs and the client's own; returns the files that were named."""
    files: set[str] = set()
    for kind in JOB_THINGS:
        table = TABLES[kind]
        theirs = or_(table.c.job_id.in_(scope.job_ids), table.c.thing_id == scope.client_id)
        for name in {"file", "basis_file"} & set(table.c.keys()):
            files |= set(connection.execute(select(table.c[name]).where(table.c.firm_id == firm_id, theirs)).scalars())
        connection.execute(delete(table).where(table.c.firm_id == firm_id, theirs))
    return files - {"", None}


def _remove_devices(connection: Connection, scope: Scope, when: datetime) -> None:
    """The client's devices are shut out and nameless; what they asked with when they were paired goes."""
    out = DEVICE.c.id.in_(scope.device_ids)
    connection.execute(update(DEVICE).where(out).values(name=GONE_DEVICE))
    still_in = (out, DEVICE.c.revoked_at.is_(None))
    connection.execute(update(DEVICE).where(*still_in).values(revoked_at=when.isoformat()))
    asked = or_(PAIRING.c.job_id.in_(scope.job_ids), PAIRING.c.id.in_(scope.device_ids))
    connection.execute(delete(PAIRING).where(asked))


def _vouch(connection: Connection, firm_id: str, by: By, emptied: Sequence[Emptied], entries: Sequence[Any]) -> None:
    """An entry in each job, so that whoever has it open sees that it is gone, and one for what was of no job."""
    job_of: Mapping[str, str | None] = {row.id: row.job_id for row in entries}
    by_job: dict[str | None, list[Emptied]] = {None: []}
    for one in emptied:
        by_job.setdefault(job_of[one.id], []).append(one)
    for at, (job_id, ours) in enumerate(by_job.items()):
        own = by if at == 0 else replace(by, change_id=uuid4())
        _append(connection, firm_id, own, UUID(job_id) if job_id else None, ours)


def _append(connection: Connection, firm_id: str, by: By, job_id: UUID | None, emptied: Sequence[Emptied]) -> None:
    change = Change(id=by.change_id, job_id=job_id, edits=(), who=by.who, when=by.when, what=by.what)
    body = vouching_body(change, emptied)
    record.append(connection, firm_id=firm_id, kind=ERASE, change=change, answer={}, body=body)


def _keep_number(connection: Connection, firm_id: str, numbers: Collection[int]) -> None:
    """The numbers of erased jobs stand on signed papers: no other job gets one."""
    scope = erased_numbers(firm_id)
    highest = max((*numbers, counters.counter(connection, scope)), default=0)
    connection.execute(delete(COUNTER).where(COUNTER.c.scope == scope))
    connection.execute(insert(COUNTER).values(scope=scope, value=highest))


def _needed(connection: Connection) -> set[str]:
    """Hashes that anything else still names: papers, and every entry of the record, so that it can be taken back."""
    needed = set(connection.execute(select(REVISION_FILE.c.file)).scalars())
    for body in connection.execute(select(RECORD.c.body)).scalars():
        needed |= set(_HASH.findall(body))
    return needed
