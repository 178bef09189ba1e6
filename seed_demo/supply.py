"""What is ordered for the Whitlocks: sent, confirmed, come short and broken, billed; a special order without its sample."""

from datetime import timedelta
from uuid import UUID

from app.domain.job import BilledLine, CameLine, SentLine, SupplyOrder
from app.services import supply_arrivals as arrivals
from app.services import supply_events as events
from app.services import supply_sending as sending
from app.services import waiting
from app.services.checks import Going
from app.services.office import Office
from app.services.sheets import sheet
from app.services.supply import supply
from app.services.supply_arrivals import Came
from seed_demo.telling import order

MASONRY, STONE = "1-materials-farrowmere", "1-materials-quillet"
BLOCK = "wall-block-fieldstone"
REASON = "Stock goods only, at our own risk: both yards take them back until the days to cancel are over."


async def order_from_suppliers(office: Office, job_id: UUID) -> None:
    """Orders in a few states, as an owner would have them a while before the start."""
    _go_on(office, job_id)
    first = _prepared(office, job_id, MASONRY)
    day = first.deliver_on
    special = {line.material for line in _draft(office, job_id, first) if line.special}
    _say_where(office, job_id, first, "All pavers of one lot")
    rest = tuple(line.material for line in _draft(office, job_id, first) if line.material not in special)
    sending.send(office, sheet(office, job_id), first.id, rest, None, order())
    said = {"confirmation": "FM-20418", "confirmed_on": sheet(office, job_id).today, "promised_on": day}
    events.confirm(office, sheet(office, job_id), first.id, said, order())
    await _came(office, job_id, first.id)
    _prepared(office, job_id, MASONRY)  # what is special waits for the sample
    stone = _prepared(office, job_id, STONE)
    sending.send(office, sheet(office, job_id), stone.id, None, None, order())


def _go_on(office: Office, job_id: UUID) -> None:
    for held in waiting.holds(office, sheet(office, job_id)):
        going = Going(by=office.firm().owner, reason=REASON)
        waiting.go_on(office, job_id, held.revision_id, going, order())


def _prepared(office: Office, job_id: UUID, key: str) -> SupplyOrder:
    sending.prepare(office, sheet(office, job_id), key, order())
    return max(sheet(office, job_id).job.supply_orders, key=lambda one: one.number)


def _draft(office: Office, job_id: UUID, one: SupplyOrder) -> tuple[SentLine, ...]:
    draft = supply(office, sheet(office, job_id)).draft(one)
    return draft.lines if draft else ()


def _say_where(office: Office, job_id: UUID, one: SupplyOrder, batch: str) -> None:
    early = one.deliver_on - timedelta(days=3) if one.deliver_on else None
    wishes = {"spot": "On the drive, left of the garage door; keep the walk free", "batch": batch, "deliver_on": early}
    sending.plan(office, sheet(office, job_id), one.id, wishes, order())


async def _came(office: Office, job_id: UUID, order_id: UUID) -> None:
    """One line came early, a few of it broken; its bill asks for all of it."""
    view = sheet(office, job_id)
    block = next(line for one in view.job.supply_orders for line in one.lines if line.material == BLOCK)
    came = CameLine(material=block.material, came=block.amount, broken=min(4.0, block.amount / 2), batch="K71")
    words = "Corners off, set aside by the gate"
    await arrivals.deliver(office, view, order_id, Came(day=view.today, lines=(came,), words=words), b"", order())
    asked = BilledLine(material=block.material, amount=block.amount, cents=block.cents)
    bill = {"day": view.today, "number": "88214", "total_cents": block.cents}
    arrivals.bill(office, sheet(office, job_id), order_id, bill, (asked,), order())
