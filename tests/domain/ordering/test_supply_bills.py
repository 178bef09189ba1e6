"""A bill against its order: every difference by line, price and amount apart, to the cent. Worked by hand, invented."""

from datetime import date
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from app.domain.job import BilledLine, CameLine, PalletsBack, Substitute, SupplierBill
from app.domain.ordering import billed_against, standings
from app.domain.ordering.bills import bill_total
from tests.domain.ordering.supply import ORDER, came, job_of, sent, sent_line


def bill(*lines: BilledLine, number: int = 1, **more) -> SupplierBill:
    return SupplierBill(id=UUID(int=2000 + number), order_id=ORDER, day=date(2027, 6, 1), lines=lines, **more)


def billed(*bills: SupplierBill, order=None, **more):
    job = job_of(order or sent(), supplier_bills=bills, **more)
    return billed_against(standings(job)[0], job.supplier_bills)


def paver(amount: float, cents: int) -> BilledLine:
    return BilledLine(material="paver", amount=amount, cents=cents)


ALL = (came(1, CameLine(material="paver", came=900.0)),)


def test_what_was_sent_came_and_is_billed_agrees_to_the_cent():
    one = billed(bill(paver(900, 111105)), deliveries=ALL)
    assert one.agrees
    assert (one.total_cents, one.difference_cents) == (111105, 0)


def test_another_price_and_another_amount_are_told_apart():
    short = (came(1, CameLine(material="paver", came=800.0, broken=20.0)),)
    line = billed(bill(paver(900, 117000)), deliveries=short).lines[0]
    # due: 780 whole × 1.2345 = 962.91; billed 900 × 1.30 = 1,170.00; 900 × 1.2345 = 1,111.05
    assert (line.billed_cents, line.due_cents) == (117000, 96291)
    assert (line.price_cents, line.amount_cents) == (117000 - 111105, 111105 - 96291)
    assert line.cents == 20709


def test_what_is_not_on_the_order_and_what_the_client_has_not_approved_is_not_due():
    other = billed(bill(paver(900, 111105), BilledLine(material="Sealer", amount=2, cents=4400)), deliveries=ALL)
    assert [(line.title, line.due_cents, line.refused) for line in other.lines][1:] == [
        ("Sealer", 0, "it is not on this order")
    ]
    waits = Substitute(id=UUID(int=1), order_id=ORDER, material="paver", title="Slate cobble")
    refused = billed(bill(paver(900, 111105)), deliveries=ALL, substitutes=(waits,)).lines[0]
    assert (refused.due_cents, bool(refused.refused)) == (0, True)


def test_delivery_pallets_and_what_was_paid_ahead_are_held_against_the_order():
    order = sent(
        sent_line(pallets=9, pallet_cents=2200),
        delivery_cents=9500,
        deposit_cents=50000,
        deposit_on=date(2027, 5, 3),
    )
    came_with = (came(1, CameLine(material="paver", came=900.0), pallets=9),)
    back = (PalletsBack(id=UUID(int=1), order_id=ORDER, day=date(2027, 6, 1), count=7),)
    asked = bill(paver(900, 111105), delivery_cents=12000, deposits_cents=4400, paid_ahead_cents=50000, tax_cents=6666)
    one = billed(asked, order=order, deliveries=came_with, pallets_back=back)
    assert one.beside == (
        ("Delivery", 12000, 9500),
        ("Deposits on pallets", 4400, 4400),
        ("Paid ahead, taken off", -50000, -50000),
    )
    assert one.difference_cents == 2500
    assert one.total_cents == bill_total(asked) == 111105 + 12000 + 4400 + 6666 - 50000


@given(st.lists(st.tuples(st.integers(0, 900), st.integers(0, 200_000)), max_size=4), st.integers(0, 900))
def test_whatever_is_billed_the_parts_of_a_difference_add_up_to_it(bills, whole):
    asked = [bill(paver(amount, cents), number=at) for at, (amount, cents) in enumerate(bills)]
    found = billed(*asked, deliveries=(came(1, CameLine(material="paver", came=whole)),))
    if not any(amount or cents for amount, cents in bills):
        assert (found.lines, found.not_billed) == ((), ("Paver",) if whole else ())
        return
    line = found.lines[0]
    assert line.price_cents + line.amount_cents == line.cents == line.billed_cents - line.due_cents
    assert line.billed_cents == sum(cents for _, cents in bills)
    assert 0 <= line.due_cents <= 111105
