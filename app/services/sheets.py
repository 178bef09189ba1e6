"""What every sheet of a job shows: the job, its estimate, its open points, the scale bar's figures, the undo button."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from app.domain.basis import Basis
from app.domain.checks import Readiness, open_points, ready_to_sign
from app.domain.checks.price_age import prices_to_ask_again
from app.domain.checks.subs import quotes_and_papers
from app.domain.contract.deposit import deposit_over_cap
from app.domain.costing.estimate import Estimate, estimate
from app.domain.findings import Finding
from app.domain.job import Job, unlogged
from app.domain.keeping import KeptByInputs, Same
from app.domain.phasing import order_points
from app.services import jobs
from app.services.jobs import OpenJob
from app.services.office import Office
from app.services.unsigned_work import unsigned_points

T = TypeVar("T")
KEPT = 64  # results of jobs


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One job as a page needs it."""

    opened: OpenJob
    estimate: Estimate
    readiness: Readiness
    today: date  # the day at the site: by it prices and papers are old

    @property
    def job(self) -> Job:
        """The job."""
        return self.opened.job

    @property
    def basis(self) -> Basis:
        """What it stands on."""
        return self.opened.basis

    @property
    def undo(self) -> str | None:
        """What the undo button would take back, in words."""
        return self.opened.undo

    @property
    def saved_at(self) -> str:
        """When it was last changed, ISO in UTC."""
        return self.opened.saved_at

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Every open point, notes too; what somebody settled is left out."""
        return self.readiness.open

    @property
    def open_count(self) -> int:
        """How many points are still to settle."""
        return self.readiness.open_count

    def version(self, kind: str, thing_id: object) -> int:
        """The version of a thing as read."""
        return self.opened.version(kind, thing_id)


def sheet(office: Office, job_id: UUID) -> Sheet:
    """Read a job once and work out what every sheet shows."""
    opened = jobs.open_job(office, job_id)
    today = day_at(office, opened.job)
    worked = estimate_of(office, opened)
    unsigned = unsigned_points(office, opened, today)
    return Sheet(
        opened=opened,
        today=today,
        estimate=worked,
        readiness=kept(
            office,
            ("points", job_id, today, unsigned),
            opened,
            lambda: _points(opened.job, opened.basis, worked, today, unsigned),
        ),
    )


def day_at(office: Office, job: Job) -> date:
    """Today where a job's yard lies."""
    return office.clock().astimezone(ZoneInfo(job.head.time_zone)).date()


def estimate_of(office: Office, opened: OpenJob) -> Estimate:
    """The estimate of a job as it is today."""
    today = day_at(office, opened.job)
    name = ("estimate", opened.job.head.id, today)
    return kept(office, name, opened, lambda: estimate(opened.job, opened.basis, today))


def sheet_of(opened: OpenJob, today: date) -> Sheet:
    """The same of a job that lies in no database: one that was opened from a file."""
    worked = estimate(opened.job, opened.basis, today)
    points = _points(opened.job, opened.basis, worked, today)
    return Sheet(opened=opened, estimate=worked, readiness=points, today=today)


def _points(job: Job, basis: Basis, worked: Estimate, today: date, unsigned: tuple[Finding, ...] = ()) -> Readiness:
    """Everything there is to settle today."""
    asked_again = (*prices_to_ask_again(worked, basis, today), *quotes_and_papers(job, basis, today))
    order = order_points(job, basis, worked.requirements, today)
    deposits = deposit_over_cap(job, basis, worked)
    return ready_to_sign((*open_points(job, basis, worked), *asked_again, *order, *deposits, *unsigned), job)


def kept(office: Office, what: tuple[Any, ...], opened: OpenJob, work: Callable[[], T]) -> T:
    """A result kept in bounded memory while the job, but for its daily log, and its basis stand as they are."""
    memory: KeptByInputs[Any] = office.database.memory.setdefault("results", KeptByInputs(KEPT, each=1))
    result: T = memory.get_or_make(what, (Same(unlogged(opened.job)), Same(opened.basis)), work)
    return result


def texts_of(values: Mapping[str, Any]) -> dict[str, str]:
    """Plain values as texts for a form's fields."""
    return {name: "" if value is None else str(value) for name, value in values.items()}
