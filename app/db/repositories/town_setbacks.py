"""Setbacks of all jobs at once, by the town they were typed for: what a town asks is asked there once."""

from typing import NamedTuple

from sqlalchemy import Connection, and_, func, select

from app.db.tables.things import TABLES


class SetbacksOfJob(NamedTuple):
    """A job with setbacks: what names it, where its yard lies, how many there are."""

    job_id: str
    number: int
    title: str
    town: str
    state: str
    rows: int


def jobs_with_setbacks(connection: Connection, firm_id: str) -> list[SetbacksOfJob]:
    """Every job with setbacks, the newest first; where its yard lies by its own place, else by its client's."""
    row, job, client = TABLES["setback"], TABLES["job"], TABLES["client"]
    of_firm = select(row.c.job_id, func.count().label("count")).where(row.c.firm_id == firm_id)
    counted = of_firm.group_by(row.c.job_id).subquery()
    query = (
        select(job.c.thing_id, job.c.number, job.c.title, job.c.street)
        .add_columns(job.c.town, client.c.town, job.c.state, client.c.state, counted.c.count)
        .join(counted, counted.c.job_id == job.c.thing_id)
        .join(client, and_(client.c.firm_id == job.c.firm_id, client.c.thing_id == job.c.client_id))
        .where(job.c.firm_id == firm_id)
        .order_by(job.c.number.desc(), job.c.thing_id)
    )
    return [
        SetbacksOfJob(key, number, title or street or f"Job {number}", town or its or "", state or his or "", rows)
        for key, number, title, street, town, its, state, his, rows in connection.execute(query)
    ]
