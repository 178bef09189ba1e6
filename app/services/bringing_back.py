"""Bring a job back: looked into first, then merged field by field as one change, with what was signed away whole."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Any, NamedTuple
from uuid import UUID

from sqlalchemy import Connection

from app.db.disk import writing_to
from app.db.files import HASH, write_whole
from app.db.repositories import revisions, takings
from app.db.repositories.invoices import INVOICE
from app.db.repositories.takings import Return, Taking
from app.domain.errors import NotFound, Refused
from app.domain.merging import AWAY, Merge, edits_to, merge, picked, things_of, with_letters_apart
from app.domain.record_chain import ChainEntry
from app.interchange.along_file import JOB, RECORD, AlongFile
from app.interchange.job_bundle import files_named
from app.interchange.job_file import read_job_file
from app.services import jobs
from app.services.coming_back import (
    Issued,
    check_signed_copies,
    content_of,
    done_away,
    is_known,
    issued_away,
    job_id_of,
    taking_of,
)
from app.services.held_editions import remember
from app.services.jobs import OpenJob, Order
from app.services.office import Office
from app.services.opening_along import read_file
from app.services.revisions import files_of
from app.services.takings import beside_of, on_record

ASIDE, MOST_ASIDE = "brought", 5  # files looked into and not taken in yet, beside the data


class Relettered(NamedTuple):
    """A zone with the letter it has there, and the one it gets here."""

    title: str
    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What bringing a file back would change."""

    taking: Taking
    held: AlongFile
    opened: OpenJob
    merge: Merge
    issued: tuple[Issued, ...]
    done_away: tuple[ChainEntry, ...]
    new_files: int
    lacking: tuple[str, ...]  # recipes and materials it rests on that the book here does not have
    already: bool  # all of it came back before

    @property
    def relettered(self) -> tuple[Relettered, ...]:
        """Zones that come in under another letter than they have there, because it is taken here."""
        coming = {**self.merge.settled, **{key: self.merge.away[key] for key in self.merge.made[AWAY]}}
        then = with_letters_apart(self.merge.here, coming)
        return tuple(
            Relettered(str(held["title"]), str(coming[key]["letter"]), str(held["letter"]))
            for key, held in then.items()
            if key[0] == "zone" and held["letter"] != coming[key]["letter"]
        )


async def receive(office: Office, content: bytes) -> tuple[UUID, str]:
    """Look into a file that brings a job back, whole; keep it aside under the name that is answered, with its job.

    Raises: BadValue, Refused, in a sentence; nothing is changed then.
    """
    held = read_file(content)
    taking = taking_of(office, held)
    done_away(held, taking)
    if not is_known(office, held, taking):
        await check_signed_copies(office, held, issued_away(office, held))
    name = sha256(content).hexdigest()
    folder = office.settings.data / ASIDE
    with writing_to(office.settings.data):
        folder.mkdir(mode=0o700, exist_ok=True)
        for old in sorted(folder.glob("*.zip"), key=lambda one: one.stat().st_mtime)[: -MOST_ASIDE + 1 or None]:
            old.unlink(missing_ok=True)
        write_whole(folder / f"{name}.zip", content)
    return job_id_of(held), name


def look(office: Office, job_id: UUID, name: str) -> Look:
    """What the file kept aside would change now. Raises: NotFound; what `receive` refuses."""
    place = office.settings.data / ASIDE / f"{name}.zip"
    if not HASH.fullmatch(name) or not place.exists():
        raise NotFound("That file is not kept here any more. Choose it again on the job's page “Take along”.")
    held = read_file(place.read_bytes())
    taking = taking_of(office, held)
    if taking.job_id != str(job_id):
        raise NotFound("That file is of another job.")
    opened, away = jobs.open_job(office, job_id), held.bundle.job_file
    already = is_known(office, held, taking)
    return Look(
        taking=taking,
        held=held,
        opened=opened,
        merge=_merge(office, taking, opened, held),
        issued=() if already else issued_away(office, held),
        done_away=done_away(held, taking),
        new_files=sum(not files_of(office).has(one) for one in files_named(away.job, away.basis)),
        lacking=_lacking(opened, held),
        already=already,
    )


