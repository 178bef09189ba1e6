"""Things as rows: read one, read all of a kind, make, change, remove; the list of jobs."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from sqlalchemy import (
    Connection,
    Delete,
    Insert,
    RowMapping,
    Select,
    Table,
    Update,
    and_,
    bindparam,
    delete,
    func,
    insert,
    or_,
    select,
)

from app.db.repositories import addresses
from app.db.tables.office import COUNTER
from app.db.tables.things import FIRM_THINGS, KEY_FIELD, KINDS, TABLES, field_names
from app.domain.codec import from_plain


@dataclass(frozen=True, slots=True)
class Row:
    """A thing as it is kept: its plain fields, its version, and the change that made it so."""

    kind: str
    thing_id: str
    job_id: str | None
    version: int
    last_change: str
    fields: Mapping[str, Any]

    def value(self) -> Any:
        """The row as its domain value."""
        return value_of(self.kind, self.thing_id, self.fields)


def value_of(kind: str, thing_id: str, fields: Mapping[str, Any]) -> Any:
    """Plain fields as a domain value; raises BadValue where they do not read as one."""
    key = KEY_FIELD[kind]
    known = {name: value for name, value in fields.items() if value is not None}  # None: as the field defaults
    return from_plain({**known, key: thing_id} if key else known, KINDS[kind])


@dataclass(frozen=True, slots=True, kw_only=True)
class Writing:
    """What is written of a row: all of it (`made`), the named fields, or that it is gone."""

    row: Row
    names: tuple[str, ...] = ()
    made: bool = False
    gone: bool = False


def write(connection: Connection, firm_id: str, writings: Iterable[Writing]) -> None:
    """Write rows, those of one kind and the same fields by one statement; no thing may be among them twice."""
    alike: dict[tuple[str, bool, bool, tuple[str, ...]], list[Row]] = {}
    held = tuple(writings)
    for one in held:
        alike.setdefault((one.row.kind, one.made, one.gone, one.names), []).append(one.row)
    for (kind, made, gone, names), rows in alike.items():
        if made:
            connection.execute(_insert(kind), [_columns(TABLES[kind], firm_id, row) for row in rows])
        elif gone:
            connection.execute(_delete(kind), [{"in_firm": firm_id, "in_thing": row.thing_id} for row in rows])
        else:
            columns = (*names, "version", "last_change")
            connection.execute(_update(kind, columns), [_written(firm_id, row, names) for row in rows])
    _follow_addresses(connection, firm_id, held)


def _follow_addresses(connection: Connection, firm_id: str, writings: Iterable[Writing]) -> None:
    """What jobs are found by moves with the rows it is of."""
    moved = [one.row for one in writings if addresses.touches(one.row.kind, one.names, whole=one.made or one.gone)]
    if moved:
        jobs, clients = ({row.thing_id for row in moved if row.kind == kind} for kind in ("job", "client"))
        addresses.follow(connection, firm_id, jobs, clients)


def _written(firm_id: str, row: Row, names: Iterable[str]) -> dict[str, Any]:
    values = {f"new_{name}": row.fields[name] for name in names}
    values |= {"new_version": row.version, "new_last_change": row.last_change}
    return values | {"in_firm": firm_id, "in_thing": row.thing_id}


def read_thing(connection: Connection, firm_id: str, kind: str, thing_id: str) -> Row | None:
    """One thing, or None."""
    found = connection.execute(_one(kind), {"firm": firm_id, "thing": thing_id}).one_or_none()
    return None if found is None else _row(kind, found._mapping)  # noqa: SLF001


def read_things(connection: Connection, firm_id: str, kind: str, job_id: str | None = None) -> list[Row]:
    """All things of a kind, of a job or of the firm, in the order of position, then id."""
    found = connection.execute(_all(kind, of_job=job_id is not None), {"firm": firm_id, "job": job_id})
    return [_row(kind, row._mapping) for row in found]  # noqa: SLF001


def versions(connection: Connection, firm_id: str, kind: str) -> dict[str, int]:
    """The version of every thing of a kind, by its id."""
    table = TABLES[kind]
    found = connection.execute(select(table.c.thing_id, table.c.version).where(table.c.firm_id == firm_id))
    return {row.thing_id: row.version for row in found}


@cache
def _one(kind: str) -> Select[Any]:
    table = TABLES[kind]
    return select(table).where(table.c.firm_id == bindparam("firm"), table.c.thing_id == bindparam("thing"))


@cache
def _all(kind: str, *, of_job: bool) -> Select[Any]:
    """All things of a kind, written once: building a statement costs more than running it."""
    table = TABLES[kind]
    query = select(table).where(table.c.firm_id == bindparam("firm"))
    if of_job:
        query = query.where(table.c.job_id == bindparam("job"))
    order = [table.c[name] for name in ("position", "number") if name in table.c]
    return query.order_by(*order, table.c.thing_id)


@cache
def _insert(kind: str) -> Insert:
    return insert(TABLES[kind])


@cache
def _delete(kind: str) -> Delete:
    table = TABLES[kind]
    return delete(table).where(table.c.firm_id == bindparam("in_firm"), table.c.thing_id == bindparam("in_thing"))


@lru_cache(maxsize=1024)
def _update(kind: str, names: tuple[str, ...]) -> Update:
    table = TABLES[kind]
    found = table.update().where(table.c.firm_id == bindparam("in_firm"), table.c.thing_id == bindparam("in_thing"))
    return found.values({name: bindparam(f"new_{name}", type_=table.c[name].type) for name in names})


def _columns(table: Table, firm_id: str, row: Row) -> dict[str, Any]:
    values = {name: row.fields.get(name) for name in field_names(row.kind)}
    values |= {"firm_id": firm_id, "thing_id": row.thing_id, "version": row.version, "last_change": row.last_change}
    return values | ({"job_id": row.job_id} if "job_id" in table.c else {})


def _row(kind: str, mapping: RowMapping) -> Row:
    fields = {name: mapping[name] for name in field_names(kind)}
    return Row(
        kind=kind,
        thing_id=mapping["thing_id"],
        job_id=mapping["job_id"] if kind not in FIRM_THINGS else None,
        version=mapping["version"],
        last_change=mapping["last_change"],
        fields=fields,
    )


def any_firm(connection: Connection) -> str | None:
    """The id of the firm this database belongs to, or None for a new one."""
    return connection.execute(select(TABLES["firm"].c.thing_id).limit(1)).scalar_one_or_none()


def all_job_ids(connection: Connection, firm_id: str) -> list[str]:
    """The ids of every job of the firm, by number."""
    table = TABLES["job"]
    query = select(table.c.thing_id).where(table.c.firm_id == firm_id).order_by(table.c.number, table.c.thing_id)
    return list(connection.execute(query).scalars())


def next_job_number(connection: Connection, firm_id: str) -> int:
    """The number after the highest job number the firm ever had, also of a job that was erased since."""
    table = TABLES["job"]
    highest = connection.execute(select(func.max(table.c.number)).where(table.c.firm_id == firm_id)).scalar_one()
    erased = connection.execute(_ERASED_NUMBER, {"in_scope": erased_numbers(firm_id)}).scalar_one_or_none()
    return max(int(highest or 0), erased or 0) + 1


_ERASED_NUMBER = select(COUNTER.c.value).where(COUNTER.c.scope == bindparam("in_scope"))


def erased_numbers(firm_id: str) -> str:
    """The counter that holds the highest number of a job that was erased."""
    return f"erased number:{firm_id}"


def has_job_number(connection: Connection, firm_id: str, number: int) -> bool:
    """Whether a job of the firm has this number."""
    table = TABLES["job"]
    query = select(table.c.thing_id).where(table.c.firm_id == firm_id, table.c.number == number).limit(1)
    return bool(number) and connection.execute(query).first() is not None


@dataclass(frozen=True, slots=True)
class JobLine:
    """A job as a line of the list."""

    job_id: str
    number: int
    title: str
    client: str
    town: str
    stage: str
    next_step: str
    next_day: str | None


def list_jobs(
    connection: Connection, firm_id: str, *, search: str = "", closed: bool = False, limit: int = 100, offset: int = 0
) -> list[JobLine]:
    """Jobs by next day, then those without one, the newest first; a search looks in title, client, street and town.

    Two queries, because each is read straight off the index `ix_job_next` and no sort of all jobs is needed.
    """
    job = TABLES["job"]
    wanted = _listed(firm_id, search, closed=closed)
    dated = wanted.where(job.c.next_day.is_not(None))
    lines = connection.execute(dated.order_by(job.c.next_day, job.c.number).limit(limit).offset(offset)).all()
    if len(lines) < limit:
        before = 0
        if offset:
            count = connection.execute(select(func.count()).select_from(dated.subquery())).scalar_one()
            before = max(0, offset - count)
        undated = wanted.where(job.c.next_day.is_(None)).order_by(job.c.number.desc())
        lines = [*lines, *connection.execute(undated.limit(limit - len(lines)).offset(before))]
    return [JobLine(row[0], row[1], row[2], " and ".join(n for n in (row[3], row[4]) if n), *row[5:]) for row in lines]


def _listed(firm_id: str, search: str, *, closed: bool) -> Select[Any]:
    """The columns of a line, of open or of closed jobs."""
    job, client = TABLES["job"], TABLES["client"]
    done = ("done", "lost")
    query = (
        select(
            job.c.thing_id,
            job.c.number,
            job.c.title,
            client.c.name,
            client.c.second_name,
            job.c.town,
            job.c.stage,
            job.c.next_step,
            job.c.next_day,
        )
        .join(client, and_(client.c.firm_id == job.c.firm_id, client.c.thing_id == job.c.client_id))
        .where(job.c.firm_id == firm_id, job.c.stage.in_(done) if closed else job.c.stage.not_in(done))
    )
    if not search:
        return query
    columns = (job.c.title, client.c.name, client.c.second_name, job.c.street, job.c.town)
    return query.where(or_(*[func.lower(column).contains(search.lower(), autoescape=True) for column in columns]))
