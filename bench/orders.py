"""Orders of 500 lines: what is still to order beside what was sent, what came, open points, bills; and the next order.

Also the lists themselves, from the takeoff of a yard of 500 lines after one edit. Held to the milliseconds that were
promised and to the ratio to the floor: as many multiplications and values built.
"""

from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from app.domain.basis import Basis, Price
from app.domain.job import BilledLine, CameLine, Delivery, Job, SentLine, SupplierBill, SupplyOrder
from app.domain.ordering import billed_against, drafted, needed, no_longer_needed, standings
from app.domain.ordering.points import Days, order_points
from app.domain.ordering.sending import Terms
from app.domain.orders import OrderKind, OrderLine, OrderList, order
from bench import Result
from bench.estimate import _widened, basis, best, job

LINES, LISTS = 500, 20
DAY = date(2027, 5, 3)


def lists() -> tuple[OrderList, ...]:
    """As many lists of 25 materials."""
    return tuple(
        OrderList(
            kind=OrderKind.MATERIALS,
            supplier=f"s{at}",
            supplier_title=f"S{at}",
            phone="",
            phase_id="1",
            phase_number=1,
            phase_title="All",
            start=DAY,
            lines=tuple(_line(at * (LINES // LISTS) + place) for place in range(LINES // LISTS)),
        )
        for at in range(LISTS)
    )


def _line(at: int) -> OrderLine:
    return OrderLine(
        material=f"m{at}",
        title=f"M{at}",
        unit="each",
        wanted=95.0 + at,
        bought=10.0 * (at // 10 + 11),
        kept=0.0,
        packs=at // 10 + 11,
        pack_name="pallet",
        loads=1,
        one_batch=at % 3 == 0,
        lead_days=7,
        order_by=DAY - timedelta(days=7),
        zones=("A",),
    )


def bought(of: tuple[OrderList, ...]) -> Job:
    """A job in which every second list was sent, came in two deliveries a line and was billed."""
    sent, came, bills = [], [], []
    for at, one in enumerate(of[::2]):
        key = UUID(int=100 + at)
        rows = [
            SentLine(material=x.material, title=x.title, unit=x.unit, amount=x.bought, packs=x.packs, cents=12_340)
            for x in one.lines
        ]
        sent.append(SupplyOrder(id=key, supplier=one.supplier, phase=one.phase_id, lines=tuple(rows), sent_on=DAY))
        for half in (1, 2):
            half_of = tuple(CameLine(material=row.material, came=row.amount / 2) for row in rows)
            came.append(Delivery(id=UUID(int=1000 * half + at), order_id=key, day=DAY, lines=half_of))
        asked = tuple(BilledLine(material=row.material, amount=row.amount, cents=12_400) for row in rows)
        bills.append(SupplierBill(id=UUID(int=5000 + at), order_id=key, day=DAY, lines=asked))
    bare = job(1)
    return Job(
        head=bare.head,
        client=bare.client,
        site=bare.site,
        supply_orders=tuple(sent),
        deliveries=tuple(came),
        supplier_bills=tuple(bills),
    )


def whole(of: tuple[OrderList, ...], held: Job, terms: Terms) -> int:
    """All that the page of orders works out."""
    standing = standings(held)
    need = needed(of, standing, of)
    no_longer_needed(of, standing)
    points = order_points(need, standing, Days(today=DAY, starts={"1": DAY}))
    bills = [billed_against(one, held.supplier_bills) for one in standing]
    made = [drafted(one, None, terms) for one in need]
    return len(points) + len(bills) + sum(len(one.lines) for one in made)


def floor(of: tuple[OrderList, ...]) -> int:
    """Each line multiplied as often, and built as two values: what was sent of it, and what is needed of it."""
    made = 0
    for one in of:
        for line in one.lines:
            value = line.bought
            for step in (1.07, 1.015, 1.1, 1.05):
                value *= step
            for _ in range(2):
                SentLine(material=line.material, title=line.title, unit=line.unit, amount=value, cents=round(value))
                made += 1
    return made


def run() -> list[Result]:
    of = lists()
    held = bought(of)
    prices = {
        line.material: Price(material=line.material, unit_price=Decimal("12.34"), pack=10.0)
        for one in of
        for line in one.lines
    }
    book = Basis(prices=prices)
    terms = Terms(bought={}, basis=book, today=book)
    on, yard, edits = basis(), job(30), iter(range(10**6))
    order(yard, on)
    bare, page, listed = best(
        lambda: floor(of),
        lambda: whole(of, held, terms),
        lambda: order(_widened(yard, 10.0 + next(edits) / 100), on),
    )
    return [
        Result(name="floor: multiply and build as many lines twice", value=bare, unit="ms", note=f"{LINES} lines"),
        Result(name="orders of 500 lines: needed, sent, came, billed", value=page, unit="ms", most=100.0),
        Result(name="orders over floor", value=page / bare, unit="×", most=6.0),
        Result(name="order lists of a yard of 500 lines, one edit", value=listed, unit="ms", most=100.0),
    ]


if __name__ == "__main__":
    for one in run():
        print(one)
