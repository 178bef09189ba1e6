"""The daily log: hours by person and task as the crew or the office writes them, held against what was bid."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID, uuid5

from app.db.repositories.worked import people_who_worked
from app.domain.errors import BadValue, NotFound
from app.domain.job import PERCENTS, WHOLE_JOB, Job, LoggedHours, SaidDone
from app.domain.joblog import AgainstBid, BidTask, LogDay, Row, TaskPlace, against_bid, bid_tasks, log_days
from app.domain.joblog.against_bid import DONE
from app.domain.joblog.daily_log import refuse_longer_than_a_day
from app.domain.joblog.explain_log import explain_day, explain_log
from app.domain.takeoff.trace import Trace
from app.services import jobs
from app.services.build import BuildSheet, build_sheet, built_estimate
from app.services.changes import Applied
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.sheets import Sheet, sheet

MOST_PEOPLE = 12  # at once
RECENT_DAYS, RECENT_TASKS = 2, 6
DAYS_BACK = 60  # what is written on a phone lies no further back


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A zone or the whole job as the log names it, with its tasks."""

    key: str
    letter: str
    title: str
    tasks: tuple[BidTask, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DailyLog:
    """The log of a job as it stands: what was bid, who works, what is logged, and how that compares."""

    job: Job  # as it is built: what was signed, else the draft
    is_signed: bool
    today: date
    tasks: tuple[BidTask, ...]
    people: tuple[str, ...]  # known ones: of the latest day, of the crew, others who worked
    last: tuple[str, ...]  # of the latest day
    days: tuple[LogDay, ...]
    against: AgainstBid
    titles: Mapping[str, str]  # of tasks by key
    phases: Mapping[TaskPlace, str]  # of tasks that stand in several phases of one zone
    percents: tuple[int, ...] = PERCENTS

    @property
    def places(self) -> tuple[Place, ...]:
        """The zones in their order, then the job as a whole, each with the crew's tasks."""
        crew = [one for one in self.tasks if not one.own]
        named = [(str(zone.id), zone.letter, zone.title) for zone in self.job.zones]
        named.append((WHOLE_JOB, "", ""))
        return tuple(
            Place(key=key, letter=letter, title=title, tasks=tuple(one for one in crew if one.at.zone == key))
            for key, letter, title in named
        )

    @property
    def recent(self) -> tuple[BidTask, ...]:
        """Tasks of the bid that were worked on the last two days and are not done: most likely the next ones."""
        rows = {row.bid.at: row for row in self.begun if row.percent != DONE}
        hours = [one for day in self.days[:RECENT_DAYS] for one in day.hours]
        places = (TaskPlace(one.zone, one.phase, one.task) for one in hours)
        return tuple(rows[at].bid for at in dict.fromkeys(places) if at in rows)[:RECENT_TASKS]

    @property
    def begun(self) -> tuple[Row, ...]:
        """Tasks of the bid with hours."""
        return tuple(row for row in self.against.rows if row.in_bid and row.quarters)

    def zone_title(self, key: str) -> str:
        """What a zone is called; empty for the job as a whole, or for one that is gone."""
        return next((zone.title for zone in self.job.zones if str(zone.id) == key), "")

    def phase_of(self, task: BidTask) -> str:
        """The phase of a task that stands in several phases of one zone; else nothing."""
        return self.phases.get(task.at, "")


def daily_log(office: Office, view: Sheet) -> DailyLog:
    """The log of a job that is open, against what it is built from."""
    built = build_sheet(office, view)
    stands, job = built.stands, view.job
    tasks = _tasks(office, view, built)
    titles = {
        **{key: task.title for key, task in stands.basis.tasks.items()},
        **{one.at.task: one.title for one in tasks},
    }
    days = log_days(job.logged_hours)
    last = days[0].people if days else ()
    return DailyLog(
        job=stands.job,
        is_signed=stands.signed is not None,
        today=view.today,
        tasks=tasks,
        people=tuple(dict.fromkeys((*last, *_people(office)))),
        last=last,
        days=days,
        against=against_bid(tasks, job.logged_hours, job.said_done, titles),
        titles=titles,
        phases=_told_apart(tasks, stands.job),
    )


def _told_apart(tasks: Sequence[BidTask], job: Job) -> Mapping[TaskPlace, str]:
    """The phase of each task that stands in several phases of one zone."""
    named = {str(one.id): f"{one.number} {one.title}".strip() for one in job.phases}
    counted = Counter((one.at.zone, one.at.task) for one in tasks)
    return {one.at: named.get(one.at.phase, "") for one in tasks if counted[one.at.zone, one.at.task] > 1}


def _tasks(office: Office, view: Sheet, built: BuildSheet) -> tuple[BidTask, ...]:
    return bid_tasks(built.stands.job, built_estimate(office, view))


def _people(office: Office) -> Sequence[str]:
    """The firm's crew first, then whoever else worked on a job."""
    with office.database.read() as connection:
        return (*(one.name for one in office.firm().crew), *people_who_worked(connection, office.firm_id))


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Hours as they are told: of whom, on which day, at what."""

    people: tuple[str, ...]
    day: date
    quarters: int
    at: TaskPlace | None
    words: str = ""


def log_hours(office: Office, view: Sheet, told: Told, order: Order) -> Applied | None:
    """Write the same hours down for each of these people, in one change; sent twice, it is the same change.

    Raises: BadValue beside what is missing or cannot be.
    """
    people = tuple(dict.fromkeys(name.strip() for name in told.people if name.strip()))
    at = _known_place(told.at)
    _refuse_unfit(people, at, told.words)
    refuse_day(told.day, view.today)
    if jobs.is_saved(office, order.change_id):
        return None
    new = [
        LoggedHours(
            id=uuid5(order.change_id, name),
            day=told.day,
            person=name,
            quarters=told.quarters,
            **at._asdict(),
            words=told.words,
            said_by=office.who(),
            said_at=office.clock(),
        )
        for name in people
    ]
    refuse_longer_than_a_day(view.job.logged_hours, new)
    edits = tuple(made("logged_hours", one) for one in new)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Hours of {', '.join(people)}"[:120]))


def _known_place(at: TaskPlace | None) -> TaskPlace:
    if at is None:
        raise BadValue("No task is tapped. Tap what was worked on, then the hours.", field="at")
    return at


def _refuse_unfit(people: Sequence[str], at: TaskPlace, words: str) -> None:
    if not people:
        raise BadValue("Nobody is ticked. Tap who worked, or type a name.", field="people")
    if len(people) > MOST_PEOPLE:
        raise BadValue(f"{len(people)} people are ticked; {MOST_PEOPLE} at once.", field="people")
    if not at.task and not words.strip():
        raise BadValue("For work that is not in the bid, say in a few words what it was.", field="words")


def refuse_day(day: date, today: date) -> None:
    """Refuse a day that has not been yet, or lies too far back. Raises: BadValue."""
    ahead, back = (day - today).days, (today - day).days
    if ahead > 0:
        raise BadValue(f"{day:%B} {day.day} has not been yet. Choose the day on which it was worked.", field="day")
    if back > DAYS_BACK:
        raise BadValue(
            f"{day:%B} {day.day}, {day.year} is {back} days ago. Choose a day of the last {DAYS_BACK}.", field="day"
        )


def say_done(office: Office, view: Sheet, at: TaskPlace | None, percent: int, order: Order) -> Applied | None:
    """Write down how far a task is today, as the crew lead says it. Raises: BadValue."""
    if percent not in PERCENTS:
        raise BadValue("Say how far it is in quarters: 0, 25, 50, 75 or 100%.", field="percent")
    if jobs.is_saved(office, order.change_id):
        return None
    new = SaidDone(
        id=uuid5(order.change_id, "done"),
        day=view.today,
        percent=percent,
        **_known_place(at)._asdict(),
        said_by=office.who(),
        said_at=office.clock(),
    )
    return jobs.save(office, view.job.head.id, (made("said_done", new),), replace(order, what=f"{percent}% done"))


def take_back(office: Office, view: Sheet, entry_id: UUID, order: Order) -> Applied | None:
    """Take hours out that were written by mistake; the record keeps them. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    gone = next((one for one in view.job.logged_hours if one.id == entry_id), None)
    if gone is None:
        raise NotFound("These hours are not there any more.")
    edits = jobs.removal(view.opened, "logged_hours", entry_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Hours of {gone.person} taken out"[:120]))


def explain_logged(office: Office, view: Sheet, figure: str) -> Trace:
    """A figure of the log. Raises: NotFound."""
    log = daily_log(office, view)
    what, _, rest = figure.partition(":")
    if what == "day":
        found = next((one for one in log.days if one.day.isoformat() == rest), None)
        trace = explain_day(found.hours, log.titles) if found else None
    else:
        trace = explain_log(log.against, figure, view.basis.firm.currency)
    if trace is None:
        raise NotFound("This figure is not part of the log any more. Open the log again.")
    return trace


def log_of(office: Office, job_id: UUID) -> DailyLog:
    """The log of a job by its id."""
    return daily_log(office, sheet(office, job_id))
