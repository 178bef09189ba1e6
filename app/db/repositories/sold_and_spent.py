"""What was offered, signed, spent and is left to do, job by job, as sums of rows."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, RowMapping, Subquery, and_, case, desc, func, select

from app.db.repositories import things
from app.db.repositories.kept_papers import newest_signed
from app.db.repositories.looking_back import DONE, hours_logged, job_names, said_last
from app.db.tables.kept import KEPT_PAPER, KEPT_TASK
from app.db.tables.office import RECORD, RECORD_EDIT, REVISION
from app.db.tables.things import TABLES
from app.domain.ordering.spending import cents_of, spent_on_orders


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedRow:
    """One who called, with the price that stands signed, else the newest offered [cents]."""

    job_id: str
    number: int
    title: str
    stage: str
    client: str
    found_us: str
    cents: int | None
    signed: bool


def asked(connection: Connection, firm_id: str) -> list[AskedRow]:
    """Every job there is with what became of it."""
    job, client = TABLES["job"].c, TABLES["client"].c
    offered, signed = _newest_offer(firm_id), newest_signed(firm_id).subquery()
    query = (
        select(
            job.thing_id.label("job_id"),
            job.number,
            job.title,
            job.stage,
            client.name.label("client"),
            client.found_us,
            func.coalesce(signed.c.price_cents, offered.c.price_cents).label("cents"),
            case((signed.c.id.is_not(None), True), else_=False).label("signed"),
        )
        .join(TABLES["client"], and_(client.firm_id == job.firm_id, client.thing_id == job.client_id))
        .outerjoin(offered, offered.c.job_id == job.thing_id)
        .outerjoin(signed, signed.c.job_id == job.thing_id)
        .where(job.firm_id == firm_id)
        .order_by(job.number)
    )
    return [AskedRow(**_plain(row)) for row in connection.execute(query).mappings()]


def _plain(row: RowMapping) -> dict[str, Any]:
    texts = {name: row[name] or "" for name in ("title", "client", "found_us")}
    return {**row, **texts, "signed": bool(row["signed"])}


def _newest_offer(firm_id: str, *, still_open: bool = False) -> Subquery:
    """Every job's newest proposal: `job_id`, `id`, `price_cents`; only those that may still be signed."""
    one = REVISION.c
    place = func.row_number().over(partition_by=one.job_id, order_by=(desc(one.issued_at), desc(one.number)))
    where = [one.firm_id == firm_id, one.kind == "proposal"]
    if still_open:
        where += [one.state == "offered", one.closed_as == ""]
    ranked = select(one.job_id, one.id, one.price_cents, place.label("place")).where(*where).subquery()
    return select(ranked).where(ranked.c.place == 1).subquery()


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedRow:
    """A signed job [cents]: what stands signed, what it was to cost, what was bought; crew and own hours of the bid."""

    job_id: str
    number: int
    title: str
    stage: str
    client: str
    cents: int
    tax_cents: int
    labor_cents: int
    other_cents: int
    own_cents: int
    crew_cents: int
    crew_hours: float
    receipts: int
    paid_out: int


def signed(connection: Connection, firm_id: str) -> list[SignedRow]:
    """Every signed job whose paper was read."""
    newest, job, client = newest_signed(firm_id).subquery(), TABLES["job"].c, TABLES["client"].c
    bid, receipts, paid = _bid(), _sum("logged_receipt", firm_id), _sum("paid_out", firm_id)
    query = (
        select(
            newest.c.job_id,
            job.number,
            func.coalesce(job.title, "").label("title"),
            job.stage,
            func.coalesce(client.name, "").label("client"),
            func.coalesce(newest.c.price_cents, 0).label("cents"),
            KEPT_PAPER.c.tax_cents,
            KEPT_PAPER.c.labor_cents,
            KEPT_PAPER.c.other_cents,
            *[func.coalesce(bid.c[name], 0).label(name) for name in ("own_cents", "crew_cents", "crew_hours")],
            func.coalesce(receipts.c.cents, 0).label("receipts"),
            func.coalesce(paid.c.cents, 0).label("paid_out"),
        )
        .join(KEPT_PAPER, KEPT_PAPER.c.revision_id == newest.c.id)
        .join(TABLES["job"], and_(job.firm_id == firm_id, job.thing_id == newest.c.job_id))
        .join(TABLES["client"], and_(client.firm_id == firm_id, client.thing_id == job.client_id))
        .outerjoin(bid, bid.c.revision_id == newest.c.id)
        .outerjoin(receipts, receipts.c.job_id == newest.c.job_id)
        .outerjoin(paid, paid.c.job_id == newest.c.job_id)
        .order_by(job.number)
    )
    return [SignedRow(**_whole(row)) for row in connection.execute(query).mappings()]


