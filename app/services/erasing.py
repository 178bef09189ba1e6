"""A client's data erased for good: what goes, what stays and until when; the record's chain holds as before.

Order: the list of erasures first, so that what is killed in the middle is done at the next start; then the database, in
one transaction; then the files; at last the database is written anew, because its old pages still hold what went.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from shutil import rmtree
from uuid import UUID, uuid4

from msgspec import structs

from app.db import migrate
from app.db.append_only import lifted
from app.db.erasures import Erasure, Erasures
from app.db.files import FileStore
from app.db.repositories import erasing as rows
from app.db.repositories.emptied import entries_about, how_many
from app.db.repositories.erasing import By, Scope
from app.db.repositories.record import Entry
from app.db.repositories.revisions import Revision
from app.db.small_pictures import SmallPictures
from app.domain.errors import BadValue, NotFound
from app.domain.job import Stage
from app.services import jobs, moving_data, restoring
from app.services.backup_folder import kept
from app.services.backups import folder_of
from app.services.bringing_back import ASIDE
from app.services.jobs import Order
from app.services.office import Office
from app.services.pieces import FOLDER as PIECES

UNDER_WAY = (Stage.SIGNED, Stage.BUILDING)
SET_ASIDE = (migrate.KEPT, moving_data.KEPT, restoring.KEPT)  # how names of what was set aside begin
LEAST_REASON = 10  # letters: a sentence, not a word


@dataclass(frozen=True, slots=True, kw_only=True)
class ErasingJob:
    """One of the client's jobs, as it goes."""

    number: int
    title: str
    under_way: bool
    photos: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What the page says before anything is erased."""

    client_id: UUID
    client: str
    jobs: Sequence[ErasingJob]
    entries: int
    devices: int
    unsigned: int
    signed: Sequence[Revision]
    backups: int  # in the folder of backups, that hold the client
    oldest: datetime | None
    before_restore: Sequence[Path]  # what a restore, a move or an update set aside: it may hold the client

    @property
    def called(self) -> str:
        """What is typed so that nobody is erased by a slip."""
        return self.client or f"job {self.jobs[0].number}"

    @property
    def under_way(self) -> tuple[int, ...]:
        """Numbers of jobs that are signed and not done."""
        return tuple(one.number for one in self.jobs if one.under_way)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What was typed: the client's name again, whether the signed papers go, too, and why."""

    name: str
    papers: bool = False
    reason: str = ""


def outlook(office: Office, job_id: UUID) -> Outlook:
    """What would go with the client of a job. Raises: NotFound."""
    client = jobs.open_job(office, job_id).job.client
    with office.database.read() as connection:
        scope = rows.scope_of(connection, office.firm_id, str(client.id))
        papers = rows.papers_of(connection, scope.job_ids)
        entries = len(entries_about(connection, scope.job_ids, scope.client_id))
    have = kept(folder_of(office.settings))
    return Outlook(
        client_id=client.id,
        client=client.name,
        jobs=[_told(office, UUID(one)) for one in scope.job_ids],
        entries=entries,
        devices=len(scope.device_ids),
        unsigned=sum(not rows.is_to_keep(one) for one in papers),
        signed=[one for one in papers if rows.is_to_keep(one)],
        backups=len(have),
        oldest=have[-1].made if have else None,
        before_restore=_set_aside(office.settings.data),
    )


def _set_aside(data: Path) -> list[Path]:
    """What a restore, a move to a server, or the update of an earlier release left as it was."""
    return sorted(one for begins in SET_ASIDE for one in data.glob(f"{begins}*"))


def _told(office: Office, job_id: UUID) -> ErasingJob:
    job = jobs.open_job(office, job_id).job
    return ErasingJob(
        number=job.head.number,
        title=job.head.title,
        under_way=job.head.stage in UNDER_WAY,
        photos=len(job.photos) + len(job.underlays),
    )


def erase(office: Office, job_id: UUID, wish: Wish, order: Order) -> None:
    """Erase the client of a job with all their jobs. It cannot be undone, and stands on record.

    Raises: BadValue beside the name, where it is not the client's, or beside the reason, where one is wanted; NotFound.
    """
    view = outlook(office, job_id)
    if _plain(wish.name) != _plain(view.called):
        raise BadValue(f"Type “{view.called}” as it stands here, so that nobody is erased by a slip.", field="name")
    if (view.under_way or (wish.papers and view.signed)) and len(_plain(wish.reason)) < LEAST_REASON:
        raise BadValue(_why_reason(view), field="reason")
    with office.database.read() as connection:
        scope = rows.scope_of(connection, office.firm_id, str(view.client_id))
    numbers = ", ".join(str(one) for one in scope.numbers)
    of = "job" if len(scope.numbers) == 1 else "jobs"
    stays = "" if wish.papers or not view.signed else ", signed papers kept"
    what = f"A client erased: {of} {numbers}{stays}" + (f" ({wish.reason.strip()})" if wish.reason.strip() else "")
    by = By(who=office.who(), when=office.clock(), change_id=order.change_id, what=what)
    _erase(office, scope, by, papers=wish.papers)


