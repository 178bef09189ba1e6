"""A job taken along from an office, opened here as the same job; and the file in which it goes back."""

from dataclasses import replace
from uuid import UUID

import msgspec
from sqlalchemy import Connection

from app.db.files import FileStore
from app.db.repositories import record, revisions, takings, things
from app.db.repositories.revisions import Revision
from app.db.repositories.takings import BACK, BORROWED, LENT, OUT, Taking
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.job import Job
from app.domain.merging import Key, Things, edits_to, things_of
from app.domain.record_chain import chain_bytes
from app.interchange.along_file import ABOUT, ALONG, JOB, RECORD, REVISIONS, AlongFile, read_along, write_along
from app.interchange.along_file import BACK as GOES_BACK
from app.interchange.job_bundle import files_named
from app.interchange.job_file import read_job_file, write_job_file
from app.services import jobs
from app.services.job_files import taken_along
from app.services.jobs import OpenJob, Order
from app.services.office import Office
from app.services.revisions import files_of
from app.services.takings import about_of, beside_of, issued_in, on_record, revisions_bytes, wanted

UNBROUGHT = (
    "This job was worked on here after it was taken along the last time, and the office has not got that yet. Make the "
    "file on its page “Take along”, bring it back at the office, and take the job along from there again."
)


def read_file(content: bytes) -> AlongFile:
    """A job taken along, or coming back. Raises: BadValue beside the field of the file."""
    try:
        return read_along(content)
    except BadValue as wrong:
        raise BadValue(wrong.sentence, field="file") from wrong


def open_along(office: Office, held: AlongFile, order: Order) -> UUID:
    """Open a job taken along as the same job, on the prices it came with; a newer taking brings it up to date.

    Raises: Refused where it left from here, or was worked on here and that has not come back to the office.
    """
    job_id = UUID(held.about.job_id)
    if _is_here(office, held):
        return job_id
    store = files_of(office)
    for content in (*held.bundle.files.values(), *held.parts.values()):
        store.keep(content)
    here = _here(office, job_id)
    _check_nothing_waits(office, held, here)
    job, basis = held.bundle.job_file.job, held.bundle.job_file.basis
    own = store.keep(write_job_file(job, basis))
    now, versions = _now(office, held, here)
    edits = edits_to(now, _with_its_own(things_of(job), job, own, new=here is None), versions)
    issued, named = issued_in(held.parts[REVISIONS]), files_named(job, basis)
    missing = next((name for name in wanted(issued, named) if not store.has(name)), None)
    if missing is not None:
        raise BadValue(f"This file lacks a photo or page that the job needs ({missing[:12]}…).", field="file")

    def beside(connection: Connection) -> None:
        _keep_issued(office, connection, issued, order)
        for earlier in takings.takings_of(connection, office.firm_id, str(job_id)):
            if earlier.side == BORROWED and earlier.state == OUT:
                takings.end(connection, earlier, BACK, office.clock().isoformat(), "A newer one was taken along.")
        takings.put(connection, office.firm_id, _borrowed(held, store))
        more = {"taking": held.about.taking, "head": held.about.head}
        on_record(office, connection, "open", beside_of(order), job_id, f"Opened from {held.about.firm}", more)

    what = f"Taken along from {held.about.firm}"
    jobs.save(office, job_id, edits, replace(order, what=what), beside)
    return job_id


def back_file(office: Office, job_id: UUID, one: Taking) -> bytes:
    """The file in which a job goes back to the office: as it is now, with what came to it here and its record.

    What the office has already (it came from there) is not sent again. Raises: Refused where it left from here.
    """
    if one.side != BORROWED:
        raise Refused("This job left from here. The file to bring back is made on the machine that took it along.")
    opened, store = jobs.open_job(office, job_id), files_of(office)
    job, basis = taken_along(opened.job, opened.basis)
    with office.database.read() as connection:
        chain = takings.chain_of(connection, str(job_id))
        issued = revisions.revisions_of(connection, str(job_id))
    parts = {
        ABOUT: msgspec.json.encode(about_of(one, GOES_BACK, chain, opened.counter)),
        JOB: write_job_file(job, basis),
        REVISIONS: revisions_bytes(issued),
        RECORD: chain_bytes(chain),
    }
    came = read_job_file(store.read(one.parts[JOB]))
    had = {*wanted(issued_in(store.read(one.parts[REVISIONS])), files_named(came.job, came.basis))}
    new = [name for name in wanted(issued, files_named(job, basis)) if name not in had]
    return write_along(parts, {name: store.read(name) for name in new if store.has(name)})


