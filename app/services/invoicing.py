"""Invoices: drawn up from what is reached, shown before, issued as bytes that never change, voided with a reason."""

from base64 import b64encode
from dataclasses import dataclass, replace
from uuid import UUID

from sqlalchemy import Connection

from app.db.repositories import invoices as rows
from app.db.repositories.revisions import Revision, add_file, insert_revision, set_state
from app.db.repositories.takings import BORROWED
from app.documents.pages import document
from app.documents.pdf import PdfOrder, pdf_payload
from app.domain.billing import (
    Beside,
    Contract,
    DrawnUp,
    Invoice,
    InvoiceLine,
    account,
    draw_up,
    late_charge,
    next_number,
)
from app.domain.billing.paper import InvoicePaper, invoice_paper
from app.domain.codec import canonical_bytes, to_plain
from app.domain.errors import BadValue, Refused
from app.domain.job import Job
from app.interchange.job_file import write_job_file
from app.interchange.trimming import trimmed
from app.services import jobs, takings
from app.services.billed import VOIDED, JobMoney, invoices_in, job_money, photos_of
from app.services.contracts import contract_of
from app.services.jobs import Order
from app.services.office import Office
from app.services.proposals import mark_address
from app.services.revision_entries import on_record
from app.services.revisions import files_of, issued_by
from app.services.sheets import Sheet, sheet
from app.worker.running import run_in_worker

