"""What is open in the whole firm, by age; and tables of invoices, payments and spending for the bookkeeper."""

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from app.db.repositories import invoices as invoice_rows
from app.db.repositories import receivables as rows
from app.db.repositories.things import JobLine
from app.domain.billing import AGES, OLDEST, Account, Flow, Invoice, Standing, account, age_of, by_payment, next_number
from app.domain.job import ReceivedPayment
from app.interchange.bookkeeper_out import InvoiceRow, PaymentRow, SpentRow, invoices_csv, payments_csv, spending_csv
from app.services.billed import invoice_of, money_moved
from app.services.contracts import contract_of
from app.services.home import every_job
from app.services.office import Office
from app.services.sheets import sheet

SPENT_IN = {  # kinds that say what was spent, with the column of its day
    "logged_hours": "day",
    "logged_receipt": "day",
    "paid_out": "day",
    "supplier_bill": "day",
    "supply_order": "deposit_on",
}
NOBODY = JobLine("", 0, "a job that is gone", "", "", "", "", None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """An open invoice with its job."""

    line: JobLine
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Age:
    """Open invoices of one age, and what is open on them [cents]."""

    title: str
    rows: tuple[Open, ...]
    cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Receivables:
    """All that is open."""

    today: date
    ages: tuple[Age, ...]
    open_cents: int
    overdue_cents: int
    credits: tuple[tuple[JobLine, int], ...]  # clients' credits [cents], by job
    next_number: int
    years: tuple[int, ...]  # with invoices, the newest first

    @property
    def overdue(self) -> tuple[Open, ...]:
        """What is past its day, the longest first."""
        late = [one for age in self.ages for one in age.rows if one.standing.overdue_days]
        return tuple(sorted(late, key=lambda one: -one.standing.overdue_days))


def today_of(office: Office) -> date:
    """Today where the firm is."""
    return office.today()


def receivables(office: Office) -> Receivables:
    """All open invoices of the firm by age."""
    today = today_of(office)
    with office.database.read() as connection:
        issued = invoice_rows.all_invoices(connection, office.firm_id)
        number = next_number(invoice_rows.last_number(connection, office.firm_id), office.firm().first_invoice)
    accounts = _accounts(office, today)
    lines = {line.job_id: line for line in every_job(office)}
    found = [
        Open(line=lines.get(job_id, NOBODY), standing=row)
        for job_id, one in accounts.items()
        for row in one.rows
        if row.open_cents > 0
    ]
    titles = [*(title for _, title in AGES), OLDEST]
    ages = tuple(_age(title, [one for one in found if age_of(one.standing.overdue_days) == title]) for title in titles)
    in_credit = [(job_id, one.credit_cents) for job_id, one in accounts.items() if one.credit_cents > 0]
    return Receivables(
        today=today,
        ages=tuple(one for one in ages if one.rows),
        open_cents=sum(one.standing.open_cents for one in found),
        overdue_cents=sum(one.standing.open_cents for one in found if one.standing.overdue_days),
        credits=tuple((lines.get(job_id, NOBODY), cents) for job_id, cents in in_credit),
        next_number=number,
        years=tuple(sorted({int(one.issued_at[:4]) for one in issued} | {today.year}, reverse=True)),
    )


def _age(title: str, held: Sequence[Open]) -> Age:
    in_order = tuple(sorted(held, key=lambda one: (one.standing.invoice.due_on, one.standing.invoice.number)))
    return Age(title=title, rows=in_order, cents=sum(one.standing.open_cents for one in held))


def overdue(office: Office) -> tuple[Open, ...]:
    """What is past its day, the longest first. Only jobs that owe something are looked into."""
    today = today_of(office)
    with office.database.read() as connection:
        owed = rows.owing(connection, office.firm_id)
    if not owed:
        return ()
    late = {job_id: one for job_id, one in _accounts(office, today, owed).items() if one.overdue_cents}
    if not late:
        return ()
    lines = {line.job_id: line for line in every_job(office)}
    found = [
        Open(line=lines.get(job_id, NOBODY), standing=row)
        for job_id, one in late.items()
        for row in one.rows
        if row.overdue_days
    ]
    return tuple(sorted(found, key=lambda one: -one.standing.overdue_days))


def _held(
    office: Office, of: Mapping[str, int] | None = None
) -> tuple[dict[str, list[Invoice]], dict[str, list[ReceivedPayment]]]:
    """Invoices and payments by job; of these jobs, or of all."""
    invoices: dict[str, list[Invoice]] = {}
    payments: dict[str, list[ReceivedPayment]] = {}
    with office.database.read() as connection:
        for one in invoice_rows.all_invoices(connection, office.firm_id):
            if of is None or one.job_id in of:
                invoices.setdefault(one.job_id, []).append(invoice_of(office, one))
        for job_id, payment in rows.things_of_firm(connection, office.firm_id, "received_payment"):
            if of is None or job_id in of:
                payments.setdefault(job_id, []).append(payment)
    return invoices, payments


def _accounts(office: Office, today: date, of: Mapping[str, int] | None = None) -> dict[str, Account]:
    invoices, payments = _held(office, of)
    jobs = dict.fromkeys((*invoices, *payments))
    return {job_id: account(invoices.get(job_id, ()), payments.get(job_id, ()), today) for job_id in jobs}


def invoice_table(office: Office, year: int) -> bytes:
    """Every invoice of a year, void ones too, by number, as a table."""
    invoices, payments = _held(office)
    lines, today = {line.job_id: line for line in every_job(office)}, today_of(office)
    found = []
    for job_id, held in invoices.items():
        standing = account(held, payments.get(job_id, ()), today)
        line = lines.get(job_id, NOBODY)
        found += [
            InvoiceRow(
                invoice=one, standing=standing.row(one.id), client=line.client, job=line.title, job_number=line.number
            )
            for one in held
            if one.issued_on.year == year
        ]
    return invoices_csv(sorted(found, key=lambda one: one.invoice.number))


def payment_table(office: Office, year: int) -> bytes:
    """Every payment of a year, those taken back too, by day, as a table."""
    invoices, payments = _held(office)
    lines, today = {line.job_id: line for line in every_job(office)}, today_of(office)
    found = []
    for job_id, held in payments.items():
        parts = by_payment(account(invoices.get(job_id, ()), held, today).rows)
        numbers = {one.id: one.number for one in invoices.get(job_id, ())}
        line = lines.get(job_id, NOBODY)
        found += [
            PaymentRow(
                payment=one,
                went_on=tuple((numbers[part.invoice], part.cents) for part in parts.get(str(one.id), ())),
                client=line.client,
                job=line.title,
                job_number=line.number,
            )
            for one in held
            if one.day.year == year
        ]
    return payments_csv(sorted(found, key=lambda one: (one.payment.day, str(one.payment.id))))


async def spending_table(office: Office, year: int) -> bytes:
    """What was spent in a year by month, job and kind, as a table; others are answered between two jobs."""
    first, last = date(year, 1, 1).isoformat(), date(year, 12, 31).isoformat()
    with office.database.read() as connection:
        found_in = (
            rows.jobs_with(connection, office.firm_id, kind, first, last, by=by) for kind, by in SPENT_IN.items()
        )
        job_ids = set().union(*found_in)
    lines = {line.job_id: line for line in every_job(office)}
    sums: dict[tuple[str, str, Flow], int] = {}
    for job_id in sorted(job_ids & lines.keys(), key=lambda one: lines[one].number):
        view = sheet(office, UUID(job_id))
        for one in money_moved(office, view, contract_of(office, view))[0]:
            if one.flow is not Flow.CLIENT and one.day.year == year:
                key = (f"{one.day:%Y-%m}", job_id, one.flow)
                sums[key] = sums.get(key, 0) + one.cents
        await asyncio.sleep(0)
    found = [
        SpentRow(month=month, flow=flow, cents=cents, client=line.client, job=line.title, job_number=line.number)
        for (month, job_id, flow), cents in sums.items()
        for line in (lines[job_id],)
    ]
    return spending_csv(sorted(found, key=lambda one: (one.month, one.job_number, one.flow)))
