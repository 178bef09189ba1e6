"""Lights: the circuits that follow from where lights stand on the plan, taken into their recipes."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import fed_lights, placed_lights
from app.services.office import Office
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_as_read, order_of, read
from app.web.forms.lights import FED
from app.web.forms.saving import save_form
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/lights")


@router.get("")
async def show_lights(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """Every transformer with the lights it feeds."""
    return show(request, office, job_id, "lights", focus=focus[:90])


@router.post("/feature/{light_id}")
async def feed_light(request: Request, office: OfficeHere, job_id: UUID, light_id: UUID) -> Response:
    """What feeds a light and what it takes, said by hand, or what a transformer's cables follow; nothing: found."""
    form = await request.form()
    parsed = read(form, FED, office.firm())
    order = order_as_read(form, "Light")
    saved = save_form(parsed, lambda: fed_lights.feed(office, job_id, light_id, parsed.values, order))
    return show(request, office, job_id, "lights", focus=f"light:{light_id}", saved=saved)


@router.post("/take")
async def take_circuits(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The cables of the plan put into the recipes."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: placed_lights.take_circuits(office, job_id, order_of(form, "Cables")))
    return show(request, office, job_id, "lights", saved=saved)


def _give(_request: Request, _office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    return {
        "feeding": fed_lights.feed_note(view, focus),
        "lit": placed_lights.lights_page(view),
        "mountings": placed_lights.MOUNTINGS,
    }


register(SheetPage(key="lights", title="Lights", template="lights/page.html", give=_give, part_of="plan"))
