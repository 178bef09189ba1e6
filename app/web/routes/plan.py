"""The plan: a new zone with its outline and first recipe, another way to do a zone."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.job import ZoneKind
from app.services import zones
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.zones import NewZone
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read, text
from app.web.forms.outlines import outline
from app.web.forms.saving import save_form
from app.web.forms.things import FORMS, MEASURED
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/plan")

NEW_ZONE = (
    *[field for field in FORMS["zone"] if field.name in {"title", "kind", "words"}],
    outline("outline", "Outline"),
    MEASURED,
    text("assembly", "Built as"),
)


@router.post("/zone/new")
async def add_zone(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A zone with its outline as typed and, where one is chosen, its first recipe."""
    form = await request.form()
    parsed = read(form, NEW_ZONE, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: zones.add_zone(office, job_id, NewZone(**parsed.values), order_of(form, "New zone"))
    )
    return show(request, office, job_id, "plan", focus=f"zone:{saved.result or 'new'}", saved=saved)


@router.post("/zone/{zone_id}/another-way")
async def add_alternative(request: Request, office: OfficeHere, job_id: UUID, zone_id: UUID) -> Response:
    """Another way to do a zone, begun as a copy of the chosen one."""
    form = await request.form()
    parsed = read(form, (text("title", "What this way is called", required=True),), office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: zones.copy_alternative(office, job_id, zone_id, parsed.values["title"], order_of(form, "Another way")),
    )
    return show(request, office, job_id, "plan", focus=f"zone:{zone_id}", saved=saved)


@router.get("")
async def show_plan(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The plan sheet."""
    return show(request, office, job_id, "plan", focus=focus)


def _give(_request: Request, _office: Office, view: Sheet, focus: str) -> dict[str, Any]:
    zone = next((zone for zone in view.job.zones if focus == f"zone:{zone.id}"), None)
    surfaces = [(key, one.title) for key, one in view.basis.assemblies.items() if one.measures == "zone"]
    return {"zone": zone, "kinds": [(kind.value, kind.value) for kind in ZoneKind], "surfaces": surfaces, "drawing": ""}


register(SheetPage(key="plan", title="Plan", template="plan/page.html", give=_give))
