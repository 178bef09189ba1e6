"""Take a job along: a file for another machine, and a mark here until it comes back or is said not to.

The job stays as it is and may be edited; what is done at both places is put together when it comes back.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from secrets import token_hex
from typing import Any
from uuid import UUID, uuid5

import msgspec
from sqlalchemy import Connection

from app.db.files import FileStore
from app.db.repositories import counters, record, revisions, takings
from app.db.repositories.revisions import Revision
from app.db.repositories.takings import BACK, LENT, LIFTED, Return, Taking
from app.domain.change import Change
from app.domain.codec import canonical_bytes, from_plain, to_plain
from app.domain.errors import BadValue, NotFound, OutlayError, Refused
from app.domain.keeping import KeptByInputs
from app.domain.record_chain import Chain, ChainEntry, chain_bytes, read_chain
from app.interchange.along_file import ABOUT, ALONG, JOB, RECORD, REVISIONS, About, write_along
from app.interchange.job_bundle import files_named
from app.interchange.job_file import read_job_file, write_job_file
from app.services import jobs
from app.services.job_files import taken_along
from app.services.jobs import OpenJob, Order
from app.services.office import Office
from app.services.revisions import CHANGE, CHANGE_ORDER, COMPLETION, DESIGN, PROPOSAL, files_of

KEPT = 64  # marks of jobs
KINDS = (PROPOSAL, DESIGN, CHANGE, CHANGE_ORDER, COMPLETION)
IDS = ("taking", "head", "record", "job", "revision", "files")  # what an answer names: nothing that tells of a client


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What stands on a job that is away, or that came from an office and is to go back."""

    job_id: str
    lent: bool
    name: str
    firm: str
    at: str


def marks(office: Office) -> Mapping[str, Mark]:
    """The mark of every job that has one, by its id."""
    with office.database.read() as connection:
        return {one.job_id: _mark(one) for one in reversed(takings.takings_out(connection, office.firm_id))}


def marks_of(office: Office, opened: OpenJob) -> tuple[Mark, ...]:
    """The marks of one job: looked up again only after something was put on record about it."""
    memory: KeptByInputs[tuple[Mark, ...]] = office.database.memory.setdefault("marks", KeptByInputs(KEPT, each=1))
    job_id = opened.job.head.id
    return memory.get_or_make(
        job_id, (opened.newest,), lambda: tuple(_mark(one) for one in of_job(office, job_id) if one.is_out)
    )


def of_job(office: Office, job_id: UUID) -> list[Taking]:
    """Every taking of a job, the newest first."""
    with office.database.read() as connection:
        return takings.takings_of(connection, office.firm_id, str(job_id))


def read(office: Office, job_id: UUID, taking_id: UUID) -> Taking:
    """A taking of a job by id. Raises: NotFound."""
    with office.database.read() as connection:
        one = takings.find(connection, office.firm_id, str(taking_id))
    if one is None or one.job_id != str(job_id):
        raise NotFound("This job was never taken along like that.")
    return one


def take_along(office: Office, job_id: UUID, name: str, order: Order) -> Taking:
    """Make the file of a job as it is now, for another machine, and mark the job as away.

    Raises: BadValue without a name; Refused where a quote, photo or signed page is not here whole.
    """
    if not name.strip():
        raise BadValue("Say who or what takes it along, for example “the laptop in the bag”.", field="name")
    known = _known(office, order.change_id)
    if known is not None:
        return known
    opened = jobs.open_job(office, job_id)
    job, basis = taken_along(opened.job, opened.basis)
    store = files_of(office)
    with office.database.write() as connection:
        issued = revisions.revisions_of(connection, str(job_id))
        _check_whole(store, wanted(issued, files_named(job, basis)))
        chain = takings.chain_of(connection, str(job_id))
        one = _taking(office, connection, job_id, name.strip(), order)
        content = {
            ABOUT: msgspec.json.encode(
                about_of(one, ALONG, chain, opened.counter, _returned(office, connection, job_id))
            ),
            JOB: write_job_file(job, basis),
            REVISIONS: revisions_bytes(issued),
            RECORD: chain_bytes(chain),
        }
        one = replace(one, parts={part: store.keep(held) for part, held in content.items()}, head=chain.head)
        takings.put(connection, office.firm_id, replace(one, counter=opened.counter))
        on_record(office, connection, "take", order, job_id, f"Taken along to {one.name}", {"taking": one.id})
    return one


def file_of(office: Office, one: Taking) -> bytes:
    """The file a job left in, as it left. Raises: NotFound, FileDamaged."""
    store = files_of(office)
    parts = {name: store.read(hashed) for name, hashed in one.parts.items()}
    held = read_job_file(parts[JOB])
    names = wanted(issued_in(parts[REVISIONS]), files_named(held.job, held.basis))
    return write_along(parts, {name: store.read(name) for name in names})


def lift(office: Office, job_id: UUID, taking_id: UUID, reason: str, order: Order) -> Taking:
    """Take the mark off: the job will not come back from there. Where it did not leave from here: it is back.

    Raises: NotFound; BadValue without a reason; Refused where it has none.
    """
    one = read(office, job_id, taking_id)
    if jobs.is_saved(office, order.change_id):
        return one
    if not reason.strip():
        raise BadValue("Say why, so that everybody knows later.", field="reason")
    if not one.is_out:
        raise Refused(f"It is not marked as taken along to {one.name} any more. Nothing was changed.")
    state, words = (LIFTED, "will not come back") if one.side == LENT else (BACK, "is back at the office")
    with office.database.write() as connection:
        takings.end(connection, one, state, office.clock().isoformat(), reason.strip())
        what = f"{one.name}: it {words} ({reason.strip()[:200]})"
        on_record(office, connection, "lift", order, job_id, what, {"taking": one.id, "reason": reason.strip()})
    return replace(one, state=state, reason=reason.strip())


