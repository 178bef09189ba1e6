"""Backups: one zip of the database, every file, and each job as a job file; looked into before it is trusted."""

import re
import zipfile
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID

import msgspec

from app.config import Settings
from app.db.backup import CopyBroken, Inside, copy_database, look_inside
from app.db.disk import writing_to
from app.db.files import FileStore, flush
from app.db.repositories import record, revisions, things
from app.documents.verifying import faults_of_signed_copy
from app.domain.codec import canonical_bytes, to_plain
from app.domain.errors import NotFound, OutlayError, Refused
from app.interchange.job_bundle import files_named
from app.interchange.job_file import write_job_file
from app.services import jobs
from app.services.job_files import taken_along
from app.services.office import Clock, Office, utc_now
from app.services.restoring import take_place, unpacking

FORMAT = "outlay backup"
VERSION = 1
FILE = re.compile(r"files/[0-9a-f]{2}/([0-9a-f]{64})")
JOB_FILE = r"jobs/[0-9]+-[0-9a-f-]{36}\.json"
READABLE = re.compile(rf"manifest\.json|outlay\.db|book\.json|{JOB_FILE}|{FILE.pattern}")


class Manifest(msgspec.Struct, kw_only=True, frozen=True):
    """What a backup says of itself."""

    format: str
    version: int
    made_at: str
    firm: str
    jobs: int
    entries: int
    head: str  # the hash of the record's newest entry
    epoch: int
    files: int
    damaged: tuple[str, ...] = ()  # files that were not whole when the backup was made, and are not in it
    newest: str = ""  # when the record's newest entry was made
    beside: tuple[str, ...] = ()  # files kept once for all backups of a folder, in its `files/`


BESIDE = "files"  # the folder of files beside backups


def back_up(office: Office, target: Path, *, beside: bool = False) -> Manifest:
    """Write a backup while the office is in use, and look into what was written: only then does it take its name.

    `beside`: files by content are kept once in `files/` beside the backups of that folder, not in each.
    Raises: Refused when the target is there already; CopyBroken when the copy does not hold; DiskTrouble.
    """
    if target.exists():
        raise Refused(f"{target} is there already. A backup never writes over a file; choose another name.")
    aside = target.with_name(f"{target.name}.part")
    with writing_to(target.parent):
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            with TemporaryDirectory(prefix="outlay-backup-", dir=target.parent) as folder:
                copy = Path(folder) / "outlay.db"
                copy_database(office.settings.database, copy)
                manifest = _written(office, copy, look_inside(copy), aside, beside=beside)
            look_into(aside)
            flush(aside)
            aside.replace(target)
        finally:
            aside.unlink(missing_ok=True)
        flush(target.parent)
    return manifest


def restore(settings: Settings, archive: Path, *, clock: Clock = utc_now) -> Manifest:
    """Put a backup in place of the data, after looking inside; what was there is kept beside it, never thrown away.

    The restored data begins a new epoch, and the restore stands in its record.
    Raises: CopyBroken when the backup does not hold what it says; nothing is touched then.
    """
    manifest = look_into(archive)
    with unpacking(settings) as unpacked:
        with zipfile.ZipFile(archive) as held:
            for name in held.namelist():
                if name == "outlay.db" or FILE.fullmatch(name):
                    held.extract(name, unpacked)
        for name in manifest.beside:
            FileStore(unpacked / "files").keep(FileStore(archive.parent / BESIDE).read(name))
        take_place(settings, unpacked, manifest.made_at, clock())
    return manifest


def faults(office: Office) -> tuple[str, ...]:
    """Everything kept that no longer holds, a sentence each: the record, files, signed copies. Empty: all is whole."""
    with office.database.read() as connection:
        broken = record.verify(connection)
        job_ids = things.all_job_ids(connection, office.firm_id)
        known = [one for job_id in job_ids for one in revisions.revisions_of(connection, job_id)]
    store = FileStore(office.settings.files)
    found = [broken] if broken else []
    found += [f"The file {name[:12]}… is damaged. Take it from a backup." for name in store.damaged()]
    for job_id in job_ids:
        found += _faults_of_job(office, store, UUID(job_id))
    for one in known:
        found += _faults_of_revision(store, one)
    return tuple(dict.fromkeys(found))


