"""The orders of a job: prepared, sent, and what becomes of them until they are billed."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.domain.errors import NotFound
from app.domain.ordering import OrderState
from app.domain.ordering.spots import spots
from app.interchange.order_sheets import LISTS, bought_words, counted, heading, notes_of, pack_words, sent_words
from app.services import supply_arrivals as arrivals
from app.services import supply_events as events
from app.services import supply_sending as sending
from app.services.build import list_key
from app.services.checks import Going
from app.services.jobs import Order
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.supply import Supply, may_send, supply
from app.services.supply_paper import spot_drawing
from app.web.access import OfficeHere
from app.web.forms import supply as forms
from app.web.forms.fields import Field, order_as_read, read, text
from app.web.forms.outlines import length_text
from app.web.forms.saving import save_form
from app.web.rendering import svg
from app.web.sheet_pages import SheetPage, register, show
from app.web.supply_saving import done, of_order

router = APIRouter(prefix="/jobs/{job_id}/orders")
GO_ON = (text("by", "Your name", required=True), text("reason", "Why no sample was signed", required=True, most=1_000))


@router.get("")
async def show_supply(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The orders; `focus=order:ID` opens one."""
    return show(request, office, job_id, "orders", focus=focus[:90])


@router.post("/prepare/{key}")
async def prepare(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """Make the order of a list."""
    return await done(request, office, job_id, (), lambda view, _, order: sending.prepare(office, view, key, order))


@router.post("/sample/{material}")
async def approve_sample(request: Request, office: OfficeHere, job_id: UUID, material: str) -> Response:
    """The client's name is on a sample."""
    return await done(
        request,
        office,
        job_id,
        forms.SAMPLE,
        lambda view, values, order: sending.approve_sample(office, view, material, values, order),
        f"sample:{material}",
    )


@router.post("/sample/{material}/go-on")
async def go_on_without_sample(request: Request, office: OfficeHere, job_id: UUID, material: str) -> Response:
    """Order without it, with name and reason."""

    def go_on(view: Sheet, values: Mapping[str, Any], order: Order) -> object:
        going = Going(by=values["by"], reason=values["reason"])
        return sending.go_on_without_sample(office, view, material, going, order)

    return await done(request, office, job_id, GO_ON, go_on, f"sample:{material}")


@router.post("/substitute/{substitute_id}/{answer}")
async def decide(request: Request, office: OfficeHere, job_id: UUID, substitute_id: UUID, answer: str) -> Response:
    """The client approved a substitute, or declined it."""
    if answer not in ("approve", "decline"):
        raise NotFound("There is no such answer.")

    def said(view: Sheet, values: Mapping[str, Any], order: Order) -> object:
        name, on = values["name"], values["day"]
        return events.decide(office, view, substitute_id, name, on, order, yes=answer == "approve")

    return await done(request, office, job_id, forms.DECISION, said, f"decide:{substitute_id}")


@router.post("/{order_id}/plan")
async def plan(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """Day, spot, batch, price."""
    form = await request.form()
    parsed = read(form, forms.PLAN, office.firm())
    view, order = sheet(office, job_id), order_as_read(form, "Day and spot")
    saved = save_form(parsed, lambda: sending.plan(office, view, order_id, parsed.values, order))
    return show(
        request, office, job_id, "orders", focus=f"order:{order_id}" + ("" if saved.ok else ":plan"), saved=saved
    )


@router.post("/{order_id}/send")
async def send(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """It was sent: what is ordered is fixed."""

    def sent(view: Sheet, values: Mapping[str, Any], order: Order) -> object:
        return sending.send(office, view, order_id, values.get("materials", ()), values.get("sent_on"), order)

    return await of_order(request, office, job_id, order_id, "send", forms.SEND, sent)


@router.post("/{order_id}/remove")
async def remove(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """One that was prepared goes."""
    return await done(request, office, job_id, (), lambda view, _, order: sending.remove(office, view, order_id, order))


SAID: Mapping[str, tuple[Sequence[Field], Callable[..., object]]] = {
    "confirm": (forms.CONFIRM, events.confirm),
    "deposit": (forms.DEPOSIT, events.pay_deposit),
    "backorder": (forms.BACKORDER, events.backorder),
    "substitute": (forms.SUBSTITUTE, events.propose),
    "pallets": (forms.PALLETS, arrivals.pallets_back),
}


@router.post("/{order_id}/said/{what}")
async def said(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID, what: str) -> Response:
    """What the supplier said to it: confirmed, paid ahead, backordered, something else; pallets that went back."""
    if what not in SAID:
        raise NotFound("There is nothing of that kind to write down.")
    fields, service = SAID[what]
    return await of_order(
        request,
        office,
        job_id,
        order_id,
        what,
        fields,
        lambda view, values, order: service(office, view, order_id, values, order),
    )


@router.post("/{order_id}/call-off")
async def call_off(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """Call it off, with the reason."""

    def off(view: Sheet, values: Mapping[str, Any], order: Order) -> object:
        return events.call_off(office, view, order_id, values["called_off_why"], order)

    return await of_order(request, office, job_id, order_id, "call-off", forms.CALL_OFF, off)


def _drawing(found: Supply, order_id: str) -> str:
    """The plan with the spot of the order that is open; empty without one."""
    one = next((it.order for it in found.orders if str(it.order.id) == order_id), None)
    spot = found.spot(one) if one else None
    return svg(spot_drawing(found, spot)) if spot and spot.point else ""


def _give(_request: Request, office: Office, view: Sheet, focus: str) -> dict[str, Any]:
    kind, _, rest = focus.partition(":")
    key, _, act = rest.partition(":")
    found = supply(office, view)
    return {
        "supply": found,
        "opened": key if kind == "order" else "",
        "act": act,
        "sampled": rest if kind == "sample" else "",
        "deciding": rest if kind == "decide" else "",
        "may_send": may_send(found),
        "drawing": _drawing(found, key) if kind == "order" else "",
        "shots": [(one.id, one.caption or "no caption") for one in view.job.photos if one.when == "sample"],
        "length_text": lambda feet: "" if feet is None else length_text(feet, office.firm().system),
        "spots": [(one, name) for one, name, _ in spots(view.job)],
        "states": OrderState,
        "list_key": list_key,
        "lists": LISTS,
        "bought": bought_words,
        "packs": pack_words,
        "sent_words": sent_words,
        "counted": counted,
        "notes_of": notes_of,
        "heading": heading,
        "no_pdf": "" if pdf_available() else NO_PANGO,
        "who": office.who() if view.basis.firm.owner else "",
    }


register(SheetPage(key="orders", title="Orders", template="orders/page.html", give=_give, part_of="build"))
