"""The money of a job as its sheet shows it: contract, invoices, payments, what is open, money week by week."""

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

import msgspec
from sqlalchemy import Connection

from app.db.repositories import invoices as rows
from app.db.repositories.revisions import Revision
from app.domain.billing import (
    Account,
    CashWeek,
    Contract,
    Flow,
    Invoice,
    LineKind,
    MilestoneRow,
    Moved,
    Part,
    StatementRow,
    account,
    by_payment,
    cash_weeks,
    deepest,
    held_back,
    left_to_bill,
    milestone_rows,
    statement,
    to_bill,
)
from app.domain.codec import from_plain
from app.domain.errors import NotFound
from app.domain.job import Job, Photo, ReceivedPayment
from app.domain.keeping import KeptByInputs
from app.domain.money import cost
from app.domain.ordering.spending import spent_on_orders
from app.services.contracts import contract_of
from app.services.daily_log import daily_log
from app.services.office import Office
from app.services.revisions import files_of
from app.services.sheets import Sheet

KEPT = 4_000  # invoices
VOIDED = "void"  # the file of an invoice that says since when and why it is void: on record like its pages


@dataclass(frozen=True, slots=True, kw_only=True)
class JobMoney:
    """All money of a job on a day. `contract` is None while nothing is signed."""

    today: date
    contract: Contract | None
    invoices: tuple[Invoice, ...]  # void ones too, the newest first
    account: Account
    milestones: tuple[MilestoneRow, ...]
    payments: tuple[ReceivedPayment, ...]  # taken back ones too, the newest first
    parts: Mapping[str, tuple[Part, ...]]  # of payments
    weeks: tuple[CashWeek, ...]
    unpaid_tasks: int  # tasks with hours and no wage: their cost is not known
    rows: tuple[StatementRow, ...]
    last_number: int

    @property
    def to_bill(self) -> tuple[MilestoneRow, ...]:
        """Milestones reached and on no invoice yet."""
        return to_bill(self.milestones)

    @property
    def left_cents(self) -> int:
        """What of contract and changes is on no invoice yet."""
        return left_to_bill(self.contract, self.invoices) if self.contract else 0

    @property
    def held_cents(self) -> int:
        """What is held back until the last invoice."""
        return held_back(self.invoices)

    @property
    def ahead_cents(self) -> int:
        """What the client paid more than was spent; below 0 the firm finances the client."""
        return self.weeks[-1].ahead if self.weeks else 0

    @property
    def deepest(self) -> CashWeek | None:
        """The week in which the firm had most of its own money in the job."""
        return deepest(self.weeks)

    @property
    def all_drawn(self) -> bool:
        """Whether every milestone is on an invoice."""
        return all(row.standing for row in self.milestones)

    @property
    def billed_changes(self) -> AbstractSet[str]:
        """The changes that are on an invoice, by key."""
        return {key for row in self.account.rows for key in row.invoice.of(LineKind.CHANGE)}

    def invoice(self, invoice_id: str) -> Invoice:
        """An invoice of the job. Raises: NotFound."""
        found = next((one for one in self.invoices if one.id == invoice_id), None)
        if found is None:
            raise NotFound("There is no such invoice in this job.")
        return found

    def payment(self, payment_id: str) -> ReceivedPayment:
        """A payment of the job. Raises: NotFound."""
        found = next((one for one in self.payments if str(one.id) == payment_id), None)
        if found is None:
            raise NotFound("There is no such payment in this job.")
        return found

    def numbered(self, invoice_id: str) -> str:
        """The number of an invoice; empty for one that is none."""
        return next((str(one.number) for one in self.invoices if one.id == invoice_id), "")


