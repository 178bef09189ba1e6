"""The portable backup: one zip that any program can read and that sets up a new laptop.

Job files, the firm, its book, every row of every table as JSON, files by content, and a list of checksums that
`sha256sum -c` reads. No table of one engine, no key in the open: keys are in it only sealed under a passphrase.
"""

import re
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import msgspec

from app.config import Settings
from app.db.backup import CopyBroken, Inside, look_inside
from app.db.files import FileStore
from app.db.key_folder import KeyFolder
from app.db.migrate import migrate
from app.db.rows import put_rows, rows_of, schema_of, tables_of
from app.db.session import Database
from app.domain.codec import canonical_bytes, to_plain
from app.domain.errors import OutlayError
from app.interchange.archive import SUMS, check_sums, sums_of
from app.interchange.sealed_keys import seal, unseal
from app.services.archives import FILE, backup_read, check_names, job_files, written_aside
from app.services.office import Clock, Office, utc_now
from app.services.restoring import take_place, unpacking

FORMAT, VERSION = "outlay portable backup", 1
ABOUT, KEYS = "about.json", "keys.sealed"
KEY_FOLDER, KEY_NAME = "keys", re.compile(r"[a-z][a-z-]{0,40}\.(key|crt)")
ROWS = re.compile(r"rows/([a-z_]+)\.jsonl")
READABLE = re.compile(
    rf"{ABOUT}|{SUMS}|{KEYS}|firm\.json|book\.json|jobs/[0-9]+-[0-9a-f-]{{36}}\.json|{ROWS.pattern}|{FILE.pattern}"
)


class About(msgspec.Struct, kw_only=True, frozen=True):
    """What a portable backup says of itself."""

    format: str
    version: int
    made_at: str
    firm: str
    jobs: int
    entries: int
    head: str
    newest: str
    epoch: int
    files: int
    schema: str  # the migration its rows stand at
    keys: bool


def write(office: Office, target: Path, *, passphrase: str = "") -> About:
    """Write everything while the office is in use, then look into it; with a passphrase also the keys, sealed.

    Raises: Refused when the target is there; BadValue on a passphrase too short; CopyBroken; DiskTrouble.
    """
    keys = seal(_keys(office.settings), passphrase) if passphrase else b""
    with written_aside(office, target, look) as (copy, aside):
        return _written(office, copy, look_inside(copy), aside, keys)


def look(archive: Path) -> About:
    """Check a portable backup whole, by its list of checksums, and tell what is inside.

    Raises: CopyBroken, in a sentence.
    """
    if not archive.exists():
        raise CopyBroken(f"There is no file {archive}. Nothing was changed.")
    with backup_read(archive) as held:
        return _checked(held)


def is_portable(archive: Path) -> bool:
    """Whether a file looks like a portable backup (and not like one of the database)."""
    try:
        with backup_read(archive) as held:
            return ABOUT in held.namelist()
    except (CopyBroken, OSError):
        return False


def restore(settings: Settings, archive: Path, *, passphrase: str = "", clock: Clock = utc_now) -> About:
    """Set up the data folder from a portable backup; what was there is kept beside it. A new epoch begins, on record.

    Raises: CopyBroken, BadValue; nothing is touched then.
    """
    about = look(archive)
    with unpacking(settings) as folder, zipfile.ZipFile(archive) as held:
        keys = unseal(held.read(KEYS), passphrase) if passphrase and about.keys else {}
        _database_of(held, about, folder / "outlay.db", settings)
        store = FileStore(folder / "files")
        for one in held.namelist():
            if FILE.fullmatch(one):
                store.keep(held.read(one))
        take_place(settings, folder, about.made_at, clock())
    for one, content in keys.items():
        KeyFolder(settings.data / KEY_FOLDER).write(one, content)
    return about


def _written(office: Office, copy: Path, inside: Inside, aside: Path, keys: bytes) -> About:
    store, then = FileStore(office.settings.files), Database(copy)
    damaged = set(store.damaged())
    names = [name for name in store.names() if name not in damaged]
    at_copy = replace(office, database=then, _book=None, _basis=None, _looked=None, _stood=None)
    sums: dict[str, str] = {}
    try:
        with zipfile.ZipFile(aside, "x", zipfile.ZIP_DEFLATED) as held:
            with then.read() as connection:
                schema = schema_of(connection)
            about = _about(office, inside, schema, files=len(names), keys=bool(keys))
            for name, content in _parts(at_copy, about, names, keys):
                held.writestr(name, content)
                sums[name] = sha256(content).hexdigest()
            held.writestr(SUMS, sums_of(sums))
    finally:
        then.close()
    return about


def _about(office: Office, inside: Inside, schema: str, *, files: int, keys: bool) -> About:
    return About(
        format=FORMAT,
        version=VERSION,
        made_at=office.clock().isoformat(),
        firm=inside.firm,
        jobs=inside.jobs,
        entries=inside.entries,
        head=inside.head,
        newest=inside.newest,
        epoch=inside.epoch,
        files=files,
        schema=schema,
        keys=keys,
    )


def _parts(office: Office, about: About, names: list[str], keys: bytes) -> Iterator[tuple[str, bytes]]:
    """Everything that goes into the zip, name and content."""
    store = FileStore(office.settings.files)
    yield ABOUT, msgspec.json.format(msgspec.json.encode(about), indent=1)
    yield "firm.json", canonical_bytes(to_plain(office.firm()))
    yield "book.json", canonical_bytes(to_plain(office.basis()))
    with office.database.read() as connection:
        for table in tables_of(connection):
            lines = [msgspec.json.encode(row) + b"\n" for row in rows_of(connection, table)]
            yield f"rows/{table.name}.jsonl", b"".join(lines)
    yield from job_files(office)
    for name in names:
        yield f"files/{name[:2]}/{name}", store.read(name)
    if keys:
        yield KEYS, keys


def _keys(settings: Settings) -> dict[str, bytes]:
    folder = settings.data / KEY_FOLDER
    found = sorted(path.name for path in folder.glob("*") if KEY_NAME.fullmatch(path.name))
    return {name: KeyFolder(folder).read(name) or b"" for name in found}


def _checked(held: zipfile.ZipFile) -> About:
    check_names(held, READABLE)
    check_sums(held, CopyBroken, "backup")
    try:
        about = msgspec.json.decode(held.read(ABOUT), type=About)
    except msgspec.DecodeError as wrong:
        raise CopyBroken("This zip does not say it is a backup. Nothing was changed.") from wrong
    if about.format != FORMAT or about.version > VERSION:
        raise CopyBroken("This backup was made by a newer program. Bring this one up to date, then restore again.")
    return about


def _database_of(held: zipfile.ZipFile, about: About, path: Path, settings: Settings) -> None:
    """A database of the rows, at the migration they stand at, checked against what the backup says of itself."""
    database = Database(path)
    try:
        migrate(database, settings.migrations, to=about.schema)
        with database.write() as connection:
            for table in tables_of(connection):
                name = f"rows/{table.name}.jsonl"
                lines = held.read(name).splitlines() if name in held.namelist() else []
                put_rows(connection, table, (msgspec.json.decode(line) for line in lines))
    except OutlayError:
        raise
    except Exception as wrong:
        raise CopyBroken(f"The rows of this backup cannot be read: {str(wrong).splitlines()[0][:200]}.") from wrong
    finally:
        database.close()
    inside = look_inside(path)
    if (inside.head, inside.entries, inside.jobs) != (about.head, about.entries, about.jobs):
        raise CopyBroken("The rows of this backup are not those it speaks of. Nothing was changed.")
