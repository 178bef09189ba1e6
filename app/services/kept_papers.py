"""Signed and offered papers are read once, in the worker, into rows that later looks at many jobs sum up."""

from uuid import UUID

from app.db.files import FileStore
from app.db.repositories import kept_papers as rows
from app.db.repositories.revisions import Revision
from app.interchange.papers_in import papers_of, papers_payload
from app.services import under_way
from app.services.office import Office
from app.services.revisions import files_of
from app.services.under_way import UnderWay
from app.worker import run_in_worker
from app.worker.running import Progress

SECONDS = 120.0
AT_ONCE = 20  # papers that the worker is given
KEY = "papers"


def unread(office: Office) -> list[Revision]:
    """Papers that have yet to be read."""
    with office.database.read() as connection:
        return rows.unread(connection, office.firm_id)


async def read_papers(office: Office, told: Progress | None = None) -> None:
    """Read what has yet to be read."""
    waiting, store = unread(office), files_of(office)
    for begin in range(0, len(waiting), AT_ONCE):
        some = waiting[begin : begin + AT_ONCE]
        payload = papers_payload([_held(store, one) for one in some])
        job_of = {one.id: one.job_id for one in some}
        found = papers_of(await run_in_worker("papers", payload, deadline=SECONDS, progress=told))
        with office.database.write() as connection:
            rows.keep(connection, office.firm_id, [(job_of[one.revision_id], one) for one in found])


def _held(store: FileStore, one: Revision) -> tuple[str, bytes, bytes]:
    results = one.files.get("results")
    return one.id, store.read(one.files["job"]), store.read(results) if results else b""


async def caught_up(office: Office, *, wait: float | None = under_way.WAIT, again: bool = False) -> UnderWay | None:
    """Read papers for a moment; None once there is none to read, else how far that is. Raises: what reading raises."""
    key = (KEY, UUID(office.firm_id))
    of = _same(office, tuple(one.id for one in unread(office)))
    if not of:
        return None
    if again:
        under_way.again(office, key)
    state = await under_way.look(office, key, of, lambda told: read_papers(office, told), wait=wait)
    return state if unread(office) else None


def stop(office: Office) -> None:
    """Stop reading; what was read stays."""
    under_way.stop(office, (KEY, UUID(office.firm_id)))


def _same(office: Office, ids: tuple[str, ...]) -> tuple[str, ...]:
    """The very same tuple while the papers to read are those it was begun on, or what is left of them."""
    known: tuple[str, ...] = office.database.memory.get("papers to read", ())
    if ids and not set(ids) <= set(known):
        office.database.memory["papers to read"] = known = ids
    return known if ids else ()
