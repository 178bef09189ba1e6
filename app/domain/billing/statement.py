"""A statement: all that was invoiced and paid up to a day, with the balance after each; the age of what is open."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from app.domain.billing.invoice import Invoice
from app.domain.job.billed import HOW_PAID, ReceivedPayment

AGES = ((0, "Not due yet"), (30, "1 to 30 days"), (60, "31 to 60 days"), (90, "61 to 90 days"))
OLDEST = "Over 90 days"


@dataclass(frozen=True, slots=True, kw_only=True)
class StatementRow:
    """One row: what it is, what it adds to what is owed [cents] (below 0: paid), and the balance after it."""

    day: date
    words: str
    cents: int
    balance_cents: int


def statement(
    invoices: Sequence[Invoice], payments: Sequence[ReceivedPayment], day: date, *, since: date | None = None
) -> tuple[StatementRow, ...]:
    """The rows up to a day; those before `since` are one row that carries their balance.

    An invoice that was voided, or a payment that was taken back, stands there twice: it was there, and it went.
    """
    found = sorted((one for one in (*_invoiced(invoices), *_paid(payments)) if one[0] <= day), key=lambda one: one[:2])
    rows: list[StatementRow] = []
    balance = 0
    for on, _, words, amount in found:
        balance += amount
        if since is not None and on < since:
            rows = [StatementRow(day=since, words="Balance brought forward", cents=0, balance_cents=balance)]
        else:
            rows.append(StatementRow(day=on, words=words, cents=amount, balance_cents=balance))
    return tuple(rows)


def _invoiced(invoices: Sequence[Invoice]) -> Iterable[tuple[date, int, str, int]]:
    for one in invoices:
        yield one.issued_on, 0, f"Invoice {one.number}", one.total_cents
        if one.void_on:
            yield one.void_on, 1, f"Invoice {one.number} voided: {one.void_reason}", -one.total_cents


def _paid(payments: Sequence[ReceivedPayment]) -> Iterable[tuple[date, int, str, int]]:
    for one in payments:
        yield one.day, 2, payment_words(one), -one.cents
        if one.taken_back:
            yield one.taken_back_on or one.day, 3, f"{payment_words(one)}, taken back: {one.taken_back}", one.cents


def payment_words(one: ReceivedPayment) -> str:
    """A payment in words: how it came in, and its number."""
    how = HOW_PAID.get(one.how, one.how).lower()
    told = f"Paid by {how}" if one.cents >= 0 else f"Paid back to the client by {how}"
    return f"{told} {one.number}" if one.number else told


def age_of(overdue_days: int) -> str:
    """The age of what is open, in the usual steps of thirty days (common practice, no source).

    >>> age_of(0), age_of(30), age_of(31), age_of(91)
    ('Not due yet', '1 to 30 days', '31 to 60 days', 'Over 90 days')
    """
    return next((words for most, words in AGES if overdue_days <= most), OLDEST)
