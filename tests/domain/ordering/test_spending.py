"""What orders made a job spend: every bill and deposit once, whoever wrote the same money down beside."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import permutations
from uuid import UUID

from app.domain.job import BilledLine, LoggedReceipt, PaidOut, SupplierBill, SupplyOrder
from app.domain.ordering.likely import likely_same
from app.domain.ordering.spending import APART, NEAR, cents_of, may_be_told_in, spent_on_orders, tellers

DAY = date(2027, 6, 1)
ORDER = SupplyOrder(id=UUID(int=1), number=3, supplier_title="Farrowmere Masonry Yard")


def bill(cents: int, *, at: int = 0, told_in: str = "", **more) -> SupplierBill:
    lines = (BilledLine(material="paver", amount=1.0, cents=cents),)
    key = UUID(int=1_000_000 + cents + at)
    return SupplierBill(
        id=key, order_id=ORDER.id, day=DAY + timedelta(days=at), number="7", lines=lines, told_in=told_in, **more
    )


def receipt(cents: int, at: int = 0) -> LoggedReceipt:
    return LoggedReceipt(id=UUID(int=10_000_000 + cents + at), day=DAY + timedelta(days=at), cents=cents)


def paid(cents: int, **more) -> PaidOut:
    return PaidOut(id=UUID(int=20_000_000 + cents), day=DAY, cents=cents, **more)


def spent(*bills, receipts=(), paid_out=(), orders=(ORDER,)) -> int:
    """All that went out, as the Money sheet sums it."""
    beside = sum(one.cents for one in receipts) + sum(one.cents for one in paid_out)
    return beside + cents_of(spent_on_orders(orders, bills, receipts, paid_out))


def test_bill_counts_with_delivery_tax_and_pallets_and_a_deposit_once():
    one = bill(100_00, delivery_cents=20_00, tax_cents=6_00, deposits_cents=15_00, paid_ahead_cents=40_00)
    ahead = SupplyOrder(id=ORDER.id, number=3, deposit_cents=40_00, deposit_on=DAY - timedelta(days=9))
    assert spent(one) == 101_00
    assert spent(one, orders=(ahead,)) == 141_00  # goods, delivery, tax and pallets: all of it, once
    assert [it.day for it in spent_on_orders((ahead,), (one,), (), ())] == [ahead.deposit_on, DAY]


def test_a_receipt_of_the_same_cents_is_the_same_money_whichever_was_written_first():
    assert spent(bill(100_00), receipts=(receipt(100_00, at=NEAR),)) == 100_00
    assert spent(bill(100_00), receipts=(receipt(100_00, at=NEAR + 1),)) == 200_00
    assert spent(bill(100_00), receipts=(receipt(99_99),)) == 199_99
    assert spent(bill(100_00), paid_out=(paid(100_00, paid_for="supplier"),)) == 100_00
    assert spent(bill(100_00), paid_out=(paid(100_00, packet="p"),)) == 200_00, "a subcontractor's is another's"


def test_one_receipt_stands_for_one_bill_in_whatever_order_they_came():
    bills = (bill(100_00, at=0), bill(100_00, at=2))
    for order in permutations(bills):
        assert spent(*order, receipts=(receipt(100_00, at=1),)) == 200_00
        assert spent(*order, receipts=(receipt(100_00, at=1), receipt(100_00, at=3))) == 200_00


def test_somebody_says_otherwise():
    near = receipt(100_00)
    assert spent(bill(100_00, told_in=APART), receipts=(near,)) == 200_00
    some = receipt(60_00, at=5)
    assert spent(bill(100_00, told_in=str(some.id)), receipts=(some,)) == 100_00  # 60 there, 40 here
    much = receipt(130_00, at=5)
    assert spent(bill(100_00, told_in=str(much.id)), receipts=(much,)) == 130_00, "what else it paid for stays"
    gone = bill(100_00, told_in=str(UUID(int=5)))
    assert spent(gone) == 100_00


def test_what_somebody_said_is_not_taken_by_another_bill_before():
    near = receipt(100_00, at=1)
    first, second = bill(100_00, at=0), bill(100_00, at=9, told_in=str(near.id))
    found = {one.bill: one.told for one in spent_on_orders((ORDER,), (first, second), (near,), ())}
    assert found == {str(first.id): None, str(second.id): near}


def test_of_two_that_differ_a_person_says_which_counts():
    less, more = receipt(94_00, at=3), receipt(106_00, at=4)
    for near, bills in ((less, 100_00), (more, 100_00)):
        told = str(near.id)
        assert spent(bill(100_00, told_in=told, counts="bill"), receipts=(near,)) == bills
        assert spent(bill(100_00, told_in=told, counts="told"), receipts=(near,)) == near.cents
        assert spent(bill(100_00, told_in=told), receipts=(near,)) == max(bills, near.cents)


def offered(*bills, receipts=(), paid_out=()):
    known = spent_on_orders((ORDER,), bills, receipts, paid_out)
    return likely_same((ORDER,), bills, tellers(receipts, paid_out), known)


def test_what_differs_and_is_likely_the_same_money_is_offered_with_what_the_difference_is():
    one = bill(100_00, tax_cents=6_00, delivery_cents=45_00)
    without = replace(receipt(145_00, at=20), merchant="Farrowmere")
    (found,) = offered(one, receipts=(without,)).values()
    assert (found.by, found.why) == (6_00, "the sales tax on the bill")
    both = replace(receipt(100_00, at=20), merchant="farrowmere yard")
    assert offered(one, receipts=(both,))[str(one.id)].why == "the sales tax on the bill and its delivery"
    assert offered(one, receipts=(replace(without, merchant="Penstock Supply Yard"),)) == {}, "another yard's"
    assert offered(one, receipts=(replace(without, day=DAY + timedelta(days=NEAR + 1)),)) == {}
    unnamed = receipt(150_00, at=2)
    assert offered(one, receipts=(unnamed,))[str(one.id)].by == 1_00
    assert offered(one, receipts=(replace(unnamed, day=DAY + timedelta(days=9)),)) == {}, "nobody's, and not near"
    assert offered(one, receipts=(replace(receipt(90_00), merchant="Farrowmere"),)) == {}, "too far apart"


def test_a_receipt_is_offered_to_one_bill_and_never_what_is_said_or_joined_already():
    one, other = bill(100_00), bill(101_00, at=1)
    near = replace(receipt(98_00, at=1), merchant="Farrowmere")
    assert list(offered(one, other, receipts=(near,))) == [str(one.id)], "the nearer amount"
    assert offered(bill(100_00, told_in=APART), receipts=(near,)) == {}
    exact = receipt(101_00, at=1)
    assert list(offered(one, other, receipts=(exact,))) == [], "it tells of the other bill to the cent"


def test_credit_note_takes_off_and_no_receipt_is_looked_for():
    assert spent(bill(-25_00), receipts=(receipt(30_00),)) == 5_00


def test_what_fits_best_is_offered_first():
    same, near, far = receipt(100_00, at=20), receipt(70_00, at=1), receipt(70_00, at=NEAR + 9)
    assert may_be_told_in(bill(100_00), (far, near, same)) == (same, near)
