"""The site: lot and house, doors, private lines, what stands there today, photos."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.plan_drawing import plan_svg
from app.domain.job import EXISTING_KINDS, LIMITED, LOT_SIDES, UTILITIES, Answer, Fate
from app.domain.plan.lines import typed_line
from app.domain.plan.shapes import typed_place
from app.domain.takeoff.ground import mark_places
from app.domain.takeoff.sprinkled import sprinkled
from app.domain.takeoff.thresholds import threshold_of
from app.domain.units import format_share
from app.services import lot_limits, photos, site, sprinklers
from app.services.marks import places_by_name
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.slowing import slowing_rows
from app.services.things import thing_of
from app.web.access import OfficeHere
from app.web.change_words import what_of
from app.web.forms.fields import Parsed, order_of, read, version_of
from app.web.forms.outlines import length_text, texts, with_marks
from app.web.forms.saving import save_form
from app.web.forms.things import FORMS
from app.web.forms.with_file import save_with_file
from app.web.pictures import picture_answer
from app.web.rendering import svg
from app.web.sheet_pages import NOTHING_SENT, SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}")

SOILS = (("sand", "Sand"), ("loam", "Loam"), ("clay", "Clay"), ("rock", "Rock"), ("fill", "Fill"))
FATES = tuple((fate.value, fate.value.capitalize()) for fate in Fate)


@router.get("/site")
async def show_site(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The site sheet."""
    return show(request, office, job_id, "site", focus=focus)


@router.post("/site/existing/new")
async def add_existing(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Something that stands there today; its fate prices itself."""
    form = await request.form()
    fields = with_marks(FORMS["existing"], places_by_name(office, job_id))
    parsed = read(form, fields, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: site.add_existing(office, job_id, parsed.values, order_of(form, "What stands there"))
    )
    return show(request, office, job_id, "site", focus=f"existing:{saved.result or 'new'}", saved=saved)


@router.post("/site/existing/{thing_id}")
async def change_existing(request: Request, office: OfficeHere, job_id: UUID, thing_id: UUID) -> Response:
    """Its measures or its fate; another fate swaps the recipe that prices it."""
    form = await request.form()
    parsed = read(form, with_marks(FORMS["existing"], places_by_name(office, job_id)), office.firm())
    what = what_of("existing", thing_of(office, job_id, "existing", thing_id), parsed.values, "What stands there")
    saved = save_form(
        parsed,
        lambda: site.change_existing(office, job_id, thing_id, parsed.values, version_of(form), order_of(form, what)),
    )
    return show(request, office, job_id, "site", focus=f"existing:{thing_id}", saved=saved)


@router.post("/site/photo/new")
async def add_photo(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A picture from the phone, taken in without its place."""
    saved = await save_with_file(
        request,
        office,
        FORMS["photo"],
        "Photo",
        lambda parsed, content, order: photos.add_photo(office, job_id, content, parsed.values, order),
    )
    return show(request, office, job_id, "site", focus="photo:new", saved=saved)


@router.post("/site/setbacks-of/{other_id}")
async def setbacks_of_town(request: Request, office: OfficeHere, job_id: UUID, other_id: UUID) -> Response:
    """The setbacks that were typed for another yard of the town."""
    form = await request.form()
    saved = save_form(
        Parsed(), lambda: lot_limits.take_from_town(office, job_id, other_id, order_of(form, "Setbacks of the town"))
    )
    return show(request, office, job_id, "site", saved=saved)


@router.get("/photos/{photo_id}")
async def photo_file(office: OfficeHere, job_id: UUID, photo_id: UUID) -> Response:
    """A picture of this job; its bytes never change."""
    return picture_answer(photos.read_photo(office, job_id, photo_id))


@router.get("/photos/{photo_id}/small")
async def small_photo(office: OfficeHere, job_id: UUID, photo_id: UUID) -> Response:
    """The same picture, small enough for a list of many."""
    return picture_answer(await photos.read_small(office, job_id, photo_id))


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    job, firm = view.job, view.basis.firm
    lines, marks = site.private_lines(job.site), mark_places(job)
    return {
        "site": job.site,
        "before": sorted(
            (one for one in job.photos if one.when == "before"),
            key=lambda one: (one.taken or date.max, one.caption, one.file),
        ),
        "lines": lines,
        "known_lines": [line.title for line in lines if line.answer is Answer.YES],
        "unknown_lines": [line.title for line in lines if line.answer is Answer.UNKNOWN],
        "none_sent": NOTHING_SENT,
        "lead_before": site.LEAD_PAINT_BEFORE,
        "existing": site.existing_lines(view),
        "sprinklers": sprinklers.counts(sprinkled(job, view.basis)),
        "marks": [(str(mark.id), mark.title) for mark in job.marks],
        "thresholds": [threshold_of(job, one) for one in job.site.openings],
        "lead_paint": site.may_have_lead_paint(job.site),
        "drawing": svg(plan_svg(job, view.basis)) if job.site.house or job.site.lot else "",
        "house_off": next((one for one in view.findings if one.rule == "house-off-lot"), None),
        "lot_texts": texts(job.site.lot, "lot", firm, marks),
        "house_texts": texts(job.site.house, "house", firm, marks),
        "outline_texts": {thing.id: texts(thing.outline, "outline", firm, marks) for thing in job.existing},
        "lot_lines": lot_limits.named_lines(job),
        "setbacks": lot_limits.setback_rows(job),
        "of_the_town": lot_limits.of_the_town(office, job),
        "easement_rows": lot_limits.easement_lines(job),
        "easement_texts": {one.id: texts(one.outline, "outline", firm, marks) for one in job.easements},
        "limited": list(LIMITED.items()),
        "sides": list(LOT_SIDES.items()),
        "place_text": lambda point: typed_place(point, system=firm.system),
        "kinds": list(EXISTING_KINDS.items()),
        "kind_titles": EXISTING_KINDS,
        "utilities": list(UTILITIES.items()),
        "typed_line": lambda thing: typed_line(thing.points, thing.rises, system=firm.system, marks=marks),
        "fates": FATES,
        "slowing": slowing_rows(job, view.estimate.paying.slowing),
        "soils": SOILS,
        "coverage_text": "" if job.site.coverage_limit is None else format_share(job.site.coverage_limit),
        "phases": [(str(phase.id), f"{phase.number} {phase.title}") for phase in job.phases],
        "way_in_text": typed_place(job.site.way_in, system=firm.system, marks=marks) if job.site.way_in else "",
        "length_text": lambda feet: "" if feet is None else length_text(feet, firm.system),
    }


register(SheetPage(key="site", title="Site", template="site/page.html", give=_give))