def done_there(office: Office, returned: Mapping[str, Any]) -> tuple[ChainEntry, ...]:
    """What the record of the other machine says was done there, by the entry of a return; none where it is gone."""
    store, name = files_of(office), str(returned.get("record", ""))
    if not name or not store.has(name):
        return ()
    return after_opening(read_chain(store.read(name)), str(returned.get("taking", ""))) or ()


def after_opening(chain: Chain, taking_id: str) -> tuple[ChainEntry, ...] | None:
    """What a record says since a taking was opened there, oldest first; None where it does not say that it was."""
    for at, entry in enumerate(chain.entries, 1):
        if entry.kind == "open" and msgspec.json.decode(entry.body).get("taking") == taking_id:
            return chain.entries[at:]
    return None


def faults(office: Office) -> list[str]:
    """What of the takings no longer holds, a sentence each: files that are gone, a record there that does not hold."""
    store = files_of(office)
    with office.database.read() as connection:
        known = takings.all_takings(connection, office.firm_id)
    found = []
    for one in known:
        names = [*one.parts.values(), *(name for each in one.returns for name in (each.record, each.job))]
        gone = [name[:12] for name in names if not store.has(name)]
        found += [f"Taken along to {one.name}: the file {name}… is not here. A backup may have it." for name in gone]
        found += [said for each in one.returns if store.has(each.record) and (said := _fault_of(store, one, each))]
    return found


def _fault_of(store: FileStore, one: Taking, each: Return) -> str:
    try:
        held = read_chain(store.read(each.record)).head == each.head
    except OutlayError as wrong:
        return f"The record that came back from {one.name}: {wrong.sentence}"
    return "" if held else f"The record that came back from {one.name} is another than the one that was taken in."


def about_of(one: Taking, way: str, chain: Chain, counter: int, returned: tuple[str, ...] = ()) -> About:
    """What a file of a taking says of itself."""
    return About(
        way=way,
        taking=one.id,
        job_id=one.job_id,
        name=one.name,
        firm=one.firm,
        at=one.at,
        counter=counter,
        head=chain.head,
        numbers=dict(one.numbers),
        returned=returned,
    )


def wanted(issued: Collection[Revision], named: Collection[str]) -> tuple[str, ...]:
    """Hashes of all files that go along with a job: what it names, and what was issued of it."""
    return tuple(sorted({*named, *(file for one in issued for file in one.files.values())}))


def revisions_bytes(issued: Collection[Revision]) -> bytes:
    """What was issued, oldest first."""
    return canonical_bytes([to_plain(one) for one in sorted(issued, key=lambda one: (one.issued_at, one.id))])


def issued_in(content: bytes) -> tuple[Revision, ...]:
    """The same, read. Raises: BadValue."""
    return from_plain(msgspec.json.decode(content), tuple[Revision, ...])


def on_record(
    office: Office, connection: Connection, kind: str, order: Order, job_id: UUID, what: str, more: Mapping[str, Any]
) -> None:
    """Add an entry that is no change of a thing; what it says beyond its words is in its hash."""
    entry = Change(id=order.change_id, job_id=job_id, edits=(), who=office.who(), when=office.clock(), what=what)
    body = canonical_bytes({**to_plain(replace(entry, salt=token_hex(16))), **to_plain(dict(more))})
    answer = {name: value for name, value in to_plain(dict(more)).items() if name in IDS}
    record.append(connection, firm_id=office.firm_id, kind=kind, change=entry, answer=answer, body=body)
    counters.raise_counter(connection, f"job:{job_id}")


def beside_of(order: Order, what: str = "beside") -> Order:
    """The order of an entry beside a change: an id of its own, the same however often the change is sent."""
    return replace(order, change_id=uuid5(order.change_id, what))


def _taking(office: Office, connection: Connection, job_id: UUID, name: str, order: Order) -> Taking:
    return Taking(
        id=str(order.change_id),
        job_id=str(job_id),
        side=LENT,
        name=name,
        firm=office.firm().name or "the office",
        at=office.clock().isoformat(),
        counter=0,
        head="",
        numbers={kind: revisions.next_number(connection, str(job_id), kind) - 1 for kind in KINDS},
        parts={},
    )


def _returned(office: Office, connection: Connection, job_id: UUID) -> tuple[str, ...]:
    known = takings.takings_of(connection, office.firm_id, str(job_id))
    return tuple(each.head for one in known for each in one.standing)


def _check_whole(store: FileStore, names: Collection[str]) -> None:
    missing = next((name for name in names if not store.has(name)), None)
    if missing is not None:
        raise Refused(
            f"The file {missing[:12]}… of this job (a photo or a signed page) is not on this machine, so the job "
            "cannot go along whole. Take it from a backup first. Nothing was changed."
        )


def _known(office: Office, change_id: UUID) -> Taking | None:
    with office.database.read() as connection:
        return takings.find(connection, office.firm_id, str(change_id))


def _mark(one: Taking) -> Mark:
    return Mark(job_id=one.job_id, lent=one.side == LENT, name=one.name, firm=one.firm, at=one.at)