def erase_papers(office: Office, job_id: UUID, reason: str, order: Order) -> None:
    """Erase the signed papers that an erased client left behind. Raises: BadValue without a reason; NotFound."""
    if not _left_of(office, job_id):
        raise NotFound("There are no such papers (any more).")
    if len(_plain(reason)) < LEAST_REASON:
        raise BadValue(
            "Say why signed papers go before their time, in a sentence: it stands on record. Do not name the client.",
            field="reason",
        )
    what = f"Signed papers erased ({reason.strip()})"
    by = By(who=office.who(), when=office.clock(), change_id=order.change_id, what=what)
    _erase_papers(office, str(job_id), by)


def left_behind(office: Office) -> list[Revision]:
    """Signed papers of clients that were erased."""
    with office.database.read() as connection:
        return rows.left_behind(connection, office.firm_id)


def hand_out_left(office: Office, revision_id: UUID) -> bytes:
    """The signed copy that an erased client left behind. Raises: NotFound."""
    one = next((each for each in left_behind(office) if each.id == str(revision_id)), None)
    if one is None:
        raise NotFound("There are no such papers (any more).")
    return FileStore(office.settings.files).read(one.signed_file or one.files["offered"])


def erased(office: Office) -> list[Entry]:
    """Every erasing, the newest first."""
    with office.database.read() as connection:
        return rows.erased_on(connection, office.firm_id)


def emptied_entries(office: Office) -> int:
    """How many entries of the record hold nothing any more."""
    with office.database.read() as connection:
        return how_many(connection)


def again(office: Office) -> int:
    """Erase what a restore brought back, or a start after a kill finds half done; how many clients came back."""
    came_back = 0
    for one in _list(office).read():
        came_back += _again(office, one)
    return came_back


def _again(office: Office, one: Erasure) -> int:
    with office.database.read() as connection:
        there = bool(one.client_id) and rows.is_there(connection, office.firm_id, one.client_id)
        scope = rows.scope_of(connection, office.firm_id, one.client_id)
        papers = [] if one.client_id else rows.papers_of(connection, one.job_ids)
    what = "Erased again: a backup from before had brought it back"
    by = By(who="the owner", when=office.clock(), change_id=uuid4(), what=what)
    if there:
        _erase(office, scope, by, papers=one.papers, at=one.at)
    elif papers:
        _erase_papers(office, one.job_ids[0], by, at=one.at)
    elif one.left is not None:
        _finish(office, one)
    return int(there)


def _erase(office: Office, scope: Scope, by: By, *, papers: bool, at: str = "") -> None:
    one = Erasure(client_id=scope.client_id, job_ids=scope.job_ids, papers=papers, at=at or by.when.isoformat())
    with _listed(office, one) as files, office.database.write() as connection, lifted(connection):
        files(rows.erase(connection, office.firm_id, scope, by, papers=papers))


def _erase_papers(office: Office, job_id: str, by: By, at: str = "") -> None:
    one = Erasure(client_id="", job_ids=(job_id,), papers=True, at=at or by.when.isoformat())
    with _listed(office, one) as files, office.database.write() as connection, lifted(connection):
        files(rows.erase_papers(connection, office.firm_id, job_id, by))


@contextmanager
def _listed(office: Office, one: Erasure) -> Iterator[Callable[[set[str]], None]]:
    """Put an erasing on the list before it is committed, with the files that go; finish it after the block.

    What fails in the block is taken from the list again: nothing was erased then.
    """
    begun, known = [one], _list(office)

    def files(names: set[str]) -> None:
        begun.append(structs.replace(one, left=tuple(sorted(names))))
        known.write(begun[-1])

    try:
        yield files
    except BaseException:
        known.take_back(one)
        raise
    office.database.memory.pop("jobs", None)
    _finish(office, begun[-1])


def _finish(office: Office, one: Erasure) -> None:
    """Files off the disk, and the database written anew; then it is done."""
    store, small = FileStore(office.settings.files), SmallPictures(office.settings.small)
    for name in one.left or ():
        store.drop(name)
        small.drop(name)
    for folder in (ASIDE, PIECES):  # jobs that came back and were only looked into, pictures that were on their way
        rmtree(office.settings.data / folder, ignore_errors=True)
    office.database.scrub()
    _list(office).write(structs.replace(one, left=None))


def _list(office: Office) -> Erasures:
    return Erasures(office.settings.data, folder_of(office.settings))


def _left_of(office: Office, job_id: UUID) -> list[Revision]:
    return [one for one in left_behind(office) if one.job_id == str(job_id)]


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _why_reason(view: Outlook) -> str:
    if view.under_way:
        numbers = ", ".join(str(one) for one in view.under_way)
        return f"Job {numbers} is signed and not done. Say why it is erased all the same, in a sentence, without names."
    return "Say why signed papers go before their time, in a sentence, without names: it stands on record."
