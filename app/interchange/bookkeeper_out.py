"""Tables for the bookkeeper: invoices, payments and spending as CSV (RFC 4180), safe to open in a spreadsheet.

Amounts are plain numbers with two decimals, days ISO 8601, so that any program reads them; texts that a spreadsheet
would run are kept from it (`cells_out`). A byte order mark tells spreadsheets that it is UTF-8.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from app.domain.billing import Flow, Invoice, LineKind, Standing
from app.domain.job import HOW_PAID, ReceivedPayment
from app.interchange.cells_out import csv_table

INVOICES = (
    "Number", "Date", "Due", "State", "Client", "Job number", "Job", "Draws", "Changes", "Retainage", "Design fee",
    "Credits", "Late charges", "Total", "Sales tax in it", "Paid", "Open", "Void on", "Why void",
)  # fmt: skip
PAYMENTS = (
    "Day", "Client", "Job number", "Job", "Amount", "How", "Number", "Note", "On invoices", "Counts", "Taken back on",
    "Why taken back",
)  # fmt: skip
SPENDING = ("Month", "Job number", "Job", "Client", "What", "Amount")
SPENT_ON = {
    Flow.LABOR: "Hours of the crew",
    Flow.RECEIPT: "Receipts",
    Flow.PAID_OUT: "Paid to subs and suppliers",
    Flow.BILL: "Bills of orders",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoiceRow:
    """An invoice with its job; `standing` is None for a void one."""

    invoice: Invoice
    standing: Standing | None
    client: str
    job: str
    job_number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentRow:
    """A payment with its job, and what of it went on which invoice [cents]."""

    payment: ReceivedPayment
    went_on: tuple[tuple[int, int], ...]
    client: str
    job: str
    job_number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SpentRow:
    """What one job spent on one kind of thing in a month [cents]."""

    month: str
    flow: Flow
    cents: int
    client: str
    job: str
    job_number: int


def invoices_csv(held: Iterable[InvoiceRow]) -> bytes:
    """Invoices as a table; a void one has no total, as it counts no more."""
    return csv_table(INVOICES, (_invoice(one) for one in held))


def payments_csv(held: Iterable[PaymentRow]) -> bytes:
    """Payments as a table; one that was taken back counts nothing."""
    return csv_table(PAYMENTS, (_payment(one) for one in held))


def spending_csv(held: Iterable[SpentRow]) -> bytes:
    """Spending by month as a table."""
    rows = ([one.month, one.job_number, one.job, one.client, SPENT_ON[one.flow], _money(one.cents)] for one in held)
    return csv_table(SPENDING, rows)


def _invoice(one: InvoiceRow) -> list[object]:
    invoice, standing = one.invoice, one.standing
    kinds = (
        (LineKind.DRAW,), (LineKind.CHANGE,), (LineKind.RETAINED, LineKind.RELEASED), (LineKind.FEE,),
        (LineKind.CREDIT,), (LineKind.LATE,),
    )  # fmt: skip
    counted = standing is not None
    sums = [_money(invoice.sum_of(*kind) if counted else 0) for kind in kinds]
    return [
        invoice.number,
        invoice.issued_on,
        invoice.due_on,
        str(standing.state) if standing else "void",
        one.client,
        one.job_number,
        one.job,
        *sums,
        _money(invoice.total_cents if counted else 0),
        _money(invoice.tax_cents if counted else 0),
        _money(standing.paid_cents if standing else 0),
        _money(standing.open_cents if standing else 0),
        invoice.void_on or "",
        invoice.void_reason,
    ]


def _payment(one: PaymentRow) -> list[object]:
    paid = one.payment
    return [
        paid.day,
        one.client,
        one.job_number,
        one.job,
        _money(paid.cents),
        HOW_PAID.get(paid.how, paid.how),
        paid.number,
        paid.words,
        ", ".join(f"{number}: {_money(cents)}" for number, cents in one.went_on),
        _money(0 if paid.taken_back else paid.cents),
        paid.taken_back_on or "",
        paid.taken_back,
    ]


def _money(cents: int) -> Decimal:
    return Decimal(cents).scaleb(-2).quantize(Decimal("0.01"))
