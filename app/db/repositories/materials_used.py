"""What closed jobs measured, what came for them and what was counted at their end, as rows: no job is read whole."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, and_, distinct, func, select

from app.db.repositories import things
from app.db.repositories.kept_papers import newest_signed
from app.db.repositories.looking_back import DONE_STAGE
from app.db.tables.kept import KEPT_MATERIAL
from app.db.tables.things import TABLES
from app.domain.job import Backorder, CountedMaterial, Delivery, PalletsBack, Substitute, SupplyOrder


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredRow:
    """A material of a closed job as its newest signed paper measured it [bought units]; `way` is how."""

    job_id: str
    number: int
    material: str
    way: str
    measured: float
    lost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OfOrders:
    """What was written down of one job's orders."""

    supply_orders: tuple[SupplyOrder, ...]
    backorders: tuple[Backorder, ...]
    substitutes: tuple[Substitute, ...]
    deliveries: tuple[Delivery, ...]
    pallets_back: tuple[PalletsBack, ...]


_KINDS = {
    "supply_orders": "supply_order",
    "backorders": "backorder",
    "substitutes": "substitute",
    "deliveries": "delivery",
    "pallets_back": "pallets_back",
}


def measured(connection: Connection, firm_id: str) -> list[MeasuredRow]:
    """What closed jobs put in place, by number of the job."""
    newest, job, kept = newest_signed(firm_id).subquery(), TABLES["job"].c, KEPT_MATERIAL.c
    query = (
        select(kept.job_id, job.number, kept.material, kept.way, kept.measured, kept.lost)
        .join(newest, newest.c.id == kept.revision_id)
        .join(TABLES["job"], and_(job.firm_id == firm_id, job.thing_id == kept.job_id, job.stage == DONE_STAGE))
        .order_by(job.number, kept.material, kept.way)
    )
    return [MeasuredRow(**row) for row in connection.execute(query).mappings()]


def counted(connection: Connection, firm_id: str) -> dict[tuple[str, str], CountedMaterial]:
    """The newest count by job and material."""
    found: dict[tuple[str, str], tuple[tuple[date, str, str], CountedMaterial]] = {}
    for row in things.read_things(connection, firm_id, "counted_material"):
        one: CountedMaterial = row.value()
        at, when = (str(row.job_id), one.material), (one.day, str(one.said_at or ""), str(one.id))
        if at not in found or found[at][0] < when:
            found[at] = (when, one)
    return {at: one for at, (_, one) in found.items()}


def orders_of(connection: Connection, firm_id: str, job_ids: Collection[str]) -> dict[str, OfOrders]:
    """What was written down of the orders of some jobs, by job: each kind read once, whatever the jobs."""
    held: dict[str, dict[str, list[Any]]] = {one: {name: [] for name in _KINDS} for one in job_ids}
    for name, kind in _KINDS.items() if held else ():
        for row in things.read_things(connection, firm_id, kind):
            if row.job_id in held:
                held[row.job_id][name].append(row.value())
    return {job_id: OfOrders(**{name: tuple(found) for name, found in kinds.items()}) for job_id, kinds in held.items()}


def closed_without_count(connection: Connection, firm_id: str) -> int:
    """How many closed jobs had orders and count nothing of what was left."""
    job, order, count = TABLES["job"].c, TABLES["supply_order"].c, TABLES["counted_material"].c
    counted_jobs = select(count.job_id).where(count.firm_id == firm_id)
    query = (
        select(func.count(distinct(order.job_id)))
        .join(TABLES["job"], and_(job.firm_id == firm_id, job.thing_id == order.job_id, job.stage == DONE_STAGE))
        .where(order.firm_id == firm_id, order.sent_on.is_not(None), order.job_id.not_in(counted_jobs))
    )
    return int(connection.execute(query).scalar_one())
