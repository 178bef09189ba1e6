"""Many jobs at once, as sums of rows: no job is read whole for them."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Subquery, and_, desc, func, select

from app.db.repositories.kept_papers import newest_signed
from app.db.tables.kept import KEPT_TASK
from app.db.tables.things import TABLES

DONE_STAGE = "done"
DONE = 100


@dataclass(frozen=True, slots=True)
class JobName:
    """A job as a list names it."""

    job_id: str
    number: int
    title: str
    client: str
    stage: str

    @property
    def words(self) -> str:
        """Its client and what it is."""
        return ", ".join(one for one in (self.client, self.title) if one)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedTask:
    """A task of one place of a job as it was signed, with the hours logged for it and how far it is said to be."""

    job_id: str
    number: int
    stage: str
    task: str
    title: str
    unit: str
    crew: str
    own: bool
    amount: float
    places: int
    slowed_amount: float
    slowed_places: float
    hours: float
    cents: int
    quarters: int
    percent: int | None

    @property
    def finished(self) -> bool:
        """Whether nothing more will be worked at it: it is said to be done, or the job is."""
        return self.percent == DONE or self.stage == DONE_STAGE


def worked_tasks(connection: Connection, firm_id: str) -> list[WorkedTask]:
    """Every task of every job's newest signed paper that hours were logged for."""
    newest, hours, said = newest_signed(firm_id).subquery(), hours_logged(firm_id), said_last(firm_id)
    job, task = TABLES["job"], KEPT_TASK
    at = ("zone", "phase", "task")
    own = (
        "task", "title", "unit", "crew", "own", "amount", "places", "slowed_amount", "slowed_places", "hours", "cents",
    )  # fmt: skip
    query = (
        select(
            task.c.job_id,
            job.c.number,
            job.c.stage,
            *[task.c[name] for name in own],
            hours.c.quarters,
            said.c.percent,
        )
        .join(newest, newest.c.id == task.c.revision_id)
        .join(job, and_(job.c.firm_id == firm_id, job.c.thing_id == task.c.job_id))
        .join(hours, and_(hours.c.job_id == task.c.job_id, *[hours.c[name] == task.c[name] for name in at]))
        .outerjoin(said, and_(said.c.job_id == task.c.job_id, *[said.c[name] == task.c[name] for name in at]))
        .order_by(job.c.number, task.c.task, task.c.zone, task.c.phase)
    )
    return [WorkedTask(**row) for row in connection.execute(query).mappings()]


def hours_logged(firm_id: str) -> Subquery:
    """Quarters of an hour by job and place."""
    one = TABLES["logged_hours"].c
    at = (one.job_id, one.zone, one.phase, one.task)
    return select(*at, func.sum(one.quarters).label("quarters")).where(one.firm_id == firm_id).group_by(*at).subquery()


def said_last(firm_id: str) -> Subquery:
    """What was said last of how far each place is."""
    one = TABLES["said_done"].c
    at = (one.job_id, one.zone, one.phase, one.task)
    newest = func.row_number().over(
        partition_by=at, order_by=(desc(one.day), desc(func.coalesce(one.said_at, "")), desc(one.thing_id))
    )
    ranked = select(*at, one.percent, newest.label("place")).where(one.firm_id == firm_id).subquery()
    return select(ranked).where(ranked.c.place == 1).subquery()


def unbid_quarters(connection: Connection, firm_id: str) -> Mapping[str, int]:
    """Quarters of an hour by job that were logged for no task of a signed job's bid."""
    newest, one = newest_signed(firm_id).subquery(), TABLES["logged_hours"].c
    task = KEPT_TASK.c
    bid = and_(task.revision_id == newest.c.id, task.zone == one.zone, task.phase == one.phase, task.task == one.task)
    query = (
        select(one.job_id, func.sum(one.quarters))
        .join(newest, newest.c.job_id == one.job_id)
        .outerjoin(KEPT_TASK, bid)
        .where(one.firm_id == firm_id, task.revision_id.is_(None))
        .group_by(one.job_id)
    )
    return {job_id: int(quarters) for job_id, quarters in connection.execute(query)}


def job_names(connection: Connection, firm_id: str, job_ids: Collection[str]) -> Mapping[str, JobName]:
    """What jobs are called, by id; those that are gone are left out."""
    job, client = TABLES["job"].c, TABLES["client"].c
    query = (
        select(job.thing_id, job.number, job.title, client.name, client.second_name, job.stage)
        .join(TABLES["client"], and_(client.firm_id == job.firm_id, client.thing_id == job.client_id))
        .where(job.firm_id == firm_id, job.thing_id.in_(list(job_ids)))
    )
    return {row[0]: _named(row) for row in connection.execute(query)}


def _named(row: Any) -> JobName:
    return JobName(row[0], row[1], row[2] or "", " and ".join(one for one in (row[3], row[4]) if one), row[5])
