"""The Money sheet of a job: milestones, invoices, payments, statement, client money against own spending."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup
from starlette.datastructures import FormData, UploadFile

from app.documents.cash_drawing import cash_svg
from app.documents.formats import Formats
from app.documents.pdf import NO_PANGO, pdf_available
from app.domain.errors import OutlayError
from app.domain.job import HOW_PAID, PAID_FOR
from app.services import invoicing, proposals, receiving, revisions
from app.services.billed import JobMoney, job_money, photos_to_choose
from app.services.invoicing import Asked, Draft
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.supply import likely_of
from app.web.access import OfficeHere
from app.web.crew_screens import printed
from app.web.forms.fields import Parsed, order_of, read
from app.web.forms.money import ASKED, DAY, PAID_OUT, REACHED, REASON, RECEIVED, asked_of
from app.web.forms.saving import save_form, save_form_async
from app.web.rendering import handed_out, svg
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/money")


@router.get("")
async def show_money(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The money of the job."""
    return show(request, office, job_id, "money", focus=focus)


@router.post("/reached/{key}")
async def reach(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """A milestone is reached, with photos that show it."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, REACHED, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: receiving.reach(
            office, view, key, parsed.values["day"], parsed.values.get("photo_ids", ()), order_of(form, "Reached")
        ),
    )
    return show(request, office, job_id, "money", focus="draft" if saved.ok else f"reach:{key}", saved=saved)


@router.post("/reached/{key}/remove")
async def not_reached(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """It was not reached after all."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: receiving.not_reached(office, view, key, order_of(form, "Not reached")))
    return show(request, office, job_id, "money", saved=saved)


@router.post("/invoice")
async def issue(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Issue the invoice that is shown."""
    form, view = await request.form(), sheet(office, job_id)
    asked, parsed = _asked(office, view, form)
    request.state.asked = form
    saved = await save_form_async(parsed, lambda: invoicing.issue(office, view, asked, order_of(form, "Invoice")))
    focus = f"invoice:{saved.result.id}" if saved.ok and saved.result else "draft"
    return show(request, office, job_id, "money", focus=focus, saved=saved)


@router.post("/invoice/{invoice_id}/void")
async def void(request: Request, office: OfficeHere, job_id: UUID, invoice_id: UUID) -> Response:
    """Void an invoice, with the reason."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, REASON, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: invoicing.void(
            office, view, str(invoice_id), parsed.values["reason"], order_of(form, "Invoice voided")
        ),
    )
    return show(request, office, job_id, "money", focus="" if saved.ok else f"void:{invoice_id}", saved=saved)


@router.get("/invoice/{invoice_id}.pdf")
async def invoice_file(request: Request, office: OfficeHere, job_id: UUID, invoice_id: UUID) -> Response:
    """The very bytes that were issued."""
    one = revisions.of_this_job(office, job_id, str(invoice_id))
    content = revisions.hand_out(office, one.id, "offered")
    return handed_out(request, content, f"invoice-{one.number}.pdf", "application/pdf")


@router.post("/received")
async def receive(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A payment came in."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, RECEIVED, office.firm(), whole=True)
    saved = save_form(parsed, lambda: receiving.receive(office, view, parsed.values, order_of(form, "Payment")))
    focus = "" if saved.ok else f"receive:{parsed.typed['invoice'] or ''}"
    return show(request, office, job_id, "money", focus=focus, saved=saved)


@router.post("/received/{payment_id}/back")
async def take_back(request: Request, office: OfficeHere, job_id: UUID, payment_id: UUID) -> Response:
    """A payment that was written by mistake, or bounced."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, REASON, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: receiving.take_back(office, view, payment_id, parsed.values["reason"], order_of(form, "Taken back")),
    )
    return show(request, office, job_id, "money", focus="" if saved.ok else f"back:{payment_id}", saved=saved)


@router.get("/received/{payment_id}.pdf")
async def receipt(request: Request, office: OfficeHere, job_id: UUID, payment_id: UUID) -> Response:
    """The receipt of a payment."""
    made = receiving.receipt_pdf(office, sheet(office, job_id), payment_id)
    return await printed(request, made, f"receipt-{payment_id}.pdf")


@router.post("/paid-out")
async def pay_out(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What the firm paid for this job outside the daily log."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, PAID_OUT, office.firm(), whole=True)
    saved = save_form(parsed, lambda: receiving.pay_out(office, view, parsed.values, order_of(form, "Paid")))
    return show(request, office, job_id, "money", focus="" if saved.ok else "paid_out:new", saved=saved)


@router.post("/paid-out/{thing_id}/remove")
async def not_paid_out(request: Request, office: OfficeHere, job_id: UUID, thing_id: UUID) -> Response:
    """What was written by mistake goes; undo brings it back."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: receiving.not_paid_out(office, view, thing_id, order_of(form, "Taken out")))
    return show(request, office, job_id, "money", saved=saved)


@router.get("/statement.pdf")
async def statement(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The statement up to a day."""
    parsed = read(_query(request), DAY, office.firm())
    made = receiving.statement_pdf(office, sheet(office, job_id), parsed.values.get("day"))
    return await printed(request, made, f"statement-{job_id}.pdf")


def _query(request: Request) -> FormData:
    """What an address says, as a form."""
    sent: list[tuple[str, str | UploadFile]] = [(name, value) for name, value in request.query_params.multi_items()]
    return FormData(sent)


def _asked(office: Office, view: Sheet, form: FormData) -> tuple[Asked, Parsed]:
    """What an invoice is to bill, as it was sent; what was not sent is as usual."""
    parsed = read(form, ASKED, office.firm())
    return asked_of(parsed.values, invoicing.as_asked(job_money(office, view), view)), parsed


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """The next invoice as the sheet shows it before it is issued, or the sentence that says why there is none."""

    asked: Asked
    typed: Mapping[str, str]
    errors: Mapping[str, str]
    made: Draft | None
    body: str = ""
    wrong: str = ""


def _shown(request: Request, office: Office, view: Sheet) -> Shown:
    form = getattr(request.state, "asked", None) or _query(request)
    asked, parsed = _asked(office, view, form)
    shown = Shown(asked=asked, typed=parsed.typed, errors=parsed.errors, made=None)
    if not parsed.ok:
        return shown
    try:
        made = invoicing.draft(office, view, asked)
    except OutlayError as refused:
        return replace(shown, wrong=refused.sentence)
    body = proposals.body_of(invoicing.html_of(office, view.job, made))
    return replace(shown, made=made, body=Markup(body))  # noqa: S704 - made by our template, every text in it escaped


def _give(request: Request, office: Office, view: Sheet, focus: str) -> dict[str, Any]:
    money: JobMoney = job_money(office, view)
    firm = office.firm()
    drawn = cash_svg(money.weeks, Formats(firm.system, firm.currency).short)
    late = invoicing.late_lines(money.contract, money.invoices, view) if money.contract else ()
    return {
        "money": money,
        "next": _shown(request, office, view) if focus == "draft" and money.contract else None,
        "late": late,
        "likely": likely_of(view.job),
        "photos": photos_to_choose(view.job),
        "how_paid": tuple(HOW_PAID.items()),
        "paid_for": tuple(PAID_FOR.items()),
        "chart": svg(drawn) if drawn else "",
        "no_pdf": "" if pdf_available() else NO_PANGO,
    }


register(SheetPage(key="money", title="Money", template="money/page.html", give=_give, part_of="build"))
