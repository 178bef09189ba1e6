"""A job file opened without any data folder of its own: an office for as long as a command runs."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from app.config import Settings
from app.db.files import FileStore
from app.domain.errors import NotFound
from app.interchange.library_file import load_library
from app.services.job_files import open_file
from app.services.jobs import OpenJob
from app.services.office import Office, open_office
from app.services.sheets import Sheet, day_at, sheet_of


@contextmanager
def opened_file(path: Path, today: date | None = None) -> Iterator[tuple[Office, Sheet]]:
    """A job file's job on its own basis, as the sheets and documents want it. Nothing of it stays on this machine.

    `today` is the day that prices and papers are asked by (None: today where the yard lies).

    Raises: NotFound when there is no such file; BadValue in a sentence when it is no job file.
    """
    try:
        bundle = open_file(path.read_bytes())
    except (FileNotFoundError, IsADirectoryError, PermissionError) as wrong:
        raise NotFound(f"The file {path} cannot be read: {wrong.strerror}.") from wrong
    job, basis = bundle.job_file.job, bundle.job_file.basis
    with TemporaryDirectory(prefix="outlay-job-") as folder:
        settings = Settings(data=Path(folder))
        office = open_office(settings, basis, cautions=load_library(settings.library).cautions)
        try:
            store = FileStore(settings.files)
            for content in bundle.files.values():
                store.keep(content)
            yield office, sheet_of(OpenJob(job, basis, 0, {}, "", None), today or day_at(office, job))
        finally:
            office.database.close()
