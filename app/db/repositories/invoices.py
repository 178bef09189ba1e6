"""Invoices as rows: revisions of a kind of their own, numbered through the firm without a gap."""

from collections.abc import Sequence

from sqlalchemy import Connection, desc, insert, select, update

from app.db.repositories.counters import counter
from app.db.repositories.revisions import Revision, revisions_where
from app.db.tables.office import COUNTER, REVISION

INVOICE = "invoice"
ISSUED, VOID = "offered", "withdrawn"  # as the table of revisions has them


def invoices_of(connection: Connection, job_id: str) -> Sequence[Revision]:
    """All invoices of a job, the newest first."""
    where = (REVISION.c.job_id == job_id, REVISION.c.kind == INVOICE)
    return revisions_where(connection, select(REVISION).where(*where).order_by(desc(REVISION.c.number)))


def all_invoices(connection: Connection, firm_id: str) -> Sequence[Revision]:
    """All invoices of the firm, the newest first."""
    where = (REVISION.c.firm_id == firm_id, REVISION.c.kind == INVOICE)
    return revisions_where(connection, select(REVISION).where(*where).order_by(desc(REVISION.c.number)))


def last_number(connection: Connection, firm_id: str) -> int:
    """The last number given to an invoice of the firm; 0 where none was. One that was erased counts: it was given."""
    return counter(connection, _scope(firm_id))


def give_number(connection: Connection, firm_id: str, number: int) -> None:
    """Write down that a number is given. It is never given again, whatever becomes of its invoice."""
    raised = update(COUNTER).where(COUNTER.c.scope == _scope(firm_id)).values(value=number)
    if connection.execute(raised).rowcount == 0:
        connection.execute(insert(COUNTER).values(scope=_scope(firm_id), value=number))


def _scope(firm_id: str) -> str:
    return f"invoices:{firm_id}"
