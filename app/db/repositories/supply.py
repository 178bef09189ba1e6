"""Which jobs have an order whose day is past: looked up by days alone, whatever became of it."""

from sqlalchemy import Connection, func, or_, select

from app.db.tables.things import TABLES

CLOSED = ("done", "lost")


def jobs_with_a_day_past(connection: Connection, firm_id: str, today: str) -> list[str]:
    """Open jobs with an order to be sent, or one promised or wanted, before today (ISO)."""
    order, job = TABLES["supply_order"].c, TABLES["job"].c
    late = or_(
        (order.sent_on.is_(None)) & (order.send_by < today),
        (order.sent_on.is_not(None)) & (func.coalesce(order.promised_on, order.deliver_on) < today),
    )
    where = (order.firm_id == firm_id, order.called_off_on.is_(None), late, job.stage.not_in(CLOSED))
    query = select(order.job_id).where(job.firm_id == order.firm_id, job.thing_id == order.job_id, *where).distinct()
    return sorted(connection.execute(query).scalars())
