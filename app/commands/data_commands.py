"""Commands on the data folder. While the pages are served from it, what writes goes through that server."""

import argparse
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from pathlib import Path
from uuid import UUID, uuid4

from app.commands.output import columns, say, say_json, settings_of, write_new
from app.commands.through_server import ask_server
from app.config import Settings
from app.db.migrate import is_current, migrate
from app.db.serving import InUse, alone
from app.db.session import database_of
from app.domain.codec import from_plain
from app.domain.errors import NotFound
from app.interchange.library_file import load_library
from app.services import job_files
from app.services.any_file import bring_in_any
from app.services.home import every_job
from app.services.jobs import Order
from app.services.office import Office, open_office

SAME_JOB = (
    "It is here as the same job, on the prices it came with. When you are done with it, make the file to bring back on "
    "its page “Take along”."
)


@contextmanager
def office_of(args: argparse.Namespace, *, held: bool = False) -> Iterator[Office]:
    """The office of the data folder; `held`: it is this command's alone already.

    Raises: NotFound where there is none yet.
    """
    settings = settings_of(args)
    if not settings.holds_data:
        raise NotFound(f"There is no data in {settings.data}. Say where with --data, or start with `outlay serve`.")
    library = load_library(settings.library)
    with nullcontext() if held else _brought_forward(settings):
        office = open_office(settings, library.basis(), cautions=library.cautions)
    try:
        yield office
    finally:
        office.database.close()


def _brought_forward(settings: Settings) -> AbstractContextManager[None]:
    """What holds while the data is opened: data of an older release is only brought forward when nobody serves it."""
    database = database_of(settings)
    current = is_current(database, settings.migrations)
    database.close()
    return nullcontext() if current else alone(settings.data)


def held_for_writing(settings: Settings, address: str = "") -> AbstractContextManager[None]:
    """Hold the data folder for a program that writes; where the database lies on a server, others may go on beside it.

    Raises: InUse.
    """
    if not settings.server:
        return alone(settings.data, address)
    with _brought_forward(settings), closing(database_of(settings)) as database:
        migrate(database, settings.migrations)  # before others are let in
    return alone(settings.data, address, beside=True)


def list_jobs(args: argparse.Namespace) -> int:
    """The jobs, by number."""
    with office_of(args) as office:
        lines = every_job(office)
    if args.json:
        say_json(lines)
    else:
        rows = [(str(line.number), line.client or line.title, line.title, line.stage) for line in lines]
        say(*columns(rows)) if rows else say("No jobs yet.")
    return 0


def export(args: argparse.Namespace) -> int:
    """A job to a job file."""
    with office_of(args) as office:
        job_id, number = job_named(office, args.job)
        out = args.out or Path(f"job-{number}.zip")
        write_new(out, job_files.export_job(office, job_id))
    done(args, {"file": str(out), "job": str(job_id)}, f"Job {number} is in {out}.")
    return 0


def bring_in(args: argparse.Namespace) -> int:
    """A new job of a job file."""
    try:
        content = args.file.read_bytes()
    except OSError as wrong:
        raise NotFound(f"The file {args.file} cannot be read: {wrong.strerror}.") from wrong
    made = _brought_in(args, content, Order(change_id=uuid4()))
    lacks = f" {made.missing} of its photos or pages were not in the file." if made.missing else ""
    if made.same:
        done(args, {"job": str(made.job_id), "missing": 0}, SAME_JOB)
        return 0
    said = f"It is job {made.job_id} now, on the prices it came with; “Use my prices” on its Build sheet changes that."
    done(args, {"job": str(made.job_id), "missing": made.missing}, said + lacks)
    return 0


def _brought_in(args: argparse.Namespace, content: bytes, order: Order) -> job_files.BroughtIn:
    settings = settings_of(args)
    try:
        with held_for_writing(settings), office_of(args, held=True) as office:
            return bring_in_any(office, content, order)
    except InUse as served:
        if not served.address:
            raise
        answer = ask_server(settings, served.address, "import", content, order.change_id)
        return from_plain(answer, job_files.BroughtIn)


def job_named(office: Office, named: str) -> tuple[UUID, int]:
    """A job by its number or id. Raises: NotFound with what to do."""
    for line in every_job(office):
        if named in (str(line.number), line.job_id):
            return UUID(line.job_id), line.number
    raise NotFound(f"There is no job “{named}”. `outlay jobs` lists them with their numbers.")


def done(args: argparse.Namespace, value: object, said: str) -> None:
    """Answer for a person, or for a machine where it asks."""
    if args.json:
        say_json(value)
    else:
        say(said)
