"""Many jobs at once, as sums of rows: no job is read whole for them."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, and_, func, select

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
    """Every task of every job's newest signed paper that hours were logged for.

    The three sums are read each by itself and put together here: joined in one statement they would be looked through
    once for every row, as sums have no keys.
    """
    hours, said = hours_logged(connection, firm_id), said_last(connection, firm_id)
    newest, job, task = newest_signed(firm_id).subquery(), TABLES["job"].c, KEPT_TASK.c
    query = (
        select(task.job_id, job.number, job.stage, task.zone, task.phase, *[task[name] for name in _OF_TASK])
        .join(newest, newest.c.id == task.revision_id)
        .join(TABLES["job"], and_(job.firm_id == firm_id, job.thing_id == task.job_id))
        .order_by(job.number, task.task, task.zone, task.phase)
    )
    found = []
    for row in connection.execute(query):
        job_id, number, stage, zone, phase, key, *rest = row
        at = (job_id, zone, phase, key)
        if at in hours:
            own = dict(zip(_OF_TASK, (key, *rest), strict=True))
            done: dict[str, Any] = {"quarters": hours[at], "percent": said.get(at)}
            found.append(WorkedTask(job_id=job_id, number=number, stage=stage, **own, **done))
    return found


At = tuple[str, str, str, str]  # job, zone, phase, task
_OF_TASK = (
    "task", "title", "unit", "crew", "own", "amount", "places", "slowed_amount", "slowed_places", "hours", "cents",
)  # fmt: skip


def hours_logged(connection: Connection, firm_id: str) -> Mapping[At, int]:
    """Quarters of an hour by job and place."""
    one = TABLES["logged_hours"].c
    at = (one.job_id, one.zone, one.phase, one.task)
    query = select(*at, func.sum(one.quarters)).where(one.firm_id == firm_id).group_by(*at)
    return {(row[0], row[1], row[2], row[3]): int(row[4]) for row in connection.execute(query)}


def said_last(connection: Connection, firm_id: str) -> Mapping[At, int]:
    """What was said last of how far each place is."""
    one = TABLES["said_done"].c
    query = select(one.job_id, one.zone, one.phase, one.task, one.percent).where(one.firm_id == firm_id)
    in_order = query.order_by(one.day, func.coalesce(one.said_at, ""), one.thing_id)
    return {(row[0], row[1], row[2], row[3]): row[4] for row in connection.execute(in_order)}


def unbid_quarters(connection: Connection, firm_id: str) -> Mapping[str, int]:
    """Quarters of an hour by job that were logged for no task of a signed job's bid."""
    newest, task = newest_signed(firm_id).subquery(), KEPT_TASK.c
    query = select(task.job_id, task.zone, task.phase, task.task).join(newest, newest.c.id == task.revision_id)
    bid = {(row[0], row[1], row[2], row[3]) for row in connection.execute(query)}
    signed = {at[0] for at in bid}
    found: dict[str, int] = {}
    for at, quarters in hours_logged(connection, firm_id).items():
        if at[0] in signed and at not in bid:
            found[at[0]] = found.get(at[0], 0) + quarters
    return found


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
