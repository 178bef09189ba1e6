"""Backups: one zip of the database, every file, and each job as a job file; looked into before it is trusted."""

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID

import msgspec
from sqlalchemy import Connection

from app.config import Settings
from app.db.backup import CopyBroken, Inside, look_inside
from app.db.files import FileStore
from app.db.repositories import record, record_check, revisions, things
from app.documents.verifying import faults_of_signed_copy
from app.domain.codec import canonical_bytes, to_plain
from app.domain.errors import NotFound, OutlayError
from app.interchange.archive import check_content_names
from app.interchange.job_bundle import files_named
from app.services import jobs
from app.services.archives import FILE, JOB_FILE, backup_read, check_names, job_files, written_aside
from app.services.office import Clock, Office, utc_now
from app.services.restoring import take_place, unpacking
from app.services.takings import faults as faults_of_takings

FORMAT = "outlay backup"
VERSION = 1
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


def folder_of(settings: Settings) -> Path:
    """Where backups make themselves."""
    return settings.data / "backups"


BESIDE = "files"  # the folder of files beside backups


def back_up(office: Office, target: Path, *, beside: bool = False) -> Manifest:
    """Write a backup while the office is in use, and look into what was written: only then does it take its name.

    `beside`: files by content are kept once in `files/` beside the backups of that folder, not in each.
    Raises: Refused when the target is there already; CopyBroken when the copy does not hold; DiskTrouble.
    """
    with written_aside(office, target, look_into) as (copy, aside):
        return _written(office, copy, look_inside(copy), aside, beside=beside)


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
        found = list(_faults_of_record(connection, office.settings))
        job_ids = things.all_job_ids(connection, office.firm_id)
        known = [one for job_id in job_ids for one in revisions.revisions_of(connection, job_id)]
    store = FileStore(office.settings.files)
    found += [f"The file {name[:12]}… is damaged. Take it from a backup." for name in store.damaged()]
    for job_id in job_ids:
        found += _faults_of_job(office, store, UUID(job_id))
    for one in known:
        found += _faults_of_revision(store, one)
    return tuple(dict.fromkeys([*found, *faults_of_takings(office)]))


def _faults_of_record(connection: Connection, settings: Settings) -> Iterator[str]:
    broken = record_check.verify(connection)
    if broken:
        yield broken
    yield from record_check.off_the_record(connection)
    for path in sorted(folder_of(settings).glob("*.zip")):
        made = manifest_of(path)
        same = made is not None and made.epoch == record.epoch(connection)
        if made and same and not record_check.holds(connection, made.entries, made.head):
            yield f"The record is not the one that the backup {path.name} was made of. Look into that backup."


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
        for name, content in job_files(office):
            held.writestr(name, content)
        for name in [] if beside else names:
            held.writestr(zipfile.ZipInfo(f"files/{name[:2]}/{name}"), store.read(name))
    return manifest


def look_into(archive: Path) -> Manifest:
    """Check a backup whole: its list, its database and record, every file by its hash, also those beside it.

    Raises: NotFound; CopyBroken, in a sentence, when anything does not hold.
    """
    if not archive.exists():
        raise NotFound(f"There is no file {archive}.")
    with backup_read(archive) as held, TemporaryDirectory(prefix="outlay-look-", dir=archive.parent) as folder:
        manifest = _checked(held, Path(folder))
    for name in manifest.beside:
        FileStore(archive.parent / BESIDE).read(name)
    return manifest


def manifest_of(archive: Path) -> Manifest | None:
    """What a backup says of itself, unchecked, for a list; None for what is none."""
    try:
        with backup_read(archive) as held:
            return _manifest(held.read("manifest.json"))
    except (OSError, OutlayError):
        return None


def _checked(held: zipfile.ZipFile, folder: Path) -> Manifest:
    check_names(held, READABLE)
    manifest = _manifest(held.read("manifest.json"))
    check_content_names(held, FILE, CopyBroken, "backup")
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
    lost = () if "offered" in one.files else ("offered",)
    missing = [*lost, *(role for role, name in one.files.items() if not store.has(name))]
    if missing:
        return [f"{title}: not here: {', '.join(sorted(missing))}. A backup may have it."]
    if not one.signed_file:
        return []
    try:
        signed, offered = store.read(one.signed_file), store.read(one.files["offered"])
    except OutlayError as wrong:
        return [f"{title}: {wrong.sentence}"]
    return [f"{title}: {said}" for said in faults_of_signed_copy(signed, offered)]
