"""Backups that make themselves: hourly while something changes and at every signing, thinned out, kept in one folder.

A backup takes its name only once it was opened and every page, link and file of it was checked: what lies in the
folder under such a name was whole when it was made. Files by content lie there once, beside the backups.
"""

import asyncio
import logging
import re
import shutil
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import msgspec

from app.config import Settings
from app.db.disk import writing_to
from app.db.files import FileStore, write_whole
from app.db.places import unsafe_place
from app.db.repositories import record
from app.db.serving import InUse, alone
from app.domain.backup_plan import is_due, staying, went_back
from app.domain.errors import OutlayError, Refused
from app.interchange.library_file import load_library
from app.services import backups, pieces, portable
from app.services.backups import Manifest, folder_of
from app.services.office import Office, open_office
from app.services.portable import About
from app.worker.running import turn_of_this_loop, worker_of_this_loop

log = logging.getLogger(__name__)
NAMED = re.compile(r"outlay-(\d{8}-\d{6})\.zip")
WHEN = "%Y%m%d-%H%M%S"
ELSEWHERE = "elsewhere.json"
DEADLINE = 1800.0  # s; gigabytes to a slow stick
MEMORY_MB = 1500
QUEUE = "backups"  # of its own: a PDF at the table does not wait for it
LEFT_FOR = timedelta(days=1)
TROUBLE = "backup trouble"
FIRST_LOOK, LOOK_EVERY = 60.0, 20.0  # s


@dataclass(frozen=True, slots=True)
class Kept:
    """A backup in the folder: its file, when it was made (UTC), its size in bytes."""

    path: Path
    made: datetime
    size: int

    @property
    def megabytes(self) -> str:
        """The size as people read it [MB]."""
        return f"{self.size / 1e6:,.1f}"

    @property
    def head(self) -> str:
        """The hash of the newest entry it holds."""
        manifest = backups.manifest_of(self.path)
        return manifest.head if manifest else ""


class Elsewhere(msgspec.Struct, kw_only=True, frozen=True):
    """The last backup that was made to another folder: when (ISO, UTC) and which file."""

    at: str
    where: str


class Made(msgspec.Struct, kw_only=True, frozen=True):
    """What the worker says of the backup it made: which file, and what that says of itself."""

    where: str
    manifest: Manifest


@dataclass(frozen=True, slots=True, kw_only=True)
class Backups:
    """What the page shows: where they lie, the newest first, the last elsewhere, and what is wrong, in sentences."""

    folder: Path
    kept: Sequence[Kept]
    elsewhere: Elsewhere | None
    newest: Manifest | None
    wrong: Sequence[str]


def kept(folder: Path) -> list[Kept]:
    """The backups in a folder, the newest first; what is not named like one is nobody's business here."""
    found = [(NAMED.fullmatch(path.name), path) for path in folder.glob("outlay-*.zip")]
    rows = [
        Kept(path, datetime.strptime(name[1], WHEN).replace(tzinfo=UTC), path.stat().st_size)
        for name, path in found
        if name
    ]
    return sorted(rows, key=lambda one: one.made, reverse=True)


def due(office: Office) -> bool:
    """Whether a backup is to be made now: something changed and an hour went by, or somebody signed."""
    have = kept(folder_of(office.settings))
    last = have[0] if have else None
    with office.database.read() as connection:
        head = record.head(connection)
        last_head = last.head if last else ""
        signed = head != last_head and record.signed_since(connection, last_head)
    return is_due(office.clock(), last.made if last else None, head, last_head, signed=signed)


async def make(office: Office, folder: Path | None = None) -> Manifest:
    """Make a backup in a process of its own; into another folder (a stick), one that holds everything.

    Raises: Refused where that folder is none; InUse where another program makes one; DiskTrouble, CopyBroken.
    """
    own, now = folder_of(office.settings), office.clock().isoformat()
    into = _checked(office, folder) if folder else own
    payload = {"data": str(office.settings.data), "folder": str(into), "now": now, "beside": folder is None}
    worker = worker_of_this_loop(QUEUE)
    async with nullcontext() if folder else turn_of_this_loop(QUEUE):
        with nullcontext() if folder else _not_twice(office.settings):
            content = await worker.run("backup", payload, deadline=DEADLINE, memory_mb=MEMORY_MB)
    made = msgspec.json.decode(content, type=Made)
    if folder:
        _note(own, Elsewhere(at=now, where=made.where))
    return made.manifest


async def make_portable(office: Office, folder: Path, passphrase: str) -> About:
    """Write a portable backup into another folder, for a new laptop; with a passphrase the keys are in it, sealed.

    Raises: Refused where the folder is none; BadValue on a passphrase too short; DiskTrouble, CopyBroken.
    """
    target = fresh_name(_checked(office, folder, "laptop"), office.clock(), "outlay-portable")
    payload = {"data": str(office.settings.data), "target": str(target), "passphrase": passphrase}
    worker = worker_of_this_loop(QUEUE)
    content = await worker.run("portable", payload, deadline=DEADLINE, memory_mb=MEMORY_MB)
    _note(folder_of(office.settings), Elsewhere(at=office.clock().isoformat(), where=str(target)))
    return msgspec.json.decode(content, type=About)


def portable_task(payload: Any, tell: Any) -> bytes:
    """The worker's task: open the data, write a portable backup of it, check it."""
    tell(0.0, "Writing the portable backup")
    with _opened(Path(payload["data"])) as office:
        return msgspec.json.encode(portable.write(office, Path(payload["target"]), passphrase=payload["passphrase"]))


