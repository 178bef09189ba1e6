"""Lists and orders to try things on: pavers by the pallet, stone by the ton. Firms, prices and amounts are invented."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from app.domain.job import CameLine, Delivery, Job, SentLine, SupplyOrder
from app.domain.orders import OrderKind, OrderLine, OrderList
from tests.domain.takeoff.yards import JOB, job_with

PHASE = str(UUID(int=51))
ORDER = UUID(int=900)
DAY = date(2027, 5, 3)


def line(material: str = "paver", wanted: float = 837.0, packs: int = 9, pack: float = 100.0, **more) -> OrderLine:
    told = {
        "title": material.title(),
        "unit": "each",
        "kept": 0.0,
        "pack_name": "pallet",
        "loads": 0,
        "one_batch": False,
        "lead_days": 14,
        "order_by": date(2027, 4, 26),
        "zones": ("A",),
    }
    return OrderLine(material=material, wanted=wanted, bought=packs * pack, packs=packs, **{**told, **more})


def listed(*lines: OrderLine, kind: OrderKind = OrderKind.MATERIALS, supplier: str = "yard") -> OrderList:
    return OrderList(
        kind=kind,
        supplier=supplier,
        supplier_title="Wren Hollow Stone",
        phone="",
        phase_id=PHASE,
        phase_number=1,
        phase_title="Terrace",
        start=date(2027, 5, 10),
        lines=lines or (line(),),
    )


def sent_line(material: str = "paver", amount: float = 900.0, packs: int = 9, **more) -> SentLine:
    told = {"unit": "each", "pack": 100.0, "unit_price": Decimal("1.2345"), "cents": 111105}
    return SentLine(material=material, title=material.title(), amount=amount, packs=packs, **{**told, **more})


def sent(*lines: SentLine, number: int = 1, order_id: UUID = ORDER, **more) -> SupplyOrder:
    told = {
        "supplier": "yard",
        "supplier_title": "Wren Hollow Stone",
        "phase": PHASE,
        "sent_on": DAY,
        "sent_by": "Maren",
    }
    return SupplyOrder(id=order_id, number=number, lines=lines or (sent_line(),), **{**told, **more})


def came(number: int, *lines: CameLine, order_id: UUID = ORDER, **more) -> Delivery:
    return Delivery(id=UUID(int=1000 + number), order_id=order_id, day=more.pop("day", DAY), lines=lines, **more)


def job_of(*orders: SupplyOrder, **more) -> Job:
    return job_with(supply_orders=orders, **more) if orders or more else JOB
