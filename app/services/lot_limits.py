"""Setbacks and easements as the Site sheet lists them: lot lines to name, rows in words, what each takes of the lot.

What a town asks is typed once: another yard of it takes the setbacks of the newest job there, each with who says so.
"""

from dataclasses import dataclass, replace
from uuid import UUID, uuid5

from app.db.repositories.town_setbacks import SetbacksOfJob, jobs_with_setbacks
from app.domain.checks.setbacks import said_of
from app.domain.errors import NotFound
from app.domain.job import LIMITED, Easement, Job, Setback
from app.domain.plan.arcs import Point
from app.domain.plan.lot_lines import line_at
from app.domain.plan.pieces import point_at
from app.domain.takeoff.lot_limits import LineOfLot, easement_ground, lot_lines
from app.services import jobs
from app.services.jobs import Order, made
from app.services.office import Office


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedLine:
    """A lot line with its middle, by which it is named."""

    own: LineOfLot
    middle: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class EasementLine:
    """An easement with the number in the list of the lot line it runs along; its ground [sq ft], None: not known."""

    easement: Easement
    along: int | None
    area: float | None
    allows: str


def named_lines(job: Job) -> tuple[NamedLine, ...]:
    """The lines of the lot, counterclockwise."""
    return tuple(NamedLine(own=one, middle=point_at(one.line, 0.5)) for one in lot_lines(job))


def setback_rows(job: Job) -> tuple[tuple[Setback, str], ...]:
    """Every setback with what it is of, in words."""
    return tuple((one, said_of(one)) for one in job.setbacks)


def easement_lines(job: Job) -> tuple[EasementLine, ...]:
    """Every easement with where it lies."""
    return tuple(_easement(job, one) for one in job.easements)


def easement_note(job: Job, focus: str) -> EasementLine | None:
    """The easement in focus ("easement:ID"); None for anything else."""
    return next((_easement(job, one) for one in job.easements if focus == f"easement:{one.id}"), None)


def _easement(job: Job, one: Easement) -> EasementLine:
    ground, lot = easement_ground(job.site.lot, one), job.site.lot
    drawn = one.outline is not None or len(one.points) > 1
    along = None if lot is None or one.at is None or drawn else line_at(lot, one.at)
    return EasementLine(
        easement=one,
        along=along,
        area=None if ground is None else ground.area,
        allows=", ".join(LIMITED[key].lower() for key in one.allows if key in LIMITED),
    )


def of_the_town(office: Office, job: Job) -> SetbacksOfJob | None:
    """The newest other job of the town with setbacks, while this one has none; None without a town or such a job."""
    town, state = job.head.town or job.client.town, job.head.state or job.client.state
    if job.setbacks or not town.strip():
        return None
    with office.database.read() as connection:
        known = jobs_with_setbacks(connection, office.firm_id)
    here = _folded(town, state)
    return next((one for one in known if one.job_id != str(job.head.id) and _folded(one.town, one.state) == here), None)


def _folded(town: str, state: str) -> tuple[str, str]:
    return town.strip().casefold(), state.strip().casefold()


def take_from_town(office: Office, job_id: UUID, other_id: UUID, order: Order) -> None:
    """Take the setbacks of another job into this one, as one change. Raises: NotFound where it has none."""
    rows = jobs.open_job(office, other_id).job.setbacks
    if not rows:
        raise NotFound("No setbacks are typed there (any more). Nothing was changed.")
    own = [made("setback", replace(row, id=uuid5(order.change_id, str(row.id)))) for row in rows]
    jobs.save(office, job_id, tuple(own), replace(order, what="Setbacks of the town"))