@contextmanager
def _opened(data: Path) -> Iterator[Office]:
    """The office of a data folder, in a worker."""
    settings = Settings(data=data)
    library = load_library(settings.library)
    office = open_office(settings, library.basis(), cautions=library.cautions)
    try:
        yield office
    finally:
        office.database.close()


def backup_task(payload: Any, tell: Any) -> bytes:
    """The worker's task: open the data, write a backup of it, look into it, thin out those of the same folder.

    All of it in one turn of the queue: between the name and the thinning no other backup begins, which would take the
    same name, or lose the files it has just put beside.
    """
    tell(0.0, "Making a backup")
    folder, beside = Path(payload["folder"]), payload["beside"]
    with _opened(Path(payload["data"])) as office:
        target = fresh_name(folder, datetime.fromisoformat(payload["now"]))
        manifest = backups.back_up(office, target, beside=beside)
    if beside:
        thin_out(folder, just_made=target)
    return msgspec.json.encode(Made(where=str(target), manifest=manifest))


def thin_out(folder: Path, *, just_made: Path | None = None) -> None:
    """Take out backups that later ones stand for, and files beside that no backup left names.

    The one just made stays, also where the clock was set back and others have later names.
    """
    have = kept(folder)
    stay = staying(one.made for one in have) | {one.made for one in have if one.path == just_made}
    for one in have:
        if one.made not in stay:
            one.path.unlink(missing_ok=True)
    manifests = [backups.manifest_of(one.path) for one in have if one.made in stay]
    if None in manifests:  # one cannot be read: nobody knows what it names, so nothing is taken from it
        return
    named = {name for one in manifests if one for name in one.beside}
    store = FileStore(folder / backups.BESIDE)
    for name in list(store.names()):
        if name not in named:
            store.drop(name)


def clear_leftovers(folder: Path, now: datetime) -> None:
    """Take away what a backup left half written that was killed a day ago or more: none of it ever had a name."""
    for one in (*folder.glob("*.part"), *folder.glob("outlay-backup-*")):
        with suppress(OSError):
            if now.timestamp() - one.stat().st_mtime > LEFT_FOR.total_seconds():
                shutil.rmtree(one) if one.is_dir() else one.unlink()


def fresh_name(folder: Path, now: datetime, kind: str = "outlay") -> Path:
    """A name for a backup made now that is not there yet, also where the clock was set back."""
    while (path := folder / f"{kind}-{now.astimezone(UTC).strftime(WHEN)}.zip").exists():
        now += timedelta(seconds=1)
    return path


def look(office: Office) -> Backups:
    """What the page shows."""
    folder = folder_of(office.settings)
    have = kept(folder)
    elsewhere = _elsewhere(folder)
    newest = backups.manifest_of(have[0].path) if have else None
    return Backups(folder=folder, kept=have, elsewhere=elsewhere, newest=newest, wrong=in_danger(office))


def in_danger(office: Office) -> tuple[str, ...]:
    """What endangers the data just now, a sentence each."""
    found = [office.database.memory.get(TROUBLE, ""), unsafe_place(office.settings.data), _clock(office)]
    return tuple(one for one in found if one)


def _clock(office: Office) -> str:
    with office.database.read() as connection:
        newest = record.newest_at(connection)
    now, last = office.clock(), datetime.fromisoformat(newest) if newest else None
    if last is None or not went_back(now, last):
        return ""
    return (
        f"This machine's clock says {now:%Y-%m-%d %H:%M} UTC, and the newest change here was made on "
        f"{last:%Y-%m-%d %H:%M} UTC. Set the clock right: how long offers hold and what is overdue go by it. Nothing "
        "is lost; changes are kept in the order they were made."
    )


def _checked(office: Office, folder: Path, field: str = "folder") -> Path:
    if not folder.is_absolute() or not folder.is_dir():
        raise Refused(f"There is no folder {folder} on this machine. Is the stick plugged in?", field=field)
    if folder.resolve().is_relative_to(office.settings.data.resolve()):
        raise Refused("That folder is inside the data itself. Choose one on another disk.", field=field)
    return folder


def _note(folder: Path, made: Elsewhere) -> None:
    with writing_to(folder):
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(folder / ELSEWHERE, msgspec.json.encode(made))


def _elsewhere(folder: Path) -> Elsewhere | None:
    try:
        return msgspec.json.decode((folder / ELSEWHERE).read_bytes(), type=Elsewhere)
    except (OSError, msgspec.DecodeError):
        return None


async def keep_making(office: Office, *, first: float = FIRST_LOOK, every: float = LOOK_EVERY) -> None:
    """While the pages are served: look now and then [s] whether a backup is due, and make it."""
    await asyncio.sleep(first)
    clear_leftovers(folder_of(office.settings), office.clock())
    while True:
        pieces.clear(office.settings, office.clock())
        await make_if_due(office)
        await asyncio.sleep(every)


def _not_twice(settings: Settings) -> AbstractContextManager[None]:
    """Of several programs that serve one database, one makes the backup."""
    return alone(folder_of(settings)) if settings.server else nullcontext()


async def make_if_due(office: Office) -> None:
    """Make a backup when one is due; what hinders it is kept, so that the pages say it, until one was made."""
    try:
        if not due(office):
            return
        await make(office)
    except InUse:
        return  # the other one makes it
    except OutlayError as trouble:
        office.database.memory[TROUBLE] = f"No backup could be made. {trouble.sentence}"
    except Exception:  # whatever it is, the next look must come
        log.exception("no backup could be made")
        office.database.memory[TROUBLE] = "No backup could be made. What happened stands in the program's log."
    else:
        office.database.memory.pop(TROUBLE, None)