def job_money(office: Office, view: Sheet) -> JobMoney:
    """The money of a job as it stands today at the site."""
    job, today = view.job, view.today
    contract = contract_of(office, view)
    with office.database.read() as connection:
        invoices = invoices_in(office, connection, job.head.id)
        last = rows.last_number(connection, office.firm_id)
    standing = account(invoices, job.received_payments, today)
    moved, unpaid = money_moved(office, view, contract)
    return JobMoney(
        today=today,
        contract=contract,
        invoices=invoices,
        account=standing,
        milestones=milestone_rows(contract, job.reached_milestones, standing) if contract else (),
        payments=tuple(sorted(job.received_payments, key=lambda one: (one.day, str(one.said_at)), reverse=True)),
        parts=by_payment(standing.rows),
        weeks=cash_weeks(moved, today),
        unpaid_tasks=unpaid,
        rows=statement(invoices, job.received_payments, today),
        last_number=last,
    )


def invoices_in(office: Office, connection: Connection, job_id: UUID) -> tuple[Invoice, ...]:
    """The invoices of a job, void ones too, the newest first, as a transaction sees them."""
    return tuple(invoice_of(office, one) for one in rows.invoices_of(connection, str(job_id)))


def invoice_of(office: Office, one: Revision) -> Invoice:
    """An invoice as it was issued, and whether it is void."""
    memory: KeptByInputs[Invoice] = office.database.memory.setdefault("invoices", KeptByInputs(KEPT, each=1))
    return memory.get_or_make(one.id, (one.files["results"], one.files.get(VOIDED)), lambda: _read(office, one))


def _read(office: Office, one: Revision) -> Invoice:
    store = files_of(office)
    kept: Mapping[str, Any] = msgspec.json.decode(store.read(one.files["results"]))
    void: Mapping[str, Any] = msgspec.json.decode(store.read(one.files[VOIDED])) if VOIDED in one.files else {}
    return from_plain({**kept["invoice"], **void}, Invoice)


def money_moved(office: Office, view: Sheet, contract: Contract | None) -> tuple[list[Moved], int]:
    """All money of a job that moved, by day; and how many tasks with hours have no wage.

    Hours cost what they cost in the daily log, to the cent: each task's are summed up and the last one takes its
    rounding. The owner's own hours are no money that goes out.
    """
    job = view.job
    moved = [Moved(day=one.day, flow=Flow.CLIENT, cents=one.cents) for one in job.received_payments if counts(one)]
    if contract and contract.fee_cents:
        moved.append(Moved(day=contract.signed_on, flow=Flow.CLIENT, cents=contract.fee_cents))
    moved += [Moved(day=one.day, flow=Flow.RECEIPT, cents=one.cents) for one in job.logged_receipts]
    moved += [Moved(day=one.day, flow=Flow.PAID_OUT, cents=one.cents) for one in job.paid_out]
    spent = spent_on_orders(job.supply_orders, job.supplier_bills, job.logged_receipts, job.paid_out)
    moved += [Moved(day=one.day, flow=Flow.BILL, cents=one.cents) for one in spent if one.cents]
    if not job.logged_hours:
        return moved, 0
    against = daily_log(office, view).against
    for row in against.rows:
        if row.bid.per_hour is None:
            continue
        hours, before = 0.0, 0
        for entry in sorted(row.entries, key=lambda one: (one.day, str(one.id))):
            hours += entry.hours
            so_far = cost(hours, row.bid.per_hour)
            moved.append(Moved(day=entry.day, flow=Flow.LABOR, cents=so_far - before))
            before = so_far
    return moved, against.all.unpaid


def counts(one: ReceivedPayment) -> bool:
    """Whether a payment was not taken back."""
    return not one.taken_back


def photos_of(job: Job, ids: Sequence[UUID]) -> tuple[Photo, ...]:
    """The photos of these ids that are there, in their order."""
    known = {one.id: one for one in job.photos}
    return tuple(known[one] for one in ids if one in known)


def photos_to_choose(job: Job) -> tuple[Photo, ...]:
    """Photos that may show what is done: all but receipts and those from before, the newest first."""
    shown = [one for one in job.photos if one.when not in ("receipt", "before", "sample")]
    return tuple(sorted(shown, key=lambda one: (str(one.taken or ""), str(one.id)), reverse=True))
