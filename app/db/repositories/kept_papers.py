"""What is kept of signed and offered papers, as rows: written once a paper was read, read from it again when lost."""

from collections.abc import Collection, Sequence
from dataclasses import asdict

from sqlalchemy import Connection, Select, and_, delete, desc, func, insert, or_, select

from app.db.repositories.revisions import Revision, revisions_where
from app.db.tables.kept import KEPT_PAPER, KEPT_TASK
from app.db.tables.office import REVISION
from app.db.tables.things import TABLES
from app.domain.looking_back.paper import Paper

EDITION = 1  # raised when a paper is to be read otherwise than before
AGREED = ("proposal", "change", "change order")
_SIGNED = and_(REVISION.c.state == "signed", REVISION.c.kind.in_(AGREED))
_OFFERED = and_(REVISION.c.state == "offered", REVISION.c.kind == "proposal", REVISION.c.closed_as == "")


def unread(connection: Connection, firm_id: str) -> list[Revision]:
    """Papers that are signed, and proposals that are offered, of which nothing is kept; the newest first."""
    kept = select(KEPT_PAPER.c.revision_id).where(KEPT_PAPER.c.firm_id == firm_id, KEPT_PAPER.c.edition == EDITION)
    jobs = select(TABLES["job"].c.thing_id).where(TABLES["job"].c.firm_id == firm_id)  # an erased one's papers stay
    where = (or_(_SIGNED, _OFFERED), REVISION.c.id.not_in(kept), REVISION.c.job_id.in_(jobs))
    query = select(REVISION).where(REVISION.c.firm_id == firm_id, *where)
    return revisions_where(connection, query.order_by(desc(REVISION.c.issued_at), REVISION.c.id))


def keep(connection: Connection, firm_id: str, papers: Sequence[tuple[str, Paper]]) -> None:
    """Keep what was read, each with its job's id, in place of what an older edition kept."""
    ids = [one.revision_id for _, one in papers]
    _forget(connection, KEPT_PAPER.c.revision_id.in_(ids), KEPT_TASK.c.revision_id.in_(ids))
    heads = [
        {
            "revision_id": one.revision_id,
            "firm_id": firm_id,
            "job_id": job_id,
            "edition": EDITION,
            "labor_cents": one.labor_cents,
            "other_cents": one.other_cents,
            "tax_cents": one.tax_cents,
        }
        for job_id, one in papers
    ]
    tasks = [
        {"revision_id": one.revision_id, "job_id": job_id, **asdict(task)}
        for job_id, one in papers
        for task in one.tasks
    ]
    if heads:
        connection.execute(insert(KEPT_PAPER), heads)
    if tasks:
        connection.execute(insert(KEPT_TASK), tasks)


def forget_jobs(connection: Connection, job_ids: Collection[str]) -> None:
    """Nothing is kept of these jobs any more."""
    _forget(connection, KEPT_PAPER.c.job_id.in_(job_ids), KEPT_TASK.c.job_id.in_(job_ids))


def _forget(connection: Connection, papers: object, tasks: object) -> None:
    connection.execute(delete(KEPT_TASK).where(tasks))  # type: ignore[arg-type]
    connection.execute(delete(KEPT_PAPER).where(papers))  # type: ignore[arg-type]


def newest_signed(firm_id: str) -> Select[tuple[str, str]]:
    """A query of every job's newest signed paper: `job_id`, `id`, `price_cents`."""
    ranked = (
        select(
            REVISION.c.job_id,
            REVISION.c.id,
            REVISION.c.price_cents,
            func.row_number()
            .over(partition_by=REVISION.c.job_id, order_by=(desc(REVISION.c.issued_at), desc(REVISION.c.number)))
            .label("place"),
        )
        .where(REVISION.c.firm_id == firm_id, _SIGNED)
        .subquery()
    )
    return select(ranked.c.job_id, ranked.c.id, ranked.c.price_cents).where(ranked.c.place == 1)
