"""What is kept of signed and offered papers, as rows: written once a paper was read, read from it again when lost."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy import Connection, Select, and_, delete, desc, func, insert, or_, select

from app.db.repositories.revisions import Revision, revisions_where
from app.db.tables.kept import KEPT_MATERIAL, KEPT_PAPER, KEPT_TASK
from app.db.tables.office import REVISION
from app.db.tables.things import TABLES
from app.domain.looking_back.paper import Paper, PaperMaterial, PaperTask

EDITION = 2  # raised when a paper is to be read otherwise than before
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
    _forget(connection, "revision_id", ids)
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
    rows = {
        KEPT_PAPER: heads,
        KEPT_TASK: [row for job_id, one in papers for row in _rows_of(job_id, one, one.tasks)],
        KEPT_MATERIAL: [row for job_id, one in papers for row in _rows_of(job_id, one, one.materials)],
    }
    for table, values in rows.items():
        if values:
            connection.execute(insert(table), values)


def _rows_of(job_id: str, paper: Paper, held: Sequence[PaperTask | PaperMaterial]) -> Iterator[dict[str, Any]]:
    return ({"revision_id": paper.revision_id, "job_id": job_id, **asdict(one)} for one in held)


def forget_jobs(connection: Connection, job_ids: Collection[str]) -> None:
    """Nothing is kept of these jobs any more."""
    _forget(connection, "job_id", job_ids)


def _forget(connection: Connection, column: str, values: Collection[str]) -> None:
    for table in (KEPT_MATERIAL, KEPT_TASK, KEPT_PAPER):
        connection.execute(delete(table).where(table.c[column].in_(list(values))))


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
