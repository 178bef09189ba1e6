"""What the crew is shown: jobs that are signed or being built, their sheets, what is bought, and pictures. No money."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from app.db.repositories.things import JobLine
from app.domain.crew import CrewSheet
from app.domain.errors import NotFound
from app.domain.job import Photo, Stage
from app.domain.orders import OrderList
from app.services import build
from app.services.build import BEFORE_DIGGING, Stands
from app.services.home import every_job
from app.services.office import Office
from app.services.sheets import Sheet, sheet

BUILT = frozenset({Stage.SIGNED, Stage.BUILDING})
TAKEN_THERE = frozenset({"during", "after"})  # pictures of the work; those from before are the office's


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldJob:
    """A job as the crew sees it."""

    stands: Stands
    crews: Sequence[CrewSheet]
    orders: Sequence[OrderList]
    photos: Sequence[Photo]
    before_digging: Sequence[tuple[str, str]]  # what must be so before anything is dug, and what to do
    unasked: Sequence[str]  # private lines that nobody asked about


def field_jobs(office: Office) -> list[JobLine]:
    """Jobs that are signed or being built."""
    return [line for line in every_job(office) if line.stage in BUILT]


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
        before_digging=[(one.what, one.remedy) for one in made.stops if one.rule in BEFORE_DIGGING],
        unasked=made.unasked,
    )
