"""Shared edges of the plan: what is built where a zone meets a neighbor, steps where levels differ, the gap."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import deciding
from app.services.deciding import SCOPES, Where
from app.web.access import OfficeHere
from app.web.forms.drawn import feet
from app.web.forms.fields import choice, focus_of, length, order_of, read, text
from app.web.forms.saving import save_form
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}/plan")

PLACE = (text("neighbor", "Neighbor", required=True), feet("at_x", "Where"), feet("at_y", "Where"))
STEPS = (*PLACE, length("width", "Width of the steps"))
DECISION = (
    *PLACE,
    text("decision", "What is built", required=True),
    choice("scope", "For which edges", SCOPES, empty=deciding.NEIGHBOR),
)


@router.post("/zone/{zone_id}/edge")
async def decide_edge(request: Request, office: OfficeHere, job_id: UUID, zone_id: UUID) -> Response:
    """What is built where a zone meets a neighbor: along one stretch, all with it, or all that are alike."""
    form = await request.form()
    parsed = read(form, DECISION, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: deciding.decide_edge(
            office, job_id, zone_id, _where(parsed.values), parsed.values["decision"], order_of(form, "Edge")
        ),
    )
    return show(request, office, job_id, "plan", focus=focus_of(form) or f"zone:{zone_id}", saved=saved)


@router.post("/zone/{zone_id}/edge/steps")
async def put_steps(request: Request, office: OfficeHere, job_id: UUID, zone_id: UUID) -> Response:
    """Steps on a stretch, as many as its drop wants."""
    form = await request.form()
    parsed = read(form, STEPS, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: deciding.put_steps(
            office, job_id, zone_id, _where(parsed.values), parsed.values["width"], order_of(form, "Steps")
        ),
    )
    return show(request, office, job_id, "plan", focus=focus_of(form) or f"zone:{zone_id}", saved=saved)


def _where(values: Mapping[str, Any]) -> Where:
    x, y = values["at_x"], values["at_y"]
    at = None if x is None or y is None else (x, y)
    return Where(neighbor=values["neighbor"], at=at, scope=values.get("scope") or deciding.NEIGHBOR)