def spent_on_orders_by_job(connection: Connection, firm_id: str) -> Mapping[str, int]:
    """What orders made each job spend beyond what receipts and payments tell of [cents]."""
    kinds = ("supply_order", "supplier_bill", "logged_receipt", "paid_out")
    held: dict[str, dict[str, list[Any]]] = {}
    for kind in kinds[:2]:
        for row in things.read_things(connection, firm_id, kind):
            if row.job_id:
                held.setdefault(row.job_id, {one: [] for one in kinds})[kind].append(row.value())
    for kind in kinds[2:] if held else ():
        for row in things.read_things(connection, firm_id, kind):
            if row.job_id in held:
                held[row.job_id][kind].append(row.value())
    return {job_id: cents_of(spent_on_orders(*(found[kind] for kind in kinds))) for job_id, found in held.items()}


def _whole(row: RowMapping) -> dict[str, Any]:
    """Sums as whole cents, whatever the database makes of them."""
    sums = ("own_cents", "crew_cents", "receipts", "paid_out")
    return {**row, **{name: int(row[name]) for name in sums}, "crew_hours": float(row["crew_hours"])}


def _bid() -> Subquery:
    one = KEPT_TASK.c
    return (
        select(
            one.revision_id,
            func.sum(case((one.own, one.cents), else_=0)).label("own_cents"),
            func.sum(case((one.own, 0), else_=one.cents)).label("crew_cents"),
            func.sum(case((one.own, 0.0), else_=one.hours)).label("crew_hours"),
        )
        .group_by(one.revision_id)
        .subquery()
    )


def _sum(kind: str, firm_id: str) -> Subquery:
    one = TABLES[kind].c
    found = select(one.job_id, func.sum(one.cents).label("cents")).where(one.firm_id == firm_id)
    return found.group_by(one.job_id).subquery()


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftRow:
    """Hours of the crew left in a phase of a job (empty: in none), and the days it is planned for (ISO)."""

    job_id: str
    number: int
    job: str
    client: str
    phase: str
    title: str
    start: str | None
    done: str | None
    hours: float


def hours_left(
    connection: Connection, firm_id: str, stages: Collection[str], *, offered: bool = False
) -> list[LeftRow]:
    """Hours left by phase: of what is signed, less what was logged; or of what is offered and may still be signed."""
    papers = _newest_offer(firm_id, still_open=True) if offered else newest_signed(firm_id).subquery()
    logged, said = hours_logged(connection, firm_id), said_last(connection, firm_id)
    task, job = KEPT_TASK.c, TABLES["job"].c
    query = (
        select(task.job_id, task.zone, task.phase, task.task, task.hours)
        .join(papers, papers.c.id == task.revision_id)
        .join(TABLES["job"], and_(job.firm_id == firm_id, job.thing_id == task.job_id))
        .where(task.own.is_(False), job.stage.in_(list(stages)))
    )
    left: dict[tuple[str, str], float] = {}
    for job_id, zone, phase, key, hours in connection.execute(query):
        at = (job_id, zone, phase, key)
        open_hours = 0.0 if said.get(at) == DONE else max(0.0, hours - logged.get(at, 0) / 4)
        left[job_id, phase] = left.get((job_id, phase), 0.0) + open_hours
    return _planned(connection, firm_id, left)


def _planned(connection: Connection, firm_id: str, left: Mapping[tuple[str, str], float]) -> list[LeftRow]:
    """Hours by job and phase with what they are called and the days they are planned for, by number."""
    names = job_names(connection, firm_id, {job_id for job_id, _ in left})
    one = TABLES["phase"].c
    query = select(one.thing_id, one.number, one.title, one.start, one.done).where(one.firm_id == firm_id)
    phases = {row[0]: row for row in connection.execute(query)}
    found = []
    for (job_id, phase), hours in left.items():
        name, row = names[job_id], phases.get(phase)
        planned = (f"{row[1]} {row[2] or ''}".strip(), row[3], row[4]) if row else ("", None, None)
        told: dict[str, Any] = dict(zip(("title", "start", "done"), planned, strict=True))
        of: dict[str, Any] = {
            "job_id": job_id,
            "number": name.number,
            "job": name.title,
            "client": name.client,
            "phase": phase,
        }
        found.append(LeftRow(**of, **told, hours=hours))
    return sorted(found, key=lambda row: (row.number, row.title))


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceChange:
    """A change of the price book: how many prices, by whom, when (ISO, UTC)."""

    change_id: str
    at: str
    who: str
    what: str
    prices: int


def price_changes(connection: Connection, firm_id: str, most: int) -> list[PriceChange]:
    """The newest changes of prices."""
    count = func.count().label("prices")
    query = (
        select(RECORD.c.id.label("change_id"), RECORD.c.at, RECORD.c.who, RECORD.c.what, count)
        .join(RECORD_EDIT, RECORD_EDIT.c.seq == RECORD.c.seq)
        .where(RECORD.c.firm_id == firm_id, RECORD.c.kind == "change", RECORD_EDIT.c.kind == "price")
        .group_by(RECORD.c.seq, RECORD.c.id, RECORD.c.at, RECORD.c.who, RECORD.c.what)
        .order_by(RECORD.c.seq.desc())
        .limit(most)
    )
    return [PriceChange(**row) for row in connection.execute(query).mappings()]
