"""Devices: who is in and what each shows, a device let in by code, its name, its job, revoked at once."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.qr_codes import qr_svg
from app.domain.devices import UNSEEN_LEAST, UNSEEN_MOST, Face
from app.domain.sharing import Over
from app.services import book, devices, pairing, passcode
from app.services.devices import LONGEST_NAME
from app.services.devices_page import devices_sheet, pairing_now
from app.services.home import every_job
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.asked_again import PASSCODE, proved
from app.web.forms.fields import Field, choice, count, focus_of, order_of, read, text, thing, version_of
from app.web.forms.saving import Saved, save_form, save_form_async
from app.web.rendering import answer, page, svg, wants_fragment
from app.web.sharing import Sharing
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/firm/devices")
HERE = "/firm/devices"
FACES = ((Face.OURS, "Ours: everything"), (Face.FIELD, "Field: what is built, no money"), (Face.CLIENT, "Client’s"))
PAIR = (choice("face", "What it shows", Face), thing("job_id", "Job"))
NAME = (text("name", "Name of the device", most=LONGEST_NAME),)
ALLOW = (*NAME, PASSCODE)
NEW_PASSCODE = tuple(
    Field(name=name, label=label, reader=lambda typed, _firm: typed, empty="")
    for name, label in (("current", "The one so far"), ("new", "The passcode"), ("again", "The same again"))
)
UNSEEN = (
    count("unseen_days", "Days until a device is paired anew", least=UNSEEN_LEAST, most=UNSEEN_MOST, required=True),
    PASSCODE,
)
JOB = (thing("job_id", "Job", required=True),)


@router.get("")
async def show_devices(request: Request, office: OfficeHere) -> Response:
    """Who is in, and the pairing under way."""
    return _show(request, office)


@router.get("/pairing")
async def show_pairing(request: Request, office: OfficeHere) -> Response:
    """The pairing under way, alone: asked for again and again while a code waits to be typed."""
    if not wants_fragment(request):
        return _show(request, office)
    return page(request, "devices/_pairing.html", _context(request, office, NOTHING_SENT))


@router.post("/pair")
async def begin(request: Request, office: OfficeHere) -> Response:
    """Make a code for one device."""
    form = await request.form()
    parsed = read(form, PAIR, office.firm(), whole=True)
    face, job_id = Face(parsed.values.get("face") or Face.OURS), parsed.values.get("job_id")
    return _show(request, office, saved=save_form(parsed, lambda: pairing.begin(office, face, job_id)), focus="pair")


@router.post("/pairing/{pairing_id}/allow")
async def allow(request: Request, office: OfficeHere, pairing_id: UUID) -> Response:
    """The owner compared the words and lets the device in; the passcode is asked again."""
    form = await request.form()
    parsed = read(form, ALLOW, office.firm(), whole=True)
    name = parsed.values.get("name") or ""

    async def let_in() -> None:
        await proved(request, office, parsed.values["passcode"])
        pairing.allow(office, pairing_id, name, order_of(form, ""))

    return _show(request, office, saved=await save_form_async(parsed, let_in), focus="allow")


@router.post("/pairing/{pairing_id}/refuse")
async def refuse(request: Request, office: OfficeHere, pairing_id: UUID) -> Response:
    """Not this device, or no device after all."""
    parsed = read(await request.form(), (), office.firm())
    return _show(request, office, saved=save_form(parsed, lambda: pairing.refuse(office, pairing_id)), focus="allow")


@router.post("/unseen")
async def set_unseen(request: Request, office: OfficeHere) -> Response:
    """After how many days unseen a device is paired anew; the passcode is asked again."""
    form = await request.form()
    parsed = read(form, UNSEEN, office.firm(), whole=True)
    order = order_of(form, "Days until a device is paired anew")

    async def set_it() -> None:
        await proved(request, office, parsed.values["passcode"])
        fields = {"unseen_days": parsed.values["unseen_days"]}
        book.set_fields(office, "firm", office.firm_id, version_of(form), fields, order)

    return _show(request, office, saved=await save_form_async(parsed, set_it), focus="unseen")


@router.post("/passcode")
async def set_passcode(request: Request, office: OfficeHere) -> Response:
    """Set the passcode that turns a device back to ours; who sets another one types the one so far."""
    form = await request.form()
    parsed = read(form, NEW_PASSCODE, office.firm(), whole=True)
    typed = parsed.values

    async def set_it() -> None:
        await proved(request, office, typed["current"], field="current")
        await passcode.set_passcode(office, typed["new"], typed["again"], order_of(form, ""))

    return _show(request, office, saved=await save_form_async(parsed, set_it), focus="passcode")


@router.post("/passcode/remove")
async def drop_passcode(request: Request, office: OfficeHere) -> Response:
    """No passcode any more; the one so far is asked."""
    form = await request.form()
    parsed = read(form, NEW_PASSCODE, office.firm(), whole=True)

    async def drop() -> None:
        await proved(request, office, parsed.values["current"], field="current")
        passcode.take_away(office, order_of(form, ""))

    return _show(request, office, saved=await save_form_async(parsed, drop), focus="passcode")


@router.post("/{device_id}/revoke")
async def revoke(request: Request, office: OfficeHere, device_id: UUID) -> Response:
    """Shut a device out at once; the passcode is asked again."""
    form = await request.form()
    parsed = read(form, (PASSCODE,), office.firm(), whole=True)

    async def shut_out() -> None:
        await proved(request, office, parsed.values["passcode"])
        devices.revoke(office, device_id, order_of(form, ""))

    return _show(request, office, saved=await save_form_async(parsed, shut_out), focus=focus_of(form))


@router.post("/{device_id}/name")
async def rename(request: Request, office: OfficeHere, device_id: UUID) -> Response:
    """Call a device otherwise."""
    form = await request.form()
    parsed = read(form, NAME, office.firm(), whole=True)
    name = parsed.values.get("name") or ""
    saved = save_form(parsed, lambda: devices.rename(office, device_id, name, order_of(form, "")))
    return _show(request, office, saved=saved, focus=focus_of(form))


@router.post("/{device_id}/job")
async def bind(request: Request, office: OfficeHere, device_id: UUID) -> Response:
    """Bind a client's device to another job."""
    form = await request.form()
    parsed = read(form, JOB, office.firm(), whole=True)
    saved = save_form(parsed, lambda: devices.bind(office, device_id, parsed.values["job_id"], order_of(form, "")))
    return _show(request, office, saved=saved, focus=focus_of(form))


def _context(request: Request, office: Office, saved: Saved[Any], focus: str = "") -> dict[str, Any]:
    now = pairing_now(office)
    sharing: Sharing = request.app.state.sharing
    address = sharing.share.link(Over.SECURE) + "/pair" if sharing.share else ""
    code = f"{address}?code={now.code.replace(' ', '')}" if now and now.code and address else ""
    picture = svg(qr_svg(code, "The address with the code, for the device's camera")) if code else ""
    shown = {"now": now, "address": address, "picture": picture, "faces": FACES, "jobs": every_job(office)}
    return {"saved": saved, "focus": focus, "passcode_set": passcode.is_set(office), **shown}


def _show(request: Request, office: Office, *, saved: Saved[Any] = NOTHING_SENT, focus: str = "") -> Response:
    context = {
        **_context(request, office, saved, focus),
        "sheet": devices_sheet(office),
        "layout": "leaf_part.html" if wants_fragment(request) else "leaf.html",
    }
    whole = "devices/page.html"
    return answer(request, context, whole=whole, part=whole, status=saved.status, then=HERE)
