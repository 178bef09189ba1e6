"""What both kinds of backup are made of: a copy of the database, job files, a zip written aside and looked into."""

import re
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID

from app.db.backup import CopyBroken
from app.db.disk import writing_to
from app.db.files import flush
from app.db.migrate import copy_of
from app.db.repositories import things
from app.domain.errors import Refused
from app.interchange.archive import opened, strange_name
from app.interchange.job_file import write_job_file
from app.services import jobs
from app.services.job_files import taken_along
from app.services.office import Office

FILE = re.compile(r"files/[0-9a-f]{2}/([0-9a-f]{64})")
UNTOUCHED = "Nothing was changed."
JOB_FILE = r"jobs/[0-9]+-[0-9a-f-]{36}\.json"


@contextmanager
def written_aside(office: Office, target: Path, look: Callable[[Path], object]) -> Iterator[tuple[Path, Path]]:
    """A copy of the database, and the path to write a zip at; the zip takes its name after `look` found it whole.

    Raises: Refused when the target is there already; CopyBroken; DiskTrouble.
    """
    if target.exists():
        raise Refused(f"{target} is there already. A backup never writes over a file; choose another name.")
    aside = target.with_name(f"{target.name}.part")
    with writing_to(target.parent):
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            with TemporaryDirectory(prefix="outlay-backup-", dir=target.parent) as folder:
                copy = Path(folder) / "outlay.db"
                copy_of(office.database, copy, office.settings.migrations)
                yield copy, aside
            look(aside)
            flush(aside)
            aside.replace(target)
        finally:
            aside.unlink(missing_ok=True)
        flush(target.parent)


def job_files(office: Office) -> Iterator[tuple[str, bytes]]:
    """Each job as a job file of its own, name and content: readable without this program's database."""
    with office.database.read() as connection:
        ids = things.all_job_ids(connection, office.firm_id)
    for one in ids:
        at = jobs.open_job(office, UUID(one))
        yield f"jobs/{at.job.head.number}-{one}.json", write_job_file(*taken_along(at.job, at.basis))


@contextmanager
def backup_read(archive: Path) -> Iterator[zipfile.ZipFile]:
    """A backup to read. Raises: CopyBroken where it is none, or cannot be read; FileNotFoundError."""
    with opened(archive, CopyBroken, f"{archive.name} is no backup of Outlay's, or it is damaged. {UNTOUCHED}") as held:
        yield held


def check_names(held: zipfile.ZipFile, known: re.Pattern[str]) -> None:
    """Raises: CopyBroken where a backup holds what belongs to none, or a file twice."""
    if strange := strange_name(held, known):
        raise CopyBroken(f"This zip holds “{strange[:60]}”, which belongs to no backup or stands twice. {UNTOUCHED}")
