"""A supplier's bills against what was ordered and what came whole: the difference, line by line, to the cent.

What is due for a line is what came of it whole, at the price it was sent at (of an approved substitute, at its own).
The difference falls in two: what another price makes, and what another amount makes; both add up to it exactly.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import fsum

from app.domain.job import SupplierBill
from app.domain.ordering.sending import at_price
from app.domain.ordering.standing import HAIR, OrderStanding, StandingLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One line of all bills of an order: billed and due [cents], and why they differ.

    `amount` was billed, `good` came whole, `ordered` was sent [bought units]. `refused` says why nothing is due for it.
    """

    title: str
    unit: str
    amount: float
    good: float
    ordered: float
    billed_cents: int
    due_cents: int
    price_cents: int  # what another price makes of the difference
    amount_cents: int  # what another amount makes
    refused: str = ""

    @property
    def asked(self) -> bool:
        """Whether any bill speaks of it."""
        return self.amount > HAIR or bool(self.billed_cents)

    @property
    def cents(self) -> int:
        """Billed less due: above 0 too much is asked for."""
        return self.billed_cents - self.due_cents


@dataclass(frozen=True, slots=True, kw_only=True)
class Billed:
    """All bills of an order against it; `beside` the lines: delivery, charges, deposits, what was paid ahead."""

    lines: tuple[Difference, ...]
    beside: tuple[tuple[str, int, int], ...]  # what it is, billed, due [cents]
    tax_cents: int  # as billed; nothing is held against it
    total_cents: int
    not_billed: tuple[str, ...] = ()  # titles of what came whole and stands on no bill yet

    @property
    def difference_cents(self) -> int:
        """All that is billed beyond what is due; below 0, less is asked for."""
        return sum(one.cents for one in self.lines) + sum(billed - due for _, billed, due in self.beside)

    @property
    def agrees(self) -> bool:
        """Whether every line and every figure beside is what is due."""
        return not any(one.cents for one in self.lines) and all(billed == due for _, billed, due in self.beside)


def bill_total(bill: SupplierBill) -> int:
    """What a bill asks for in all [cents]."""
    beside = bill.delivery_cents + bill.charges_cents + bill.deposits_cents + bill.tax_cents - bill.paid_ahead_cents
    return sum(one.cents for one in bill.lines) + beside


def billed_against(standing: OrderStanding, bills: Iterable[SupplierBill]) -> Billed:
    """All bills of an order held against it."""
    mine = sorted((one for one in bills if one.order_id == standing.order.id), key=lambda one: (one.day, str(one.id)))
    known = {line.sent.material for line in standing.lines}
    rows = [_difference(line, mine) for line in standing.lines]
    lines = [row for row in rows if row.asked]
    later = tuple(row.title for row in rows if row.good > HAIR and not row.asked)
    asked = dict.fromkeys(one.material for bill in mine for one in bill.lines if one.material not in known)
    return Billed(
        lines=(*lines, *(_not_ordered(material, mine) for material in asked)),
        beside=_beside(standing, mine),
        tax_cents=sum(one.tax_cents for one in mine),
        total_cents=sum(bill_total(one) for one in mine),
        not_billed=later,
    )


def _difference(line: StandingLine, bills: Sequence[SupplierBill]) -> Difference:
    held = [one for bill in bills for one in bill.lines if one.material == line.sent.material]
    amount, billed = fsum(one.amount for one in held), sum(one.cents for one in held)
    refused = "the client has not approved what would come in its place" if line.waits else ""
    unit_price = line.replaced.unit_price if line.replaced else None
    good = 0.0 if line.waits else min(line.good, line.sent.amount)
    due = at_price(line.sent, good, unit_price)
    expected = at_price(line.sent, amount, unit_price)
    return Difference(
        title=line.title,
        unit=line.sent.unit,
        amount=amount,
        good=good,
        ordered=line.sent.amount,
        billed_cents=billed,
        due_cents=due,
        price_cents=billed - expected,
        amount_cents=expected - due,
        refused=refused,
    )


def _not_ordered(material: str, bills: Sequence[SupplierBill]) -> Difference:
    held = [one for bill in bills for one in bill.lines if one.material == material]
    billed = sum(one.cents for one in held)
    return Difference(
        title=material,
        unit="",
        amount=fsum(one.amount for one in held),
        good=0.0,
        ordered=0.0,
        billed_cents=billed,
        due_cents=0,
        price_cents=0,
        amount_cents=billed,
        refused="it is not on this order",
    )


def _beside(standing: OrderStanding, bills: Sequence[SupplierBill]) -> tuple[tuple[str, int, int], ...]:
    order = standing.order
    came = any(line.good > HAIR for line in standing.lines)
    pallet = next((line.pallet_cents for line in order.lines if line.pallet_cents), 0)
    deposits = (standing.pallets_in - standing.pallets_back) * pallet
    paid = order.deposit_cents if order.deposit_on else 0
    brought, charged = sum(one.delivery_cents for one in bills), sum(one.charges_cents for one in bills)
    rows = (
        ("Delivery", brought, min(brought, order.delivery_cents) if came else 0),
        ("Charges", charged, min(charged, order.charges_cents) if came else 0),
        ("Deposits on pallets", sum(one.deposits_cents for one in bills), deposits),
        ("Paid ahead, taken off", -sum(one.paid_ahead_cents for one in bills), -paid if came and bills else 0),
    )
    return tuple(row for row in rows if row[1] or row[2])
