"""Money of all jobs at once: what is owed by job, and what was paid, as rows."""

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Connection, func, select

from app.db.repositories.invoices import INVOICE, ISSUED
from app.db.repositories.things import value_of
from app.db.tables.office import REVISION
from app.db.tables.things import TABLES, field_names


def owing(connection: Connection, firm_id: str) -> Mapping[str, int]:
    """What each job with invoices owes [cents], by its id: invoiced less received; nothing owed is left out."""
    where = (REVISION.c.firm_id == firm_id, REVISION.c.kind == INVOICE, REVISION.c.state == ISSUED)
    billed = select(REVISION.c.job_id, func.sum(REVISION.c.price_cents)).where(*where).group_by(REVISION.c.job_id)
    paid = TABLES["received_payment"]
    counted = (paid.c.firm_id == firm_id, func.coalesce(paid.c.taken_back, "") == "")
    received = select(paid.c.job_id, func.sum(paid.c.cents)).where(*counted).group_by(paid.c.job_id)
    came = {job_id: int(cents) for job_id, cents in connection.execute(received)}
    owed = {job_id: int(cents) - came.get(job_id, 0) for job_id, cents in connection.execute(billed)}
    return {job_id: cents for job_id, cents in owed.items() if cents > 0}


def things_of_firm(connection: Connection, firm_id: str, kind: str) -> Iterator[tuple[str, Any]]:
    """Every thing of a kind in any job of the firm, with its job's id, by day."""
    table = TABLES[kind]
    names = field_names(kind)
    columns = [table.c[name] for name in names]
    query = select(table.c.job_id, table.c.thing_id, *columns).where(table.c.firm_id == firm_id)
    for row in connection.execute(query.order_by(table.c.day, table.c.thing_id)):
        yield row[0], value_of(kind, row[1], dict(zip(names, row[2:], strict=True)))


def jobs_with(connection: Connection, firm_id: str, kind: str, first: str, last: str, *, by: str = "day") -> set[str]:
    """The jobs that have a thing of a kind on days from `first` to `last` (ISO); `by` names the column of the day."""
    table = TABLES[kind]
    where = (table.c.firm_id == firm_id, table.c[by] >= first, table.c[by] <= last)
    return set(connection.execute(select(table.c.job_id).where(*where).distinct()).scalars())
