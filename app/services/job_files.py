"""A job taken along as a file with its photos, and a job that comes in one: it keeps the prices it came with."""

from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.db.files import FileStore
from app.db.repositories import record, things
from app.domain.basis import Basis
from app.domain.errors import BadValue
from app.domain.job import JOB_THINGS, Job, Stage
from app.domain.job.unlogged import MONEY, ORDERS
from app.interchange.along_file import is_along, read_along
from app.interchange.fresh_ids import with_fresh_ids
from app.interchange.job_bundle import JobBundle, files_named, read_job_bundle, write_job_bundle
from app.interchange.job_file import read_job_file, write_job_file
from app.interchange.trimming import trimmed
from app.services import jobs
from app.services.jobs import Order, changed, made, save
from app.services.office import Office

ZIP = b"PK"
NOT_SIGNED_HERE = frozenset({Stage.OFFERED, Stage.SIGNED, Stage.BUILDING, Stage.DONE})


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtIn:
    """A job that came in a file: its id here, and how many of its files were not in it."""

    job_id: UUID
    missing: int
    same: bool = False  # it is the very job that was taken along from an office


def export_job(office: Office, job_id: UUID) -> bytes:
    """A job with all it stands on and its photos, as a zip: the same job gives the same bytes.

    Raises: NotFound; FileDamaged when a photo is not whole.
    """
    opened = jobs.open_job(office, job_id)
    job, basis = taken_along(opened.job, opened.basis)
    store = FileStore(office.settings.files)
    files = {name: store.read(name) for name in files_named(job, basis) if store.has(name)}
    return write_job_bundle(job, basis, files)


def taken_along(job: Job, basis: Basis) -> tuple[Job, Basis]:
    """A job and basis as a file holds them: the basis in it is the job's own, cut down to what it uses."""
    return replace(job, head=replace(job.head, basis_file="")), trimmed(basis, job)


def open_file(content: bytes) -> JobBundle:
    """What a job file holds, alone or in a zip with its photos.

    Raises: BadValue in a sentence on anything else.
    """
    if not content:
        raise BadValue("No file was chosen. Choose a job file (.json or .zip).", field="file")
    try:
        if not content.startswith(ZIP):
            return JobBundle(job_file=read_job_file(content), files={})
        return read_along(content).bundle if is_along(content) else read_job_bundle(content)
    except BadValue as wrong:
        raise BadValue(wrong.sentence, field="file") from wrong


def bring_in(office: Office, content: bytes, order: Order) -> BroughtIn:
    """Make a new job of a job file. It keeps the prices it came with until “use my prices”.

    What was signed elsewhere is not signed here: such a job comes in as a design.
    Raises: BadValue when the content is no job file.
    """
    bundle = open_file(content)
    head_id = with_fresh_ids(bundle.job_file.job, order.change_id).head.id
    if _known(office, order.change_id):
        return BroughtIn(job_id=head_id, missing=len(bundle.missing))
    store = FileStore(office.settings.files)
    for one in bundle.files.values():
        store.keep(one)
    job, basis = taken_along(bundle.job_file.job, bundle.job_file.basis)
    own = store.keep(write_job_file(job, basis))
    job = _as_new(office, with_fresh_ids(job, order.change_id), own)
    held = ((kind, getattr(job, place)) for kind, (_, place) in JOB_THINGS.items())
    new = ((kind, thing) for kind, one in held for thing in (one if isinstance(one, tuple) else (one,)))
    edits = tuple(made(kind, thing) for kind, thing in new)
    save(office, head_id, edits, replace(order, what=f"Job file of {job.client.name or job.head.title}"))
    return BroughtIn(job_id=head_id, missing=len(bundle.missing))


def use_my_prices(office: Office, job_id: UUID, order: Order) -> None:
    """Let a job stand on the firm's own prices and recipes from now on; undo takes it back."""
    opened = jobs.open_job(office, job_id)
    edit = changed("job", job_id, opened.version("job", job_id), {"basis_file": ""})
    save(office, job_id, (edit,), replace(order, what="Use my prices"))


def _as_new(office: Office, job: Job, own: str) -> Job:
    with office.database.read() as connection:
        number = things.next_job_number(connection, office.firm_id)
    stage = Stage.DESIGN if job.head.stage in NOT_SIGNED_HERE else job.head.stage
    head = replace(job.head, number=number, stage=stage, basis_file=own)
    elsewhere: dict[str, Any] = dict.fromkeys((*MONEY, *ORDERS), ())  # it was paid and bought for there
    return replace(job, head=head, **elsewhere)


def _known(office: Office, change_id: UUID) -> bool:
    with office.database.read() as connection:
        return record.find(connection, str(change_id)) is not None
