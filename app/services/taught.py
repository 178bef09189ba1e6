"""What finished jobs taught of hours: shown before and after, what it moves, and taken by the owner task by task."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from app.db.repositories import looking_back as rows
from app.db.repositories.looking_back import WorkedTask
from app.domain.basis import Task
from app.domain.errors import NotFound
from app.domain.looking_back.explain_rates import explain_lesson
from app.domain.looking_back.rates import Lesson, TaskJob, Told, lessons
from app.domain.takeoff.trace import Trace
from app.interchange.cells_out import csv_table
from app.services import book, jobs
from app.services.changes import Applied
from app.services.jobs import Order
from app.services.lessons import Lessons, refuse_other
from app.services.moved_drafts import MovedDraft, moved_drafts
from app.services.office import Office
from app.services.receivables import today_of

FIELDS = ("hours", "setup", "own_jobs", "learned_on", "learned")


@dataclass(frozen=True, slots=True, kw_only=True)
class Taught(Lessons[Lesson]):
    """All that jobs taught of hours."""


def taught(office: Office) -> Taught:
    """What the firm's finished jobs say of its tasks."""
    with office.database.read() as connection:
        worked = rows.worked_tasks(connection, office.firm_id)
        names = rows.job_names(connection, office.firm_id, {one.job_id for one in worked if one.finished})
    basis = office.basis()
    found = lessons(basis.tasks, basis.firm, _by_task(worked, basis.tasks), today_of(office))
    return Taught(lessons=found, names=names, own=book.own(office, "task"))


def lesson_of(office: Office, key: str) -> tuple[Taught, Lesson]:
    """What jobs make of one task. Raises: NotFound."""
    known = taught(office)
    found = next((one for one in known.lessons if one.task.key == key), None)
    if found is None:
        raise NotFound("No finished job says anything of this task (any more).")
    return known, found


def _by_task(worked: Sequence[WorkedTask], tasks: Mapping[str, Task]) -> Mapping[str, Sequence[TaskJob]]:
    """Finished places of each job together, by task; places in another unit than the task has now are left out."""
    held: dict[tuple[str, str], list[WorkedTask]] = {}
    for one in worked:
        if one.finished and not one.own and one.task in tasks and tasks[one.task].unit == one.unit:
            held.setdefault((one.task, one.job_id), []).append(one)
    found: dict[str, list[TaskJob]] = {}
    for (task, job_id), places in held.items():
        found.setdefault(task, []).append(_together(job_id, places))
    return found


def _together(job_id: str, places: Sequence[WorkedTask]) -> TaskJob:
    count = sum(one.places for one in places)
    return TaskJob(
        job_id=job_id,
        number=places[0].number,
        hours=sum(one.quarters for one in places) / 4,
        bid_hours=sum(one.hours for one in places),
        amount=sum(one.slowed_amount for one in places),
        places=sum(one.slowed_places for one in places),
        size=sum(one.amount for one in places) / count if count else 0.0,
    )


async def moved_by(office: Office, changed: Mapping[str, Task]) -> list[MovedDraft]:
    """Drafts whose price these tasks would move, the furthest first."""
    now = office.basis()
    after = replace(now, tasks={**now.tasks, **changed})
    return await moved_drafts(office, after, "task", changed)


def take(office: Office, key: str, version: int, mark: str, order: Order) -> Applied | None:
    """Make what was shown the firm's own, in one change that can be undone; sent twice it is the same change.

    Raises: NotFound, Stale; Refused where jobs say something else by now than what was shown.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    _, found = lesson_of(office, key)
    refuse_other(found, found.task.title, mark)
    fields = {name: getattr(found.after, name) for name in FIELDS}
    what = f"Hours from own jobs: {found.task.title}"[:60]
    return book.set_fields(office, "task", key, version, fields, replace(order, what=what))


def explained(office: Office, figure: str) -> Trace:
    """How a figure came about: `WHAT:TASK`. Raises: NotFound."""
    what, _, key = figure.partition(":")
    known, found = lesson_of(office, key)
    trace = explain_lesson(found, what, lambda told: known.name(told.job.job_id, told.job.number))
    if trace is None:
        raise NotFound("This figure is not on the page any more. Open it again.")
    return trace


TABLE = (
    "Task", "Unit", "Usual hours now", "Usual hours from jobs", "Usual set-up now", "Usual set-up from jobs",
    "Weight of the jobs", "Job number", "Job", "Hours logged", "Hours bid", "Hours expected", "Counts",
)  # fmt: skip


def table(office: Office) -> bytes:
    """Every task with every job behind it, as a table."""
    known = taught(office)
    return csv_table(TABLE, (_cells(known, one, told) for one in known.lessons for told in one.jobs))


def _cells(known: Taught, one: Lesson, told: Told) -> list[object]:
    job = told.job
    hours = (one.task.hours[1], one.after.hours[1], one.task.setup[1], one.after.setup[1])
    worked = (job.hours, round(job.bid_hours, 2), round(told.expected, 2), round(told.counts, 3))
    named = (job.number, known.name(job.job_id, job.number))
    return [one.task.title, one.task.unit, *hours, round(one.moved.rate_weight, 3), *named, *worked]
