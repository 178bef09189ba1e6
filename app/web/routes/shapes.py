"""The plan's shapes in files: taken out as SVG or WKT, brought in from a drawing and chosen one by one."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData, UploadFile

from app.documents.found_shapes import found_svg
from app.interchange.drawn_shapes_in import LARGEST, MOST_SHAPES, Found, shapes_in
from app.interchange.plan_out import plan_as_svg, plan_as_wkt
from app.services import bringing_in, jobs
from app.services.bringing_in import BECOMES, Chosen
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, length, order_of, read
from app.web.forms.saving import Saved, save_form
from app.web.rendering import go, page, svg
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/jobs/{job_id}/plan")
SIZES = (length("unit", "One unit of the drawing"), length("width", "Width of all of it"))
Looked = tuple[list[Chosen], tuple[str, ...]]  # the shapes, and how they were read
LONGEST_NAME, LONGEST_SHAPE = 200, 200_000  # characters


@router.get("/shapes.svg")
async def shapes_svg(office: OfficeHere, job_id: UUID) -> Response:
    """All outlines and lines as a plain SVG at full size."""
    return _file(plan_as_svg(jobs.open_job(office, job_id).job), "plan.svg", "image/svg+xml")


@router.get("/shapes.csv")
async def shapes_wkt(office: OfficeHere, job_id: UUID) -> Response:
    """All outlines and lines as a table of curve WKT."""
    return _file(plan_as_wkt(jobs.open_job(office, job_id).job), "plan-wkt.csv", "text/csv; charset=utf-8")


def _file(content: bytes, name: str, kind: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"', "cache-control": "no-store"}
    return Response(content, media_type=kind, headers=headers)


@router.get("/bring-in")
async def ask(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Which drawing, and how large it is."""
    return _asked(request, office, job_id, NOTHING_SENT)


@router.post("/bring-in")
async def look(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What was found in the drawing; nothing is saved yet."""
    async with request.form() as form:
        content = await _content(form)
        parsed = read(form, SIZES, office.firm(), whole=True)
    values = parsed.values
    saved = save_form(parsed, lambda: shapes_in(content, unit=values["unit"], width=values["width"]))
    if saved.result is None:
        return _asked(request, office, job_id, saved)
    return _shown(request, office, job_id, (_listed(saved.result), saved.result.notes), NOTHING_SENT)


async def _content(form: FormData) -> bytes:
    sent = form.get("file")
    if isinstance(sent, UploadFile) and sent.filename:
        return await sent.read(LARGEST + 1)
    return str(form.get("pasted", "")).encode()


@router.post("/bring-in/keep")
async def keep(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The chosen shapes put on the plan."""
    form = await request.form()
    chosen = list(_chosen(form))
    saved = save_form(Parsed(), lambda: bringing_in.take_over(office, job_id, chosen, order_of(form, "Shapes")))
    if saved.ok:
        return go(request, f"/jobs/{job_id}/plan")
    return _shown(request, office, job_id, (chosen, ()), saved)


def _chosen(form: FormData) -> list[Chosen]:
    found = []
    for number in range(MOST_SHAPES):
        wkt = str(form.get(f"wkt.{number}", ""))[:LONGEST_SHAPE]
        becomes = str(form.get(f"becomes.{number}", ""))
        if wkt and becomes in BECOMES:
            name = str(form.get(f"name.{number}", ""))[:LONGEST_NAME].strip()
            found.append(Chosen(name=name, wkt=wkt, becomes=becomes))
    return found


def _asked(request: Request, office: OfficeHere, job_id: UUID, saved: Saved[Any]) -> Response:
    context = {"job": jobs.open_job(office, job_id).job, "saved": saved, "found": None}
    return page(request, "plan/bring_in.html", context, status=saved.status)


def _listed(found: Found) -> list[Chosen]:
    """What was found, each as what such shapes mostly are."""
    return [Chosen(name=one.name, wkt=one.wkt, becomes="zone" if one.closed else "run") for one in found.shapes]


def _shown(request: Request, office: OfficeHere, job_id: UUID, looked: Looked, saved: Saved[Any]) -> Response:
    shapes, notes = looked
    context = {
        "job": jobs.open_job(office, job_id).job,
        "saved": saved,
        "found": shapes,
        "notes": notes,
        "drawing": svg(found_svg([one.wkt for one in shapes])),
    }
    return page(request, "plan/bring_in.html", context, status=saved.status)
