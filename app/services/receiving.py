"""Money in and out, and milestones reached: written down, never changed; what was wrong is taken back with a reason."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.billing import LineKind, account, by_payment, statement
from app.domain.billing.paper import ReceiptPaper, StatementPaper, receipt_paper, statement_paper
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.job import HOW_PAID, PAID_FOR, PaidOut, ReachedMilestone, ReceivedPayment
from app.services import jobs
from app.services.billed import job_money, photos_of
from app.services.changes import Applied
from app.services.contracts import contract_of
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.proposals import mark_address
from app.services.revision_entries import on_record
from app.services.sheets import Sheet

DAYS_BACK = 730


def reach(
    office: Office, view: Sheet, key: str, day: date, photo_ids: tuple[UUID, ...], order: Order
) -> Applied | None:
    """Mark a milestone as reached, or change its day and photos before it is billed.

    Raises: NotFound, Refused where it is billed, BadValue for a day that has not been.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    contract = contract_of(office, view)
    milestone = contract.milestone(key) if contract else None
    if milestone is None:
        raise NotFound("This milestone is not in the signed payments (any more).")
    refuse_day(view, day)
    row = next(one for one in job_money(office, view).milestones if one.milestone.key == key)
    if row.standing:
        raise Refused(f"“{milestone.words}” is on invoice {row.standing.invoice.number} already.")
    photos = tuple(one.id for one in photos_of(view.job, photo_ids))
    what = f"Reached: {milestone.words}"[:120]
    if row.reached:
        fields = {"day": day, "photo_ids": photos}
        version = view.version("reached_milestone", row.reached.id)
        edit = changed("reached_milestone", row.reached.id, version, fields)
    else:
        new = ReachedMilestone(
            id=uuid5(order.change_id, "reached"),
            milestone=key,
            day=day,
            photo_ids=photos,
            said_by=office.who(),
            said_at=office.clock(),
        )
        edit = made("reached_milestone", new)
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=what))


def not_reached(office: Office, view: Sheet, key: str, order: Order) -> Applied | None:
    """Take back that a milestone was reached. Raises: NotFound, Refused where it is billed."""
    if jobs.is_saved(office, order.change_id):
        return None
    row = next((one for one in job_money(office, view).milestones if one.milestone.key == key and one.reached), None)
    if row is None or row.reached is None:
        raise NotFound("This milestone is not marked as reached (any more).")
    if row.standing:
        raise Refused(f"It is on invoice {row.standing.invoice.number}. Void that first.")
    edits = tuple(
        edit
        for one in view.job.reached_milestones
        if one.milestone == key
        for edit in jobs.removal(view.opened, "reached_milestone", one.id)
    )
    what = f"Not reached: {row.milestone.words}"[:120]
    return jobs.save(office, view.job.head.id, edits, replace(order, what=what))


def receive(office: Office, view: Sheet, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Take a payment; sent twice, it is taken once. It closes what could be undone before.

    Raises: BadValue beside what is missing; NotFound for an invoice that is none of this job.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    cents = values["cents"] or 0
    _refuse_payment(view, values)
    money = job_money(office, view)
    invoice = values.get("invoice") or ""
    number = f" for invoice {money.invoice(invoice).number}" if invoice else ""
    if values.get("back"):
        if cents > money.account.credit_cents:
            raise BadValue(
                "More is to be paid back than the client's credit is. Type what was paid back.", field="cents"
            )
        cents = -cents
    new = ReceivedPayment(
        id=uuid5(order.change_id, "received"),
        day=values["day"],
        cents=cents,
        how=values["how"],
        number=values.get("number") or "",
        words=values.get("words") or "",
        invoice=invoice,
        said_by=office.who(),
        said_at=office.clock(),
    )
    what = f"Payment{number}" if cents > 0 else "Paid back to the client"
    return _paid(office, view, made("received_payment", new), replace(order, what=what))


def _refuse_payment(view: Sheet, values: Mapping[str, Any]) -> None:
    if (values["cents"] or 0) <= 0:
        raise BadValue("The amount is nothing. Type what was paid.", field="cents")
    if values["how"] not in HOW_PAID:
        raise BadValue("Tap how it was paid.", field="how")
    refuse_day(view, values["day"])


def take_back(office: Office, view: Sheet, payment_id: UUID, reason: str, order: Order) -> Applied | None:
    """Take a payment back that was written by mistake, or bounced. Raises: NotFound, Refused, BadValue."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = job_money(office, view).payment(str(payment_id))
    if one.taken_back:
        raise Refused("This payment was taken back already.")
    if not reason.strip():
        raise BadValue("Say why: a bounced check, a wrong amount. The statement shows it.", field="reason")
    fields = {"taken_back": reason.strip(), "taken_back_on": max(view.today, one.day)}
    edit = changed("received_payment", one.id, view.version("received_payment", one.id), fields)
    return _paid(office, view, edit, replace(order, what="Payment taken back"))


def pay_out(office: Office, view: Sheet, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Write down what the firm paid for this job outside the daily log. Raises: BadValue."""
    if jobs.is_saved(office, order.change_id):
        return None
    if (values["cents"] or 0) <= 0:
        raise BadValue("The amount is nothing. Type what was paid.", field="paid_cents")
    if values["paid_for"] not in PAID_FOR:
        raise BadValue("Choose what it was for.", field="paid_for")
    refuse_day(view, values["day"])
    new = PaidOut(
        id=uuid5(order.change_id, "paid out"),
        day=values["day"],
        cents=values["cents"],
        to=values["to"],
        paid_for=values["paid_for"],
        words=values.get("words") or "",
        said_by=office.who(),
        said_at=office.clock(),
    )
    edit = made("paid_out", new)
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=f"Paid to {new.to}"[:120]))


