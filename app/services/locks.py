"""The firm's own key that locks signed copies, and what is said of a copy: whole or not, whose key, which record."""

from dataclasses import dataclass
from hashlib import sha256

import msgspec

from app.db.key_folder import KeyFolder
from app.db.repositories import record, revisions
from app.documents.locking import LockKey
from app.documents.verifying import Copy, copy_words
from app.interchange import certificates
from app.interchange.certificates import Keyed
from app.services.authority import KEYS
from app.services.office import Office
from app.worker.running import run_in_worker

LOCK = "lock"
OURS = "The key is this firm's own."
NOT_OURS = (
    "The key is not the one in this data folder: the copy was locked on another machine, before the keys were lost, or "
    "not by this firm."
)
KEPT = "It is kept here, byte for byte, as {kind} {number}."
NOT_KEPT = "No copy kept here has these bytes."
RECORD_KNOWN = "The head of the record that it prints is in the record here."
RECORD_UNKNOWN = (
    "The head of the record that it prints ({head}…) is not in the record here: the record was cut off, or it is "
    "another machine's."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """A copy as it was looked at, and sentences about it."""

    copy: Copy
    said: tuple[str, ...]

    @property
    def whole(self) -> bool:
        """Nothing is wrong with the file itself."""
        return self.copy.whole


def lock_key(office: Office) -> LockKey:
    """The key; it is made when it is first needed. Raises: Refused when the disk does not take it."""
    kept = _kept(office)
    if kept is None:
        kept = certificates.new_signing(office.firm().name or "Outlay", office.clock())
        _folder(office).write(f"{LOCK}.key", kept.key)
        _folder(office).write(f"{LOCK}.crt", kept.certificate)
    return LockKey(key=kept.key, certificate=kept.certificate)


async def look_at(office: Office, content: bytes) -> Looked:
    """A copy, looked at in the worker."""
    found = msgspec.json.decode(await run_in_worker("look at copy", {"content": content}), type=Copy)
    return told(office, content, found)


def told(office: Office, content: bytes, copy: Copy) -> Looked:
    """What the office knows of a copy: its key, its bytes, its record."""
    said = [copy_words(copy)]
    if copy.lock and copy.whole:
        said.append(OURS if copy.lock.fingerprint == _fingerprint(office) else NOT_OURS)
    with office.database.read() as connection:
        kept = revisions.revision_of_file(connection, office.firm_id, sha256(content).hexdigest())
        known = bool(copy.record) and record.holds_hash(connection, copy.record)
    said.append(KEPT.format(kind=kept[0], number=kept[1]) if kept else NOT_KEPT)
    if copy.record:
        said.append(RECORD_KNOWN if known else RECORD_UNKNOWN.format(head=copy.record[:12]))
    return Looked(copy=copy, said=tuple(said))


def _fingerprint(office: Office) -> str:
    kept = _kept(office)
    return certificates.fingerprint(kept.certificate) if kept else ""


def _kept(office: Office) -> Keyed | None:
    keys = _folder(office)
    key, certificate = keys.read(f"{LOCK}.key"), keys.read(f"{LOCK}.crt")
    kept = Keyed(key=key, certificate=certificate) if key and certificate else None
    return kept if kept and certificates.still_signs(kept) else None


def _folder(office: Office) -> KeyFolder:
    return KeyFolder(office.settings.data / KEYS)
