"""A file that brings a job back, looked into: does it hold, is it of this taking, what was issued and signed away."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

import msgspec

from app.db.files import FileStore
from app.db.repositories import revisions, takings
from app.db.repositories.revisions import Revision
from app.db.repositories.takings import BORROWED, Taking
from app.domain.errors import BadValue, Refused
from app.domain.record_chain import ChainEntry, read_chain
from app.interchange.along_file import BACK, CHANGED, AlongFile
from app.services.office import Office
from app.services.revisions import CHANGE, CHANGE_ORDER, COMPLETION, DESIGN, PROPOSAL, files_of
from app.services.takings import after_opening, issued_in
from app.worker.running import run_in_worker

# what one signature binds
ONE_AGREEMENT: Mapping[str, str] = {
    PROPOSAL: PROPOSAL,
    CHANGE: PROPOSAL,
    CHANGE_ORDER: PROPOSAL,
    DESIGN: DESIGN,
    COMPLETION: COMPLETION,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued:
    """A revision as it comes back, as it is known here (None: it was made away), and the files that are new."""

    revision: Revision
    known: Revision | None
    roles: tuple[str, ...]

    @property
    def signed_away(self) -> tuple[str, ...]:
        """Who signed it away."""
        before = {one.name for one in self.known.signers if one.signed_at} if self.known else set()
        return tuple(one.name for one in self.revision.signers if one.signed_at and one.name not in before)

    @property
    def is_new(self) -> bool:
        """Whether anything of it is not here yet."""
        return bool(self.roles) or self.known is None or self._moved

    @property
    def _moved(self) -> bool:
        return self.known is not None and self.known.state == "offered" and self.revision.state != "offered"


def taking_of(office: Office, held: AlongFile) -> Taking:
    """The taking a file brings back.

    Raises: Refused where it was not taken along from here, or is the file that left.
    """
    with office.database.read() as connection:
        one = takings.find(connection, office.firm_id, held.about.taking)
    if one is None or one.side == BORROWED or one.job_id != held.about.job_id:
        raise Refused(
            f"This job was not taken along from this machine, but from {held.about.firm}. Bring it back on the machine "
            "that it left.",
            field="file",
        )
    if held.about.way != BACK:
        raise Refused(
            f"This is the file in which the job left. The one that brings it back is made on {one.name}, on the job's "
            "page “Take along”.",
            field="file",
        )
    return one


def done_away(held: AlongFile, one: Taking) -> tuple[ChainEntry, ...]:
    """What the record of the other machine says was done there, oldest first.

    Raises: BadValue where it does not say that this taking was opened there.
    """
    found = after_opening(held.chain, one.id)
    if found is None:
        raise BadValue(f"The record in this file does not begin with this taking. {CHANGED}", field="file")
    return found


def is_known(office: Office, held: AlongFile, one: Taking) -> bool:
    """Whether all of a file came back before.

    Raises: BadValue where its record does not go on from what came back before.
    """
    store, hashes = files_of(office), set(held.chain.hashes)
    for before in one.standing:
        if held.chain.head in read_chain(store.read(before.record)).hashes:
            return True
        if before.head not in hashes:
            raise BadValue(
                f"The record in this file does not go on from what came back before from {one.name}. {CHANGED}",
                field="file",
            )
    return False


def issued_away(office: Office, held: AlongFile) -> tuple[Issued, ...]:
    """What was issued or signed away.

    Raises: BadValue where a page is missing or another; Refused where it was signed here too, or two share a number.
    """
    store, files = files_of(office), held.bundle.files
    with office.database.read() as connection:
        here = {one.id: one for one in revisions.revisions_of(connection, held.about.job_id)}
    found = tuple(_issued(one, here.get(one.id)) for one in _read(held))
    for one in found:
        if missing := next((role for role in one.roles if not _has(store, files, one.revision.files[role])), None):
            raise BadValue(f"{_named(one.revision)} lacks its {missing} in this file. {CHANGED}", field="file")
    new = {(one.revision.kind, one.revision.number): one.revision for one in found if one.known is None}
    if twice := next((one for one in here.values() if (one.kind, one.number) in new), None):
        raise Refused(
            f"{_named(twice)} was made here and another {_named(twice)} on {held.about.name}: two papers, one number. "
            "Nothing was changed. Keep this file; what was agreed on the other one has to be offered again here.",
            field="file",
        )
    _check_signed_once(held, found, here)
    return tuple(one for one in found if one.is_new)


def _check_signed_once(held: AlongFile, found: tuple[Issued, ...], here: Mapping[str, Revision]) -> None:
    carried = {one.revision.id: one.revision for one in found}
    for away in found:
        if not away.signed_away:
            continue
        for one in here.values():
            if ONE_AGREEMENT.get(one.kind) == ONE_AGREEMENT.get(away.revision.kind):
                there = {s.name for s in carried[one.id].signers if s.signed_at} if one.id in carried else set()
                if signed := [s.name for s in one.signers if s.signed_at and s.name not in there]:
                    raise Refused(_signed_twice(held, away, one, signed), field="file")


def _signed_twice(held: AlongFile, away: Issued, here: Revision, signed: list[str]) -> str:
    there, signers = held.about.name, " and ".join(away.signed_away)
    return (
        f"{_named(here)} was signed here by {' and '.join(signed)}, and {_named(away.revision)} on {there} by "
        f"{signers}. Two signed agreements cannot be put together. Nothing was changed. Agree with the client in "
        "writing which one holds. If it is the one signed here, say below that the job will not come back from "
        f"{there}. If it is the other, print its signed pages on {there} and go on with the job there. Keep this file."
    )


async def check_signed_copies(office: Office, held: AlongFile, issued: tuple[Issued, ...]) -> None:
    """Every signed copy that is new: it begins with the offered pages and nothing of them was touched.

    Raises: BadValue, naming what is wrong.
    """
    for one in issued:
        for role in (role for role in one.roles if role.startswith("signed-")):
            signed, offered = (content_of(office, held, one.revision.files[part]) for part in (role, "offered"))
            said = msgspec.json.decode(await run_in_worker("signed copy", {"signed": signed, "offered": offered}))
            if said:
                raise BadValue(f"{_named(one.revision)}: {' '.join(said)} {CHANGED}", field="file")


def content_of(office: Office, held: AlongFile, name: str) -> bytes:
    """A file by its hash, of the zip or of those here. Raises: NotFound, FileDamaged."""
    return held.bundle.files[name] if name in held.bundle.files else files_of(office).read(name)


def _issued(one: Revision, known: Revision | None) -> Issued:
    before = known.files if known else {}
    if any(before[role] != one.files.get(role) for role in before if role in one.files):
        raise BadValue(f"{_named(one)} holds other pages than it does here. {CHANGED}", field="file")
    return Issued(revision=one, known=known, roles=tuple(sorted(one.files.keys() - before.keys())))


def _read(held: AlongFile) -> Iterator[Revision]:
    for one in issued_in(held.parts["revisions.json"]):
        if one.job_id != held.about.job_id or one.kind not in ONE_AGREEMENT or "offered" not in one.files:
            raise BadValue(f"What was issued cannot be read in this file. {CHANGED}", field="file")
        yield one


def _has(store: FileStore, files: Mapping[str, bytes], name: str) -> bool:
    return name in files or store.has(name)


def _named(one: Revision) -> str:
    return f"{one.kind.capitalize()} {one.number}"


def job_id_of(held: AlongFile) -> UUID:
    """The job a file is of."""
    return UUID(held.about.job_id)
