"""A client's account: what was invoiced, what was paid on which invoice, what is open, overdue, or a credit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from app.domain.billing.contract import Contract
from app.domain.billing.invoice import Invoice, InvoiceLine, LineKind, standing
from app.domain.job.billed import ReceivedPayment
from app.domain.money import cents

DAYS_A_YEAR, MONTHS_A_YEAR = 365, 12


class InvoiceState(StrEnum):
    """How an invoice stands."""

    OPEN = "open"
    PART_PAID = "part paid"
    PAID = "paid"
    CREDIT = "credit"  # below 0: money for the client
    VOID = "void"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What of one payment went on one invoice [cents]."""

    payment: str
    invoice: str
    cents: int
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One invoice as it stands on a day: what was paid on it, what is open [cents], how many days it is overdue."""

    invoice: Invoice
    parts: tuple[Part, ...]
    day: date

    @property
    def paid_cents(self) -> int:
        """What was paid on it."""
        return sum(one.cents for one in self.parts)

    @property
    def open_cents(self) -> int:
        """What is still to pay on it."""
        return max(0, self.invoice.total_cents) - self.paid_cents if self.invoice.stands(self.day) else 0

    @property
    def overdue_days(self) -> int:
        """Days since it was due, where something is open; else 0."""
        return max(0, (self.day - self.invoice.due_on).days) if self.open_cents > 0 else 0

    @property
    def state(self) -> InvoiceState:
        """How it stands."""
        if not self.invoice.stands(self.day):
            return InvoiceState.VOID
        if self.invoice.total_cents < 0:
            return InvoiceState.CREDIT
        if self.open_cents <= 0:
            return InvoiceState.PAID
        return InvoiceState.PART_PAID if self.paid_cents else InvoiceState.OPEN


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """All invoices and payments of a job as they stand on a day [cents]."""

    day: date
    rows: tuple[Standing, ...]  # of invoices that stand, by number
    received_cents: int
    credit_cents: int  # paid too much, or credited, and on no invoice yet

    @property
    def invoiced_cents(self) -> int:
        """What was asked for."""
        return sum(one.invoice.total_cents for one in self.rows)

    @property
    def balance_cents(self) -> int:
        """What the client owes; below 0 it is the client's credit."""
        return self.invoiced_cents - self.received_cents

    @property
    def open_cents(self) -> int:
        """What is open on all invoices."""
        return sum(one.open_cents for one in self.rows)

    @property
    def overdue_cents(self) -> int:
        """What is open on invoices past their day."""
        return sum(one.open_cents for one in self.rows if one.overdue_days)

    @property
    def overdue_days(self) -> int:
        """Days of the one that is overdue longest."""
        return max((one.overdue_days for one in self.rows), default=0)

    def row(self, invoice_id: str) -> Standing | None:
        """One invoice as it stands."""
        return next((one for one in self.rows if one.invoice.id == invoice_id), None)


def counting(payments: Sequence[ReceivedPayment], day: date | None = None) -> tuple[ReceivedPayment, ...]:
    """The payments that count on a day (or now), in the order they came in."""
    found = [one for one in payments if _counts(one, day)]
    return tuple(sorted(found, key=lambda one: (one.day, str(one.said_at or ""), str(one.id))))


def _counts(one: ReceivedPayment, day: date | None) -> bool:
    if day is None:
        return not one.taken_back
    return one.day <= day and (not one.taken_back or (one.taken_back_on is not None and one.taken_back_on > day))


def account(invoices: Sequence[Invoice], payments: Sequence[ReceivedPayment], day: date) -> Account:
    """The account on a day.

    A payment goes on the invoice it names, what is left of it on the oldest open one by due day; what is left then
    is the client's credit, and goes on the next invoice. Money paid back comes off the credit.
    """
    there, counted = standing(invoices, day), counting(payments, day)
    sharing = _Sharing(there)
    for one in counted:
        sharing.take(str(one.id), one.day, one.cents, one.invoice)
    for credit in (one for one in there if one.total_cents < 0):
        sharing.take(credit.id, credit.issued_on, -credit.total_cents, "")
    parts, left = sharing.shared()
    rows = tuple(
        Standing(invoice=one, parts=tuple(part for part in parts if part.invoice == one.id), day=day) for one in there
    )
    return Account(day=day, rows=rows, received_cents=sum(one.cents for one in counted), credit_cents=left)