def _written(office: Office, copy: Path, inside: Inside, aside: Path, *, beside: bool) -> Manifest:
    store = FileStore(office.settings.files)
    damaged = set(store.damaged())
    names = [name for name in store.names() if name not in damaged]
    manifest = Manifest(
        format=FORMAT,
        version=VERSION,
        made_at=office.clock().isoformat(),
        firm=inside.firm,
        jobs=inside.jobs,
        entries=inside.entries,
        head=inside.head,
        newest=inside.newest,
        epoch=inside.epoch,
        files=len(names),
        damaged=tuple(sorted(damaged)),
        beside=tuple(names) if beside else (),
    )
    kept_beside = FileStore(aside.parent / BESIDE)
    for name in manifest.beside:
        kept_beside.keep(store.read(name))  # also in place of one that is damaged
    with zipfile.ZipFile(aside, "x", zipfile.ZIP_DEFLATED) as held:
        held.writestr("manifest.json", msgspec.json.format(msgspec.json.encode(manifest), indent=1))
        held.write(copy, "outlay.db")
        held.writestr("book.json", canonical_bytes(to_plain(office.basis())))
        for name, content in _job_files(office):
            held.writestr(name, content)
        for name in [] if beside else names:
            held.writestr(zipfile.ZipInfo(f"files/{name[:2]}/{name}"), store.read(name))
    return manifest


def _job_files(office: Office) -> Iterator[tuple[str, bytes]]:
    """Each job as a job file of its own: readable without this program's database."""
    with office.database.read() as connection:
        ids = things.all_job_ids(connection, office.firm_id)
    for one in ids:
        opened = jobs.open_job(office, UUID(one))
        yield f"jobs/{opened.job.head.number}-{one}.json", write_job_file(*taken_along(opened.job, opened.basis))


def look_into(archive: Path) -> Manifest:
    """Check a backup whole: its list, its database and record, every file by its hash, also those beside it.

    Raises: NotFound; CopyBroken, in a sentence, when anything does not hold.
    """
    try:
        with zipfile.ZipFile(archive) as held, TemporaryDirectory(prefix="outlay-look-", dir=archive.parent) as folder:
            manifest = _checked(held, Path(folder))
    except FileNotFoundError:
        raise NotFound(f"There is no file {archive}.") from None
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, KeyError, OSError) as wrong:
        raise CopyBroken(f"{archive.name} is no backup of Outlay's, or it is damaged. Nothing was changed.") from wrong
    for name in manifest.beside:
        FileStore(archive.parent / BESIDE).read(name)
    return manifest


def manifest_of(archive: Path) -> Manifest | None:
    """What a backup says of itself, unchecked, for a list; None for what is none."""
    try:
        with zipfile.ZipFile(archive) as held:
            return _manifest(held.read("manifest.json"))
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, KeyError, OSError, OutlayError):
        return None


def _checked(held: zipfile.ZipFile, folder: Path) -> Manifest:
    strange = next((name for name in held.namelist() if not READABLE.fullmatch(name)), None)
    if strange is not None:
        raise CopyBroken(f"This zip holds “{strange[:60]}”, which belongs to no backup. Nothing was changed.")
    manifest = _manifest(held.read("manifest.json"))
    for name in held.namelist():
        hashed = FILE.fullmatch(name)
        if hashed and sha256(held.read(name)).hexdigest() != hashed[1]:
            raise CopyBroken(f"A file in this backup is damaged: {hashed[1][:12]}…. Nothing was changed.")
    inside = look_inside(Path(held.extract("outlay.db", folder)))
    if (inside.head, inside.entries, inside.jobs) != (manifest.head, manifest.entries, manifest.jobs):
        raise CopyBroken("The database in this backup is not the one its list speaks of. Nothing was changed.")
    return manifest


def _manifest(content: bytes) -> Manifest:
    try:
        manifest = msgspec.json.decode(content, type=Manifest)
    except msgspec.DecodeError as wrong:
        raise CopyBroken("This zip does not say it is a backup. Nothing was changed.") from wrong
    if manifest.format != FORMAT:
        raise CopyBroken("This zip does not say it is a backup. Nothing was changed.")
    if manifest.version > VERSION:
        raise CopyBroken("This backup was made by a newer program. Bring this one up to date, then restore again.")
    return manifest


def _faults_of_job(office: Office, store: FileStore, job_id: UUID) -> list[str]:
    try:
        opened = jobs.open_job(office, job_id)
    except OutlayError as wrong:
        return [wrong.sentence]
    missing = [name for name in files_named(opened.job, opened.basis) if not store.has(name)]
    title = opened.job.head.title or str(job_id)
    return [f"{title}: the file {name[:12]}… is not here. A backup may have it." for name in missing]


def _faults_of_revision(store: FileStore, one: revisions.Revision) -> list[str]:
    title = f"{one.kind.capitalize()} {one.number}"
    missing = [role for role, name in one.files.items() if not store.has(name)]
    if missing:
        return [f"{title}: not here: {', '.join(sorted(missing))}. A backup may have it."]
    if not one.signed_file:
        return []
    try:
        signed, offered = store.read(one.signed_file), store.read(one.files["offered"])
    except OutlayError as wrong:
        return [f"{title}: {wrong.sentence}"]
    return [f"{title}: {said}" for said in faults_of_signed_copy(signed, offered)]
