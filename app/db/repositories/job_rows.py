"""A job whole from its rows; and read again after changes: the rows that changed, everything else as it was read.

What did not change stays the very same value, tuple for tuple, so that whatever was worked out from it is found again.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Select, bindparam, select

from app.db.repositories import record
from app.db.repositories.record import Mark, Since
from app.db.repositories.things import read_thing, read_things
from app.db.tables.office import COUNTER
from app.db.tables.things import TABLES
from app.domain.job import JOB_THINGS, Client, Job

SINGLE = frozenset({"job", "client", "site"})
FEW = 24  # edited things of a kind: of more of them the kind is read whole

Versions = dict[tuple[str, str], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRows:
    """A job with the version of each of its things, by kind and id, and how new all of it is.

    `client_change` is the change that made the client's row as it is: a client may be edited through another job.
    """

    job: Job
    versions: Mapping[tuple[str, str], int]
    counter: int
    mark: Mark | None
    client_change: str


def read_job(
    connection: Connection, firm_id: str, job_id: str, known: JobRows | None = None, since: Since | None = None
) -> JobRows | None:
    """A job, or None. Of what was `known` of it only what was edited `since` is read, where that is known."""
    if known is None or since is None:
        return _read_whole(connection, firm_id, job_id)
    if not since.edited and since.mark == known.mark:
        return known
    count, client_change = _newness(connection, firm_id, job_id, str(known.job.head.client_id))
    edited = set(since.edited)
    if client_change != known.client_change:
        edited.add(("client", str(known.job.head.client_id)))
    reading = _Reading(connection, firm_id, job_id, dict(known.versions))
    values = {JOB_THINGS[kind][1]: reading.again(kind, ids, known.job) for kind, ids in _by_kind(edited).items()}
    head = values.get("head", known.job.head)
    if head is None or head.client_id != known.job.head.client_id or None in values.values():
        return _read_whole(connection, firm_id, job_id)
    return JobRows(
        job=replace(known.job, **values) if values else known.job,
        versions=reading.versions if values else known.versions,
        counter=count,
        mark=since.mark,
        client_change=client_change,
    )


def _read_whole(connection: Connection, firm_id: str, job_id: str) -> JobRows | None:
    reading = _Reading(connection, firm_id, job_id, {})
    head = reading.one("job", job_id)
    if head is None:
        return None
    client = str(head.client_id)
    values: dict[str, Any] = {"head": head, "client": reading.one("client", client) or Client(id=head.client_id)}
    for kind, (_, name) in JOB_THINGS.items():
        if kind not in {"job", "client"}:
            own = reading.all(kind)
            values[name] = own[0] if kind == "site" else own
    count, client_change = _newness(connection, firm_id, job_id, client)
    return JobRows(
        job=Job(**values),
        versions=reading.versions,
        counter=count,
        mark=record.mark(connection, job_id),
        client_change=client_change,
    )


@dataclass(frozen=True, slots=True)
class _Reading:
    """One reading of a job; `versions` are brought up to date by what is read."""

    connection: Connection
    firm_id: str
    job_id: str
    versions: Versions

    def one(self, kind: str, thing_id: str) -> Any:
        """A thing's value, or None."""
        row = read_thing(self.connection, self.firm_id, kind, thing_id)
        if row is None:
            self.versions.pop((kind, thing_id), None)
            return None
        self.versions[kind, thing_id] = row.version
        return row.value()

    def all(self, kind: str) -> tuple[Any, ...]:
        """All values of a kind, in their order."""
        rows = read_things(self.connection, self.firm_id, kind, self.job_id)
        self.versions.update({(kind, row.thing_id): row.version for row in rows})
        return _in_order(row.value() for row in rows)

    def again(self, kind: str, ids: Collection[str], known: Job) -> Any:
        """The field of the job that holds a kind, with the things of these ids as they are now; None: it is gone."""
        if kind in SINGLE:
            return self.one(kind, next(iter(ids)))
        before = getattr(known, JOB_THINGS[kind][1])
        numbers = {UUID(one).int for one in ids}
        kept = tuple([one for one in before if one.id.int not in numbers])
        if len(ids) > FEW:
            for thing_id in ids:
                self.versions.pop((kind, thing_id), None)
            return _in_order((*kept, *(one for one in self.all(kind) if str(one.id) in ids)))
        now = {one.id.int: one for one in [self.one(kind, thing_id) for thing_id in ids] if one is not None}
        there = {one.id.int: _position(one) for one in before if one.id.int in now}
        if there == {number: _position(one) for number, one in now.items()}:  # each stays where it stood
            return tuple([now.get(one.id.int, one) for one in before if one.id.int in now or one.id.int not in numbers])
        return _in_order((*kept, *now.values()))


def _in_order(values: Any) -> tuple[Any, ...]:
    """Things by position (phases by number), then by id."""
    return tuple(sorted(values, key=lambda one: (_position(one), one.id.hex)))


def _position(one: Any) -> Any:
    return getattr(one, "position", getattr(one, "number", 0))


def _by_kind(edited: Collection[tuple[str, str]]) -> Mapping[str, frozenset[str]]:
    kinds = dict.fromkeys(kind for kind, _ in edited)
    return {kind: frozenset(own for of, own in edited if of == kind) for kind in kinds}


_CLIENT = TABLES["client"].c
_NEWNESS: Select[Any] = select(
    select(COUNTER.c.value).where(COUNTER.c.scope == bindparam("in_scope")).scalar_subquery(),
    select(_CLIENT.last_change)
    .where(_CLIENT.firm_id == bindparam("in_firm"), _CLIENT.thing_id == bindparam("in_client"))
    .scalar_subquery(),
)


def _newness(connection: Connection, firm_id: str, job_id: str, client: str) -> tuple[int, str]:
    """How often the job has changed, and by which change the client's row is as it is."""
    given = {"in_scope": f"job:{job_id}", "in_firm": firm_id, "in_client": client}
    count, client_change = connection.execute(_NEWNESS, given).one()
    return count or 0, client_change or ""
