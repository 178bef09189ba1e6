"""Orders of all jobs whose day is past, for Home: not sent, or not here, by the day they should be."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from app.db.repositories import supply as rows
from app.domain.job import Job
from app.domain.ordering import OrderStanding, standings
from app.services import jobs
from app.services.office import Office
from app.services.sheets import day_at


@dataclass(frozen=True, slots=True, kw_only=True)
class LateOrder:
    """An order past its day. `sent`: it was sent, and is not all here."""

    job: Job
    standing: OrderStanding
    day: date
    days: int

    @property
    def sent(self) -> bool:
        """Whether it was sent."""
        return self.standing.order.sent_on is not None


def late_orders(office: Office) -> tuple[LateOrder, ...]:
    """What is late in any open job, the longest first. Only jobs with a day past are looked into."""
    firm_day = office.today().isoformat()
    with office.database.read() as connection:
        found = rows.jobs_with_a_day_past(connection, office.firm_id, firm_day)
    late = [one for job_id in found for one in _of_job(office, UUID(job_id))]
    return tuple(sorted(late, key=lambda one: (one.day, one.job.head.number, one.standing.order.number)))


def _of_job(office: Office, job_id: UUID) -> list[LateOrder]:
    job = jobs.open_job(office, job_id).job
    today = day_at(office, job)
    found = []
    for one in standings(job):
        if one.order.called_off_on:
            continue
        day = one.expected if one.order.sent_on else one.order.send_by
        if day and day < today:
            found.append(LateOrder(job=job, standing=one, day=day, days=(today - day).days))
    return found
