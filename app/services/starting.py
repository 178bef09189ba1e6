"""The works on the job itself that every job starts with: made with the job, added where a job lacks them."""

from collections.abc import Collection
from dataclasses import replace
from uuid import uuid4

from app.domain.basis import Basis
from app.domain.job import Job, PlaceKind, Work
from app.domain.takeoff.edition import edition_name
from app.interchange.starting_works import StartingWork, starting_works
from app.services.office import Office

AFTER_ZONES = 1000  # position of the first: the works of a job read zone by zone, then the job as a whole


def starting(office: Office, *, without: Collection[str] = (), after: int = AFTER_ZONES) -> tuple[Work, ...]:
    """New works for a job: all that the library lists and the basis knows, but for assemblies in `without`."""
    basis = office.basis()
    listed = [one for one in starting_works(office.settings.library) if one.assembly in basis.assemblies]
    wanted = [one for one in listed if one.assembly not in without]
    return tuple(replace(_work(one, basis), position=after + place) for place, one in enumerate(wanted))


def lacking(office: Office, job: Job) -> tuple[Work, ...]:
    """What a job lacks of the works that every job starts with, after those it has."""
    own = [work for work in job.works if work.place is PlaceKind.JOB]
    after = max([AFTER_ZONES, *(work.position + 1 for work in own)])
    return starting(office, without={work.assembly for work in own}, after=after)


def _work(one: StartingWork, basis: Basis) -> Work:
    return Work(
        id=uuid4(),
        place=PlaceKind.JOB,
        place_id=None,
        assembly=one.assembly,
        assembly_hash=edition_name(basis.assemblies, one.assembly),
        parameters=one.parameters,
    )
