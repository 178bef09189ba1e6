"""Backups: the last one, where they lie, make one now, to another folder as well; the portable one for a new laptop."""

from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import backup_folder
from app.services.backups import Manifest
from app.services.office import Office
from app.services.portable import About
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, read, text
from app.web.forms.saving import Saved, save_form_async
from app.web.rendering import go, page
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/backups")
FOLDER = (text("folder", "Folder", required=True, most=400),)
LAPTOP = (text("laptop", "Folder", required=True, most=400), text("passphrase", "Passphrase", most=200))


def _show(request: Request, office: Office, *, made: str = "", saved: Saved[Any] = NOTHING_SENT) -> Response:
    context = {"view": backup_folder.look(office), "made": made, "saved": saved, "now": office.clock()}
    return page(request, "backups/page.html", context, status=saved.status)


@router.get("")
async def show_backups(request: Request, office: OfficeHere, made: str = "") -> Response:
    """What there is."""
    return _show(request, office, made=made[:80])


@router.post("/make")
async def make_now(request: Request, office: OfficeHere) -> Response:
    """One now, into the folder where they make themselves."""
    saved = await save_form_async(Parsed(), lambda: backup_folder.make(office))
    return go(request, "/backups?made=here") if saved.ok else _show(request, office, saved=saved)


@router.post("/elsewhere")
async def make_elsewhere(request: Request, office: OfficeHere) -> Response:
    """One that holds everything, into another folder."""
    parsed = read(await request.form(), FOLDER, office.firm(), whole=True)

    async def make() -> Manifest:
        return await backup_folder.make(office, Path(parsed.values["folder"].strip()))

    saved = await save_form_async(parsed, make)
    return go(request, "/backups?made=elsewhere") if saved.ok else _show(request, office, saved=saved)


@router.post("/portable")
async def make_portable(request: Request, office: OfficeHere) -> Response:
    """The portable one, for a new laptop."""
    parsed = read(await request.form(), LAPTOP, office.firm(), whole=True)
    given = parsed.values

    async def make() -> About:
        return await backup_folder.make_portable(office, Path(given["laptop"].strip()), given["passphrase"] or "")

    saved = await save_form_async(parsed, make)
    return go(request, "/backups?made=portable") if saved.ok else _show(request, office, saved=saved)
