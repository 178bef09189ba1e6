"""Home: every job with its next step and day, overdue first."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from app.db.repositories import things
from app.db.repositories.things import JobLine
from app.domain.job import Stage
from app.domain.job.stages import comes_next
from app.services.office import Office

PAGE = 50
ALL = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """The list, in groups that say what is pressing."""

    overdue: Sequence[JobLine]
    soon: Sequence[JobLine]  # today and the seven days after it
    later: Sequence[JobLine]
    undated: Sequence[JobLine]
    search: str
    closed: bool
    today: date
    page: int
    more: bool

    @property
    def lines(self) -> Sequence[JobLine]:
        """All that is listed, the most pressing first."""
        return [*self.overdue, *self.soon, *self.later, *self.undated]

    @property
    def before(self) -> int:
        """The page before this one."""
        return max(0, self.page - 1)

    @property
    def after(self) -> int:
        """The page after this one."""
        return self.page + 1

    @property
    def empty(self) -> bool:
        """Whether there is nothing to list."""
        return not (self.overdue or self.soon or self.later or self.undated)


def home(office: Office, *, search: str = "", closed: bool = False, page: int = 0) -> Home:
    """Read one page of the list, grouped by the day of the next step."""
    with office.database.read() as connection:
        lines = things.list_jobs(
            connection, office.firm_id, search=search, closed=closed, limit=PAGE + 1, offset=page * PAGE
        )
    today = office.clock().astimezone(ZoneInfo(office.firm().time_zone)).date()
    return grouped(lines[:PAGE], today, search=search, closed=closed, page=page, more=len(lines) > PAGE)


def wants_first_run(office: Office) -> bool:
    """Whether nobody has said whose firm this is, and no job has begun."""
    if office.firm().name:
        return False
    with office.database.read() as connection:
        return things.next_job_number(connection, office.firm_id) == 1


def every_job(office: Office) -> list[JobLine]:
    """Every job there is, open and closed, by number."""
    with office.database.read() as connection:
        lines = [
            line
            for closed in (False, True)
            for line in things.list_jobs(connection, office.firm_id, closed=closed, limit=ALL)
        ]
    return sorted(lines, key=lambda line: line.number)


def grouped(lines: Sequence[JobLine], today: date, *, search: str, closed: bool, page: int, more: bool) -> Home:
    """Lines in four groups by how pressing their day is, each with what comes next."""
    groups: dict[str, list[JobLine]] = {"overdue": [], "soon": [], "later": [], "undated": []}
    for line in lines:
        step = comes_next(Stage(line.stage), line.next_step)
        groups["undated" if closed else pressing(line.next_day, today)].append(replace(line, next_step=step))
    return Home(**groups, search=search, closed=closed, today=today, page=page, more=more)


def pressing(day: str | None, today: date) -> str:
    """How pressing a day is: overdue, soon (within a week), later, or undated."""
    if not day:
        return "undated"
    ahead = (date.fromisoformat(day) - today).days
    return "overdue" if ahead < 0 else "soon" if ahead <= 7 else "later"