def take_in(office: Office, job_id: UUID, name: str, picks: Mapping[str, str], seen: int, order: Order) -> Look:
    """Merge what came back into the job as one change, with the files, what was issued away and the record of it.

    `seen` is the job's counter as it was looked at. What came back before changes nothing.
    Raises: BadValue while a question has no pick; Refused where the job was changed since it was looked at.
    """
    found = look(office, job_id, name)
    if found.already or jobs.is_saved(office, order.change_id):
        return found
    if found.opened.counter != seen:
        raise Refused("The job was changed here since you looked. Look again at what comes back; nothing was changed.")
    then = with_letters_apart(found.merge.here, picked(found.merge, picks))
    edits = edits_to(found.merge.here, then, dict(found.opened.versions))
    store, held = files_of(office), found.held
    for content in held.bundle.files.values():
        store.keep(content)
    came = Return(
        head=held.chain.head,
        record=store.keep(held.parts[RECORD]),
        job=store.keep(held.parts[JOB]),
        change=str(order.change_id),
        at=office.clock().isoformat(),
    )
    remember(office, edits, (held.bundle.job_file.basis,))
    order = replace(order, what=f"Brought back from {found.taking.name}")
    jobs.save(office, job_id, edits, order, lambda connection: _beside(office, connection, found, came, order))
    (office.settings.data / ASIDE / f"{name}.zip").unlink(missing_ok=True)
    return found


def _beside(office: Office, connection: Connection, found: Look, came: Return, order: Order) -> None:
    """What comes back beside the fields: revisions, and the two entries that say so."""
    takings.came_back(connection, found.taking, came)
    job_id, name = UUID(found.taking.job_id), found.taking.name
    more: dict[str, Any] = {"taking": found.taking.id, "head": came.head, "record": came.record, "job": came.job}
    what = f"Came back from {name}"
    on_record(office, connection, "return", beside_of(order, "return"), job_id, what, more)
    if not found.issued:
        return
    _keep_issued(office, connection, found)
    for one in found.issued:
        files = {role: one.revision.files[role] for role in one.roles}
        kind, own = "sign" if one.signed_away else "issue", beside_of(order, one.revision.id)
        more = {"revision": one.revision.id, "files": files}
        on_record(office, connection, kind, own, job_id, f"{_told(one)}, on {name}", more)


def _told(one: Issued) -> str:
    named = f"{one.revision.kind.capitalize()} {one.revision.number}"
    return f"{named} signed by {' and '.join(one.signed_away)}" if one.signed_away else f"{named} {one.revision.state}"


def _keep_issued(office: Office, connection: Connection, found: Look) -> None:
    for one in found.issued:
        sizes = {role: len(content_of(office, found.held, one.revision.files[role])) for role in one.roles}
        if one.known is None:
            revisions.insert_revision(connection, office.firm_id, one.revision, sizes)
        else:
            for role in one.roles:
                revisions.add_file(connection, one.revision.id, role, one.revision.files[role], sizes[role])
            if one.signed_away or one.known.state == "offered":
                revisions.set_signers(connection, one.revision.id, one.revision.signers, one.revision.state)
    for kind in {one.revision.kind for one in found.issued} - {INVOICE}:
        _one_open_offer(connection, found, kind)


def _one_open_offer(connection: Connection, found: Look, kind: str) -> None:
    """Of a kind one offer stays open at most: what was signed away goes before, else the one issued last."""
    known = revisions.revisions_of(connection, found.taking.job_id)
    signed = {one.revision.id for one in found.issued if one.revision.kind == kind and one.signed_away}
    offered = [one for one in known if one.kind == kind and one.state == "offered"]
    kept = next((one.id for one in offered if one.id in signed), None)
    if kept is None and not signed and offered:
        kept = offered[0].id
    for one in offered:
        if one.id != kept:
            revisions.set_state(connection, one.id, "superseded")


def _merge(office: Office, taking: Taking, opened: OpenJob, held: AlongFile) -> Merge:
    """Three-way, from what came back last, else from what left."""
    base = taking.standing[-1].job if taking.standing else taking.parts[JOB]
    left = read_job_file(files_of(office).read(base)).job
    return merge(things_of(left), things_of(opened.job), things_of(held.bundle.job_file.job))


def _lacking(opened: OpenJob, held: AlongFile) -> tuple[str, ...]:
    """Titles of recipes and chosen materials that the job away uses and the book here does not know."""
    away, here = held.bundle.job_file, opened.basis
    recipes = {work.assembly for work in away.job.works} - here.assemblies.keys()
    chosen = {one for work in away.job.works for one in work.finishes.values()} | {c.material for c in away.job.choices}
    unknown = {key for key in chosen if key and key not in here.materials}
    titles = [away.basis.assemblies[key].title for key in sorted(recipes) if key in away.basis.assemblies]
    return (*titles, *(away.basis.materials[key].title for key in sorted(unknown) if key in away.basis.materials))
