"""Take a job along to another machine, and bring it back: looked into first, then merged."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData, UploadFile

from app.services import bringing_back, takings
from app.services.bringing_back import Look
from app.services.jobs import open_job
from app.services.office import Office
from app.services.opening_along import back_file
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.brought_words import told_of
from app.web.forms.fields import Parsed, order_of, read, text, version_of
from app.web.forms.saving import save_form, save_form_async
from app.web.rendering import go, handed_out
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/along")
TAKER = (text("name", "Who or what takes it along", most=80),)
REASON = (text("reason", "Why it will not come back", most=300),)
PICK = "pick:"


@router.get("")
async def show_along(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Where the job is, and what comes back."""
    return show(request, office, job_id, "along")


@router.post("")
async def take(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The job goes along: the file is made, and the job marked."""
    form = await request.form()
    parsed = read(form, TAKER, office.firm(), whole=True)
    order = order_of(form, "Take along")
    saved = save_form(parsed, lambda: takings.take_along(office, job_id, parsed.values["name"] or "", order))
    if saved.ok:
        return go(request, f"/jobs/{job_id}/along")
    return show(request, office, job_id, "along", saved=saved)


@router.get("/{taking_id}.zip")
async def hand_out_file(request: Request, office: OfficeHere, job_id: UUID, taking_id: UUID) -> Response:
    """The file the job left in, as it left."""
    one = takings.read(office, job_id, taking_id)
    name = f"job-{open_job(office, job_id).job.head.number}-along.zip"
    return handed_out(request, takings.file_of(office, one), name, "application/zip")


@router.get("/{taking_id}/back.zip")
async def hand_out_back(request: Request, office: OfficeHere, job_id: UUID, taking_id: UUID) -> Response:
    """On the machine it was taken to: the file it goes back in."""
    one = takings.read(office, job_id, taking_id)
    name = f"job-{open_job(office, job_id).job.head.number}-back.zip"
    return handed_out(request, back_file(office, job_id, one), name, "application/zip")


@router.post("/{taking_id}/lift")
async def lift(request: Request, office: OfficeHere, job_id: UUID, taking_id: UUID) -> Response:
    """It will not come back, and why."""
    form = await request.form()
    parsed = read(form, REASON, office.firm(), whole=True)
    order = order_of(form, "It will not come back")
    saved = save_form(parsed, lambda: takings.lift(office, job_id, taking_id, parsed.values["reason"] or "", order))
    if saved.ok:
        return go(request, f"/jobs/{job_id}/along")
    return show(request, office, job_id, "along", focus=str(taking_id), saved=saved)


@router.post("/bring-back")
async def bring_back(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The file that came back, looked into."""
    form = await request.form()
    content = await sent_file(form)
    saved = await save_form_async(Parsed(), lambda: bringing_back.receive(office, content))
    if saved.result is not None:
        return go(request, "/jobs/{}/along/brought/{}".format(*saved.result))
    return show(request, office, job_id, "along", saved=saved)


@router.get("/brought/{name}")
async def show_brought(request: Request, office: OfficeHere, job_id: UUID, name: str) -> Response:  # noqa: ARG001
    """What taking in the file would change."""
    return show(request, office, job_id, "brought")


@router.post("/brought/{name}")
async def take_in(request: Request, office: OfficeHere, job_id: UUID, name: str) -> Response:
    """Take it in, with a side picked for everything that was changed at both."""
    form = await request.form()
    picks = {key.removeprefix(PICK): str(value) for key, value in form.items() if key.startswith(PICK)}
    order = order_of(form, "Bring back")
    saved = save_form(
        Parsed(typed=picks), lambda: bringing_back.take_in(office, job_id, name, picks, version_of(form), order)
    )
    if saved.ok:
        return go(request, f"/jobs/{job_id}/along")
    return show(request, office, job_id, "brought", saved=saved)


async def sent_file(form: FormData) -> bytes:
    """The bytes of the file of a form; none where there is none."""
    sent = form.get("file")
    content = await sent.read() if isinstance(sent, UploadFile) else b""
    await form.close()
    return content


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    known = takings.of_job(office, view.job.head.id)
    return {
        "lent": [one for one in known if one.side == "lent"],
        "borrowed": next((one for one in known if one.side == "borrowed" and one.is_out), None),
    }


def _give_brought(request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    found: Look = bringing_back.look(office, view.job.head.id, str(request.path_params["name"]))
    told = told_of(office, view.job.head.id, found)
    return {"found": found, "told": told, "name": request.path_params["name"]}


register(SheetPage(key="along", title="Take along", template="along/page.html", give=_give, part_of="build"))
register(
    SheetPage(key="brought", title="Bring back", template="along/brought.html", give=_give_brought, part_of="build")
)