class _Sharing:
    """Money shared among invoices: first where it is named, then the oldest due."""

    def __init__(self, invoices: Sequence[Invoice]) -> None:
        self.open = {one.id: max(0, one.total_cents) for one in invoices}
        self.order = [one.id for one in sorted(invoices, key=lambda one: (one.due_on, one.number))]
        self.left: list[tuple[str, date, int]] = []
        self.parts: list[Part] = []

    def take(self, payment: str, day: date, amount: int, named: str) -> None:
        """Money that came in: on the invoice it names, the rest waits."""
        rest = self._put(payment, day, amount, named) if amount > 0 and named in self.open else amount
        if rest:
            self.left.append((payment, day, rest))

    def _put(self, payment: str, day: date, amount: int, invoice: str) -> int:
        part = min(amount, self.open[invoice])
        if part:
            self.open[invoice] -= part
            self.parts.append(Part(payment=payment, invoice=invoice, cents=part, day=day))
        return amount - part

    def shared(self) -> tuple[list[Part], int]:
        """All parts, and what is left for the client [cents]."""
        back = -sum(amount for _, _, amount in self.left if amount < 0)
        rests: list[tuple[str, date, int]] = []
        for payment, day, amount in reversed(self.left):  # what was paid back is off what came in last
            taken = min(back, max(0, amount))
            rests.insert(0, (payment, day, max(0, amount) - taken))
            back -= taken
        left = -back
        for payment, day, amount in rests:
            rest = amount
            for invoice in self.order:
                rest = self._put(payment, day, rest, invoice)
            left += rest
        return self.parts, left


def late_charge(contract: Contract, row: Standing, invoices: Sequence[Invoice]) -> InvoiceLine | None:
    """What an unpaid invoice bears as the contract says; None where it says nothing, or nothing is borne yet.

    Simple interest by the day (a year of 365 days, twelve months' rate) on what was open each day, from the day the
    contract names; days charged on an earlier invoice are not charged again. Source: the contract's own rule; counting
    by days is common practice, no source.
    """
    start = date.fromordinal(row.invoice.due_on.toordinal() + contract.late_after_days)
    start = max((start, *_charged_until(row, invoices)))
    if not contract.late_charge or start >= row.day:
        return None
    owed = Fraction(0)
    for day in range(start.toordinal(), row.day.toordinal()):
        owed += row.invoice.total_cents - sum(one.cents for one in row.parts if one.day.toordinal() <= day)
    amount = cents(owed * Fraction(contract.late_charge) * MONTHS_A_YEAR / DAYS_A_YEAR / 100)
    words = f"Late charge on invoice {row.invoice.number}, {_span(start, row.day)}"
    of = f"{row.invoice.id}@{row.day.isoformat()}"
    return InvoiceLine(kind=LineKind.LATE, words=words, cents=amount, of=of) if amount > 0 else None


def _charged_until(row: Standing, invoices: Sequence[Invoice]) -> list[date]:
    marks = (of.partition("@") for one in standing(invoices) for of in one.of(LineKind.LATE))
    return [date.fromisoformat(day) for of, _, day in marks if of == row.invoice.id]


def _span(start: date, end: date) -> str:
    return f"{start:%b} {start.day} to {end:%b} {end.day}, {end.year}"


def by_payment(rows: Sequence[Standing]) -> Mapping[str, tuple[Part, ...]]:
    """The parts of each payment, by its id."""
    found: dict[str, list[Part]] = {}
    for row in rows:
        for part in row.parts:
            found.setdefault(part.payment, []).append(part)
    return {payment: tuple(parts) for payment, parts in found.items()}
