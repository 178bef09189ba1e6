"""The worksheet of a machine of the firm's own: ownership and operation, from purchase to the rate of an hour."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.machine import OwnedMachine
from app.services import machines
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read, version_of
from app.web.forms.machines import MACHINE
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.routes.why import firm_why
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/prices/machine")


def _show(request: Request, office: Office, key: str, saved: Saved[Any] = NOTHING_SENT) -> Response:
    sheet = machines.machine_sheet(office, key)
    back = f"/prices/machine/{key}"
    return leaf(request, office, "prices/machine.html", {"sheet": sheet}, versions=sheet.own, back=back, saved=saved)


@router.get("/{key}")
async def show_machine(request: Request, office: OfficeHere, key: str) -> Response:
    """The worksheet; before it is saved, one to begin from."""
    return _show(request, office, key)


@router.post("/{key}")
async def save_machine(request: Request, office: OfficeHere, key: str) -> Response:
    """The worksheet as typed; it prices the machine."""
    form = await request.form()
    parsed = read(form, MACHINE, office.firm(), whole=True)
    given = {name: value for name, value in parsed.values.items() if value is not None}
    saved = save_form(
        parsed,
        lambda: machines.save_machine(office, key, version_of(form), OwnedMachine(**given), order_of(form, "")),
    )
    return _show(request, office, key, saved)


@router.get("/{key}/why/{figure}")
async def show_machine_why(request: Request, office: OfficeHere, key: str, figure: str) -> Response:
    """Where a figure of the worksheet comes from: beside it, or as a page of its own without script."""
    return firm_why(request, office, machines.explained_machine(office, key, figure[:60]), f"/prices/machine/{key}")