TRIES = 20  # others may issue while a paper is printed; its number is then theirs
MOST_PHOTOS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What an invoice is to bill: milestones by key, a credit [cents], late charges by invoice, photos."""

    milestones: tuple[str, ...] = ()
    credit_cents: int = 0
    credit_words: str = ""
    late: tuple[str, ...] = ()
    photo_ids: tuple[UUID, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """An invoice as it would be issued now."""

    paper: InvoicePaper
    drawn: DrawnUp
    based_on: frozenset[str]  # the invoices there were
    photo_ids: tuple[UUID, ...]


def draft(office: Office, view: Sheet, asked: Asked) -> Draft:
    """The next invoice of a job. Raises: Refused where nothing is signed, reached or to bill; BadValue."""
    contract = contract_of(office, view)
    if contract is None:
        raise Refused("Nothing is signed yet. An invoice bills the milestones of a signed proposal.")
    reached = {one.milestone for one in view.job.reached_milestones}
    if early := next((key for key in asked.milestones if key not in reached and contract.milestone(key)), None):
        named = contract.milestone(early)
        raise Refused(f"“{named.words if named else early}” is not marked as reached yet. Mark it first.")
    if len(asked.photo_ids) > MOST_PHOTOS:
        raise BadValue(f"{len(asked.photo_ids)} photos are chosen; {MOST_PHOTOS} fit.", field="photo_ids")
    with office.database.read() as connection:
        invoices = invoices_in(office, connection, view.job.head.id)
        number = _next(office, connection)
    standing = account(invoices, view.job.received_payments, view.today)
    late = tuple(one for one in late_lines(contract, invoices, view) if one.of.partition("@")[0] in asked.late)
    beside = Beside(credit_cents=asked.credit_cents, credit_words=asked.credit_words, late=late)
    drawn = draw_up(contract, invoices, asked.milestones, beside)
    paper = invoice_paper(view.job, office.firm(), contract, drawn, standing, invoices, number)
    photos = tuple(one.id for one in photos_of(view.job, asked.photo_ids))
    return Draft(paper=paper, drawn=drawn, based_on=_standing_ids(invoices), photo_ids=photos)


def late_lines(contract: Contract, invoices: tuple[Invoice, ...], view: Sheet) -> tuple[InvoiceLine, ...]:
    """What unpaid invoices bear as the contract says, up to today."""
    standing = account(invoices, view.job.received_payments, view.today)
    found = (late_charge(contract, row, invoices) for row in standing.rows if row.overdue_days)
    return tuple(one for one in found if one)


def as_asked(money: JobMoney, view: Sheet) -> Asked:
    """What the next invoice bills unless somebody says otherwise: all that is reached, with its photos."""
    ready = money.to_bill
    photos = tuple(dict.fromkeys(one for row in ready if row.reached for one in row.reached.photo_ids))
    return Asked(
        milestones=tuple(row.milestone.key for row in ready),
        photo_ids=tuple(one.id for one in photos_of(view.job, photos))[:MOST_PHOTOS],
    )


def html_of(office: Office, job: Job, made: Draft) -> str:
    """An invoice as it is printed."""
    store = files_of(office)
    photos = [(_picture(store.read(one.file)), one.caption) for one in photos_of(job, made.photo_ids)]
    values = {"act": made.paper, "mark": mark_address(office, made.paper.mark), "photos": photos}
    return document(office.settings.templates, "invoice", office.firm(), values)


def _picture(content: bytes) -> str:
    kind = "image/png" if content.startswith(b"\x89PNG") else "image/jpeg"
    return f"data:{kind};base64,{b64encode(content).decode()}"


async def issue(office: Office, view: Sheet, asked: Asked, order: Order) -> Revision:
    """Issue an invoice: number, print, keep, put on record. Sent twice, it is the same invoice.

    The number is the firm's next one at the moment it is kept; where another took it while this was printed, it is
    printed again with the next. Raises: Refused, BadValue as `draft`; Refused where the job belongs to another office.
    """
    known = issued_by(office, order.change_id)
    if known is not None:
        return known
    if any(one.side == BORROWED and one.is_out for one in takings.of_job(office, view.job.head.id)):
        raise Refused(
            "This job was taken along from an office. Its invoices are numbered there: issue it when it is back."
        )
    for _ in range(TRIES):
        made = draft(office, view, asked)
        pdf = await run_in_worker("pdf", pdf_payload(_pdf(office, view, made)))
        kept = _keep(office, view, made, pdf, order)
        if kept is not None:
            return kept
        view = sheet(office, view.job.head.id)
    raise Refused("Others issue invoices at this moment. Nothing was issued; try again.")


def _keep(office: Office, view: Sheet, made: Draft, pdf: bytes, order: Order) -> Revision | None:
    """Write an invoice that was printed; None where its number or what it rests on is not so any more."""
    head, paper = view.job.head, made.paper
    invoice = Invoice(
        id=str(order.change_id),
        number=paper.number,
        issued_on=paper.made_on,
        due_on=paper.due_on,
        lines=made.drawn.lines,
        tax_cents=made.drawn.tax_cents,
        photo_ids=made.photo_ids,
    )
    contents = {
        "job": write_job_file(view.job, trimmed(view.basis, view.job)),
        "results": canonical_bytes({"invoice": to_plain(invoice), "paper": to_plain(paper)}),
        "offered": pdf,
    }
    store = files_of(office)
    files = {role: store.keep(content) for role, content in contents.items()}
    one = Revision(
        id=invoice.id,
        job_id=str(head.id),
        number=invoice.number,
        kind=rows.INVOICE,
        state=rows.ISSUED,
        issued_at=office.clock().isoformat(),
        holds_until=invoice.due_on,
        price_cents=invoice.total_cents,
        job_counter=view.opened.counter,
        signers=(),
        files=files,
    )
    with office.database.write() as connection:
        there = _standing_ids(invoices_in(office, connection, head.id))
        if _next(office, connection) != invoice.number or there != made.based_on:
            return None
        insert_revision(connection, office.firm_id, one, {role: len(content) for role, content in contents.items()})
        rows.give_number(connection, office.firm_id, invoice.number)
        body = {"revision": one.id, "files": files}
        on_record(office, connection, "issue", order, head.id, f"Invoice {one.number} issued", body)
    return one


def void(office: Office, view: Sheet, invoice_id: str, reason: str, order: Order) -> Invoice:
    """Void an invoice: it keeps its number and its pages, and counts no more. Raises: NotFound, Refused, BadValue."""
    invoice = job_money(office, view).invoice(invoice_id)
    if jobs.is_saved(office, order.change_id):
        return invoice
    if not reason.strip():
        raise BadValue("Say why it is void: the statement shows it.", field="reason")
    if invoice.void_on:
        raise Refused(f"Invoice {invoice.number} is void already.")
    today = view.today
    words = reason.strip()
    content = canonical_bytes({"void_on": today.isoformat(), "void_reason": words})
    name = files_of(office).keep(content)
    with office.database.write() as connection:
        add_file(connection, invoice.id, VOIDED, name, len(content))
        set_state(connection, invoice.id, rows.VOID, today.isoformat(), words)
        what = f"Invoice {invoice.number} voided: {words[:200]}"
        on_record(
            office, connection, "void", order, view.job.head.id, what, {"revision": invoice.id, "files": {VOIDED: name}}
        )
    return replace(invoice, void_on=today, void_reason=words)


def _next(office: Office, connection: Connection) -> int:
    return next_number(rows.last_number(connection, office.firm_id), office.firm().first_invoice)


def _standing_ids(invoices: tuple[Invoice, ...]) -> frozenset[str]:
    return frozenset(one.id for one in invoices if one.stands())


def _pdf(office: Office, view: Sheet, made: Draft) -> PdfOrder:
    firm = office.firm()
    return PdfOrder(
        html=html_of(office, view.job, made),
        paper="a4" if (view.job.head.paper or firm.paper) == "a4" else "letter",
        title=f"Invoice {made.paper.number}, {view.job.head.title}",
        language=firm.language,
        identifier=f"invoice-{office.firm_id}-{made.paper.number}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
