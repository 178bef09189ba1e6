"""What an invoice, a receipt and a statement print: what a client may see, and nothing else."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from app.domain.basis import Firm
from app.domain.billing.account import Account, Part
from app.domain.billing.contract import Contract
from app.domain.billing.draws import DrawnUp, held_back, left_to_bill
from app.domain.billing.invoice import Invoice, InvoiceLine, LineKind
from app.domain.billing.statement import StatementRow, payment_words
from app.domain.costing.pay_rules import late_words
from app.domain.job import Job, ReceivedPayment
from app.domain.letterhead import Letterhead, head_fields, letterhead


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoicePaper(Letterhead):
    """An invoice as it is printed; sums [cents]. `void_reason` is never printed: a void one is handed out as it was."""

    due_on: date
    lines: tuple[InvoiceLine, ...]
    total_cents: int
    tax_cents: int
    signed_on: date
    contract_cents: int
    changes_cents: int
    billed_cents: int  # of contract and changes, with this one
    left_cents: int
    held_cents: int
    before_cents: int  # the balance before this one; below 0 a credit
    how_to_pay: str
    late_words: str
    is_last: bool

    @property
    def balance_cents(self) -> int:
        """The balance with this invoice."""
        return self.before_cents + self.total_cents


def invoice_paper(
    job: Job, firm: Firm, contract: Contract, drawn: DrawnUp, before: Account, invoices: Sequence[Invoice], number: int
) -> InvoicePaper:
    """An invoice that bills what was drawn up, dated the account's day."""
    today = before.day
    this = Invoice(id="", number=number, issued_on=today, due_on=today, lines=drawn.lines, tax_cents=drawn.tax_cents)
    together = (*invoices, this)
    left = left_to_bill(contract, together)
    return InvoicePaper(
        **{**head_fields(letterhead(job, firm, number=number, made_on=today)), "holds_until": today},
        due_on=today + timedelta(days=firm.invoice_days),
        lines=drawn.lines,
        total_cents=drawn.total_cents,
        tax_cents=drawn.tax_cents,
        signed_on=contract.signed_on,
        contract_cents=contract.cents,
        changes_cents=contract.changes_cents,
        billed_cents=contract.total_cents - left,
        left_cents=left,
        held_cents=held_back(together),
        before_cents=before.balance_cents,
        how_to_pay=firm.invoice_words,
        late_words=late_words(
            replace(firm, late_charge=contract.late_charge, late_after_days=contract.late_after_days)
        ),
        is_last=drawn.is_last,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptPaper(Letterhead):
    """A receipt for one payment: how it came in, on which invoices it went, what is open after it [cents]."""

    paid_on: date
    cents: int
    how: str
    went_on: tuple[tuple[int, int], ...]  # number of the invoice, cents
    credit_cents: int
    balance_cents: int
    is_deposit: bool


def receipt_paper(
    job: Job, firm: Firm, contract: Contract | None, payment: ReceivedPayment, then: Account, parts: Sequence[Part]
) -> ReceiptPaper:
    """The receipt of a payment, with the account as it stood at the end of its day."""
    numbers = {row.invoice.id: row.invoice for row in then.rows}
    went_on = tuple((numbers[part.invoice].number, part.cents) for part in parts if part.invoice in numbers)
    first = contract.milestones[0].key if contract and contract.milestones else ""
    drawn = {key for part in parts if part.invoice in numbers for key in numbers[part.invoice].of(LineKind.DRAW)}
    return ReceiptPaper(
        **head_fields(letterhead(job, firm, number=0, made_on=payment.day)),
        paid_on=payment.day,
        cents=payment.cents,
        how=payment_words(payment),
        went_on=went_on,
        credit_cents=payment.cents - sum(amount for _, amount in went_on),
        balance_cents=then.balance_cents,
        is_deposit=bool(first) and drawn == {first},
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class StatementPaper(Letterhead):
    """A statement up to a day: its rows, the balance, what of it is overdue [cents]."""

    day: date
    rows: tuple[StatementRow, ...]
    balance_cents: int
    overdue_cents: int
    held_cents: int
    how_to_pay: str


def statement_paper(
    job: Job, firm: Firm, rows: Sequence[StatementRow], standing: Account, held_cents: int
) -> StatementPaper:
    """The statement of a job up to the account's day."""
    return StatementPaper(
        **head_fields(letterhead(job, firm, number=0, made_on=standing.day)),
        day=standing.day,
        rows=tuple(rows),
        balance_cents=standing.balance_cents,
        overdue_cents=standing.overdue_cents,
        held_cents=held_cents,
        how_to_pay=firm.invoice_words,
    )
