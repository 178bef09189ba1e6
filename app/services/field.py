"""What the crew is shown: jobs that are signed or being built, their sheets, what is bought, and pictures. No money."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

from app.db.repositories.things import JobLine
from app.domain.crew import CrewSheet
from app.domain.errors import BadValue, NotFound
from app.domain.job import Job, LoggedVisit, Phase, Photo, Stage
from app.domain.joblog.happenings import not_passed
from app.domain.orders import OrderList
from app.services import build, jobs
from app.services.build import CALL_FIRST, Stands
from app.services.changes import Applied
from app.services.day_sheets import crew_days, days_to_take
from app.services.home import every_job
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.revisions import today_at
from app.services.sheets import Sheet, sheet
from app.services.waiting import free_on

BUILT = frozenset({Stage.SIGNED, Stage.BUILDING})
AHEAD = timedelta(days=7)
LONGEST_NOTE = 2_000  # characters
TAKEN_THERE = frozenset({"during", "after"})  # pictures of the work; those from before are the office's


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldJob:
    """A job as the crew sees it."""

    stands: Stands
    crews: Sequence[CrewSheet]
    orders: Sequence[OrderList]
    photos: Sequence[Photo]
    call_first: bool  # whether lines must be located before anything is dug
    trades: Mapping[str, Sequence[str]]  # licensed trades, and what of the job nobody else does
    unasked: Sequence[str]  # private lines that nobody asked about
    not_passed: Sequence[LoggedVisit]  # inspections that stand as not passed
    today: date
    on_today: bool  # whether anything is planned today
    free_on: date | None  # the first day work may begin, while the client may still cancel


def field_jobs(office: Office) -> list[JobLine]:
    """Jobs that are signed or being built."""
    return [line for line in every_job(office) if line.stage in BUILT]


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """A job of the coming days: the phases that are built in them, and the pages of it to take along."""

    job: Job
    phases: tuple[Phase, ...]
    pages: tuple[str, ...]


def _trades(crews: Iterable[CrewSheet]) -> Mapping[str, Sequence[str]]:
    """What each trade does, each piece of work once."""
    found: dict[str, dict[str, None]] = defaultdict(dict)
    for part in (part for one in crews for part in one.trades):
        found[part.trade][part.what] = None
    return {trade: tuple(works) for trade, works in found.items()}


def week(office: Office) -> tuple[Week, ...]:
    """The jobs of which something is built today or begins within the next seven days, the earliest first."""
    found = []
    for line in field_jobs(office):
        job = jobs.open_job(office, UUID(line.job_id)).job
        phases = phases_now(job, today_at(office, job.head.time_zone))
        if phases:
            view = field_view(office, job.head.id)
            days = days_to_take(office, view, AHEAD)
            pages = (*_pages(field_job(office, job.head.id), job.head.id), *_day_pages(office, job.head.id, days))
            found.append(Week(job=job, phases=phases, pages=pages))
    return tuple(sorted(found, key=_by_day))


def _by_day(one: Week) -> tuple[date, int]:
    return min(phase.start for phase in one.phases if phase.start), one.job.head.number


def phases_now(job: Job, today: date) -> tuple[Phase, ...]:
    """The phases that have begun and are not done, or begin within the seven days after today."""
    return tuple(one for one in job.phases if one.start and one.start <= today + AHEAD and one.done is None)


def _pages(made: FieldJob, job_id: UUID) -> tuple[str, ...]:
    """The addresses of a job's pages and small pictures in the yard."""
    home = f"/field/{job_id}"
    sheets = [f"{home}/crew/{build.crew_key(one)}" for one in made.crews]
    pictures = [f"{home}/photos/{one.id}/small" for one in made.photos]
    return (
        home,
        f"{home}/log",
        f"{home}/day",
        f"{home}/after",
        f"{home}/plan",
        f"{home}/layout",
        f"{home}/orders",
        f"{home}/left",
        *sheets,
        *pictures,
    )


def _day_pages(office: Office, job_id: UUID, days: Sequence[date]) -> tuple[str, ...]:
    """The sheets of these days, everybody's and each one's own, in their language."""
    home = f"/field/{job_id}/days"
    own = [f"{home}/{day}/{one.key}" for day in days for one in office.firm().crew]
    return (home, *(f"{home}/{day}" for day in days), *own)


def note_from_yard(office: Office, job_id: UUID, words: str, order: Order) -> Applied | None:
    """Add a line to the job's own note, which never leaves the firm, with the day and who wrote it.

    Raises: BadValue beside `words`; NotFound for a job that is not built.
    """
    view = field_view(office, job_id)
    if not words.strip():
        raise BadValue("The note is empty. Type it, then send it.", field="words")
    if jobs.is_saved(office, order.change_id):
        return None
    head = view.job.head
    day = today_at(office, head.time_zone)
    line = f"{day:%b} {day.day}, {office.who()}: {words.strip()[:LONGEST_NOTE]}"
    whole = "\n".join(part for part in (head.private_note, line) if part)
    edit = changed("job", job_id, view.opened.version("job", job_id), {"private_note": whole})
    return jobs.save(office, job_id, (edit,), replace(order, what="Note from the yard"))


def field_view(office: Office, job_id: UUID) -> Sheet:
    """A job that the crew builds. Raises: NotFound for any other."""
    view = sheet(office, job_id)
    if view.job.head.stage not in BUILT:
        raise NotFound("No such job is being built. The office moves a job here once it is signed.")
    return view


def field_job(office: Office, job_id: UUID) -> FieldJob:
    """A job with its sheets. Raises: NotFound."""
    view = field_view(office, job_id)
    made = build.build_sheet(office, view)
    return FieldJob(
        stands=made.stands,
        crews=[one for one in made.crews if not one.empty],
        orders=made.orders,
        photos=[one for one in view.job.photos if one.when in TAKEN_THERE],
        call_first=any(one.rule == CALL_FIRST for one in made.stops),
        trades=_trades(made.crews),
        unasked=made.unasked,
        not_passed=not_passed(view.job.logged_visits),
        today=view.today,
        on_today=view.today in crew_days(office, view).days,
        free_on=free_on(made.holds),
    )
