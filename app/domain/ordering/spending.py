"""What orders made a job spend: deposits as they are paid, bills as they come; money told elsewhere counts once.

A bill is often told twice: by the crew as a receipt with its picture, or at the office as something that was paid. The
same cents within `NEAR` days of the bill are taken for the same money until somebody says otherwise: then the bill
counts only with what it asks for beyond that. Of two that are joined and differ, a person may say which counts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from app.domain.job import LoggedReceipt, PaidOut, SupplierBill, SupplyOrder
from app.domain.ordering.bills import bill_total

NEAR = 45  # days (assumption: a supplier's bill is paid within a month, and written down a while after)
APART = "apart"  # said of a bill that nothing else tells of
THE_BILL, THE_OTHER = "bill", "told"  # which of two that are joined counts

Told = LoggedReceipt | PaidOut


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSpent:
    """Money of a bill or a deposit [cents] on its day. `told` is where the same money is written down, too."""

    day: date
    title: str
    asked: int
    cents: int  # what of it counts here
    bill: str = ""  # its id; empty: a deposit
    told: Told | None = None


def spent_on_orders(
    orders: Iterable[SupplyOrder],
    bills: Iterable[SupplierBill],
    receipts: Iterable[LoggedReceipt],
    paid_out: Iterable[PaidOut],
) -> tuple[OrderSpent, ...]:
    """Every deposit and bill of a job in the order of their days, each counted once.

    What is paid to a subcontractor for a packet is no supplier's bill. A receipt stands for one bill at most.
    """
    known = {one.id: one for one in orders}
    free = {str(one.id): one for one in tellers(receipts, paid_out)}
    found = [
        OrderSpent(day=one.deposit_on, title=_title(one, "deposit"), asked=one.deposit_cents, cents=one.deposit_cents)
        for one in known.values()
        if one.deposit_on and one.deposit_cents
    ]
    in_order = sorted(bills, key=lambda one: (not one.told_in, one.day, str(one.id)))  # what somebody said comes first
    for bill in in_order:
        total = bill_total(bill)
        told = _told(bill, total, free)
        if told is not None:
            del free[str(told.id)]
        of = known.get(bill.order_id)
        found.append(
            OrderSpent(
                day=bill.day,
                title=_title(of, f"bill {bill.number}".strip()),
                asked=total,
                cents=_counting(bill, total, told),
                bill=str(bill.id),
                told=told,
            )
        )
    return tuple(sorted(found, key=lambda one: (one.day, one.bill)))


def _counting(bill: SupplierBill, total: int, told: Told | None) -> int:
    """What of a bill counts beside what tells of it [cents]: that counts by itself, wherever it was written down."""
    if told is None:
        return total
    if bill.counts == THE_OTHER:
        return 0
    return total - (told.cents if bill.counts == THE_BILL else min(max(total, 0), told.cents))


def tellers(receipts: Iterable[LoggedReceipt], paid_out: Iterable[PaidOut]) -> tuple[Told, ...]:
    """What may tell of a bill's money: receipts, and what was paid for no packet."""
    found: list[Told] = [*receipts]
    return (*found, *(one for one in paid_out if not one.packet))


def may_be_told_in(bill: SupplierBill, receipts: Iterable[Told]) -> tuple[Told, ...]:
    """What the bill's money may be written down as, too: whatever lies near it in time, the same amount first."""
    total = bill_total(bill)
    near = [one for one in receipts if abs((one.day - bill.day).days) <= NEAR]
    return tuple(sorted(near, key=lambda one: (one.cents != total, abs((one.day - bill.day).days), str(one.id))))


def _told(bill: SupplierBill, total: int, free: dict[str, Told]) -> Told | None:
    if bill.told_in == APART:
        return None
    if bill.told_in:
        return free.get(bill.told_in)
    same = [one for one in may_be_told_in(bill, free.values()) if one.cents == total]
    return same[0] if same and total > 0 else None


def _title(of: SupplyOrder | None, what: str) -> str:
    return f"{of.supplier_title or 'Order'} {of.number}, {what}" if of else what


def cents_of(spent: Sequence[OrderSpent]) -> int:
    """What of it all counts [cents]."""
    return sum(one.cents for one in spent)
