"""Yards that were handed over, of all jobs at once: for the visits that are due, and for clients who wait."""

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from sqlalchemy import Connection, and_, func, select

from app.db.tables.things import TABLES


class HandedOverRow(NamedTuple):
    """A job that was handed over: the day, and what names it."""

    job_id: str
    day: date
    number: int
    title: str
    client: str
    town: str


class TypedVisit(NamedTuple):
    """A visit that was moved or made."""

    day: date
    done: bool


class WaitingClient(NamedTuple):
    """Something that a client sent and nobody answered or settled."""

    job_id: str
    day: date
    what: str
    question: bool
    title: str
    client: str


def waiting_clients(connection: Connection, firm_id: str) -> list[WaitingClient]:
    """Everything of all jobs that clients sent and wait for, the oldest first."""
    call, job, client = TABLES["warranty_call"], TABLES["job"], TABLES["client"]
    named = (job.c.title, client.c.name, client.c.second_name)
    query = (
        select(call.c.job_id, call.c.day, call.c.what, call.c.question, *named)
        .join(job, and_(job.c.firm_id == call.c.firm_id, job.c.thing_id == call.c.job_id))
        .join(client, and_(client.c.firm_id == job.c.firm_id, client.c.thing_id == job.c.client_id))
        .where(call.c.firm_id == firm_id, func.coalesce(call.c.asked_by, "") != "", call.c.done_on.is_(None))
        .where(func.coalesce(call.c.answer, "") == "")
        .order_by(call.c.day, call.c.said_at, call.c.thing_id)
    )
    return [
        WaitingClient(
            row[0], date.fromisoformat(row[1]), row[2], bool(row[3]), row[4] or "", " and ".join(filter(None, row[5:7]))
        )
        for row in connection.execute(query)
    ]


def handed_over_jobs(connection: Connection, firm_id: str) -> list[HandedOverRow]:
    """Every job that was handed over, by the day."""
    over, job, client = TABLES["handed_over"], TABLES["job"], TABLES["client"]
    query = (
        select(over.c.job_id, over.c.day, job.c.number, job.c.title, client.c.name, client.c.second_name, job.c.town)
        .join(job, and_(job.c.firm_id == over.c.firm_id, job.c.thing_id == over.c.job_id))
        .join(client, and_(client.c.firm_id == job.c.firm_id, client.c.thing_id == job.c.client_id))
        .where(over.c.firm_id == firm_id)
        .order_by(over.c.day, over.c.job_id)
    )
    return [
        HandedOverRow(row[0], date.fromisoformat(row[1]), row[2], row[3], " and ".join(filter(None, row[4:6])), row[6])
        for row in connection.execute(query)
    ]


def typed_visits(connection: Connection, firm_id: str) -> Mapping[tuple[str, int], TypedVisit]:
    """The visits that were moved or made, by job and days after hand-over."""
    visit = TABLES["warranty_visit"]
    query = select(visit.c.job_id, visit.c.after_days, visit.c.day, visit.c.done_on).where(visit.c.firm_id == firm_id)
    return {
        (row[0], row[1]): TypedVisit(date.fromisoformat(row[2]), row[3] is not None)
        for row in connection.execute(query)
    }