def _is_here(office: Office, held: AlongFile) -> bool:
    """Whether this very taking was opened here before. Raises: Refused where it left from here, or goes back."""
    if held.about.way != ALONG:
        raise Refused(
            f"This file brings a job back to {held.about.firm}. It is taken in on the machine it was taken along from."
        )
    with office.database.read() as connection:
        known = takings.find(connection, office.firm_id, held.about.taking)
    if known is not None and known.side == LENT:
        raise Refused(f"This job was taken along from here, so it is here already. Open the file on {known.name}.")
    return known is not None


def _here(office: Office, job_id: UUID) -> OpenJob | None:
    try:
        return jobs.open_job(office, job_id)
    except NotFound:
        return None


def _check_nothing_waits(office: Office, held: AlongFile, here: OpenJob | None) -> None:
    """Raises: Refused where the job was worked on here and the office does not know of it."""
    if here is None:
        return
    job_id = str(here.job.head.id)
    with office.database.read() as connection:
        known = [one for one in takings.takings_of(connection, office.firm_id, job_id) if one.side == BORROWED]
        newest = record.mark(connection, job_id)
        came_back = any(takings.seq_of(connection, head) >= here.newest for head in held.about.returned)
        issued = revisions.revisions_of(connection, job_id)
    if came_back or (newest is not None and newest.hash in set(held.chain.hashes)):
        return
    if known and _as_it_came(files_of(office), known[0], here, issued):
        return
    raise Refused(UNBROUGHT)


def _as_it_came(store: FileStore, one: Taking, here: OpenJob, issued: list[Revision]) -> bool:
    came = read_job_file(store.read(one.parts[JOB])).job
    return things_of(came) == things_of(here.job) and revisions_bytes(issued) == revisions_bytes(
        issued_in(store.read(one.parts[REVISIONS]))
    )


def _now(office: Office, held: AlongFile, here: OpenJob | None) -> tuple[Things, dict[Key, int]]:
    """What of the job is here already, with the versions: all of it, or no more than its client."""
    if here is not None:
        return things_of(here.job), dict(here.versions)
    client = str(held.bundle.job_file.job.client.id)
    with office.database.read() as connection:
        row = things.read_thing(connection, office.firm_id, "client", client)
    return ({("client", client): row.fields}, {("client", client): row.version}) if row else ({}, {})


def _with_its_own(made: Things, job: Job, own: str, *, new: bool) -> Things:
    """With what is this machine's own: the prices it came with; the number it left with, where no job here has it."""
    key = ("job", str(job.head.id))
    number = {"number": job.head.number} if new else {}
    return {**made, key: {**made[key], "basis_file": own, **number}}


def _keep_issued(office: Office, connection: Connection, issued: tuple[Revision, ...], order: Order) -> None:
    """What was issued before, each with an entry that names its files."""
    store = files_of(office)
    for one in issued:
        known = revisions.read_revision(connection, office.firm_id, one.id)
        sizes = {role: len(store.read(name)) for role, name in one.files.items()}
        new = {role: name for role, name in one.files.items() if known is None or role not in known.files}
        if new:
            what = f"{one.kind.capitalize()} {one.number}, as it came"
            own, more = beside_of(order, one.id), {"revision": one.id, "files": new}
            on_record(office, connection, "issue", own, UUID(one.job_id), what, more)
        if known is None:
            revisions.insert_revision(connection, office.firm_id, one, sizes)
            continue
        for role, name in one.files.items():
            if role not in known.files:
                revisions.add_file(connection, one.id, role, name, sizes[role])
        revisions.set_signers(connection, one.id, one.signers, one.state)


def _borrowed(held: AlongFile, store: FileStore) -> Taking:
    about = held.about
    return Taking(
        id=about.taking,
        job_id=about.job_id,
        side=BORROWED,
        name=about.name,
        firm=about.firm,
        at=about.at,
        counter=about.counter,
        head=about.head,
        numbers=about.numbers,
        parts={name: store.keep(content) for name, content in held.parts.items()},
    )