def not_paid_out(office: Office, view: Sheet, thing_id: UUID, order: Order) -> Applied | None:
    """Take out what was written by mistake; undo brings it back. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    gone = next((one for one in view.job.paid_out if one.id == thing_id), None)
    if gone is None:
        raise NotFound("This is not there any more.")
    edits = list(jobs.removal(view.opened, "paid_out", thing_id))
    for one in view.job.lien_releases:
        if one.payment == str(thing_id):
            edits += jobs.removal(view.opened, "lien_release", one.id)
    return jobs.save(office, view.job.head.id, tuple(edits), replace(order, what=f"Not paid to {gone.to}"[:120]))


def receipt_pdf(office: Office, view: Sheet, payment_id: UUID) -> PdfOrder:
    """The receipt of a payment. Raises: NotFound; Refused for one that was taken back."""
    money = job_money(office, view)
    one = money.payment(str(payment_id))
    if one.taken_back:
        raise Refused("This payment was taken back: there is no receipt for it.")
    then = account(money.invoices, view.job.received_payments, one.day)
    parts = by_payment(then.rows).get(str(one.id), ())
    act = receipt_paper(view.job, office.firm(), money.contract, one, then, parts)
    title = "Deposit receipt" if act.is_deposit else "Receipt"
    return _paper(office, view, "receipt", title, act, str(one.id))


def statement_pdf(office: Office, view: Sheet, day: date | None) -> PdfOrder:
    """The statement of a job up to a day, today where none is told."""
    money = job_money(office, view)
    on = day or money.today
    standing = account(money.invoices, view.job.received_payments, on)
    rows = statement(money.invoices, view.job.received_payments, on)
    held = -sum(one.sum_of(LineKind.RETAINED, LineKind.RELEASED) for one in money.invoices if one.stands(on))
    act = statement_paper(view.job, office.firm(), rows, standing, held)
    return _paper(office, view, "statement", "Statement", act, on.isoformat())


def _paper(
    office: Office, view: Sheet, template: str, title: str, act: ReceiptPaper | StatementPaper, key: str
) -> PdfOrder:
    firm = office.firm()
    values = {"act": act, "mark": mark_address(office, act.mark)}
    return PdfOrder(
        html=document(office.settings.templates, template, firm, values),
        paper="a4" if (view.job.head.paper or firm.paper) == "a4" else "letter",
        title=f"{title}, {view.job.head.title}",
        language=firm.language,
        identifier=f"{view.job.head.id}-{template}-{key}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )


def _paid(office: Office, view: Sheet, edit: Any, order: Order) -> Applied:
    """A change about money received, with an entry beside it that closes undo: it is put right in the open."""
    own = Order(change_id=uuid5(order.change_id, "pay"), what=order.what)
    body = {"payment": edit.thing_id}
    job_id = view.job.head.id
    return jobs.save(
        office,
        job_id,
        (edit,),
        order,
        lambda connection: on_record(office, connection, "pay", own, job_id, order.what, body),
    )


def refuse_day(view: Sheet, day: date) -> None:
    """Refuse a day of money that has not been, or lies too far back. Raises: BadValue."""
    if day > view.today:
        raise BadValue(f"{day:%B} {day.day}, {day.year} has not been yet. Choose the day it was.", field="day")
    if (view.today - day).days > DAYS_BACK:
        raise BadValue(f"{day:%B} {day.day}, {day.year} is more than two years ago. Look at the year.", field="day")
