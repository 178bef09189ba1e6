"""The build sheet: what is ordered of whom by when, the crew sheets, and both on paper."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.domain.ordering import standings
from app.interchange.order_sheets import LISTS, bought_words, heading, notes_of, order_csv, order_text
from app.services import build, ready_to_build, waiting
from app.services.checks import Going
from app.services.daily_log import daily_log
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.supply import of_list, supply
from app.web.access import OfficeHere
from app.web.crew_screens import crew_screen, layout_screen, printed
from app.web.forms.fields import Parsed, order_of, read, text
from app.web.forms.saving import save_form
from app.web.rendering import handed_out
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/build")

BEGIN = (
    text("finding", "Point", required=True, most=4_000),
    text("by", "Your name", required=True),
    text("reason", "Why the crew may begin", required=True, most=1_000),
)
GO_ON = (text("by", "Your name", required=True), text("reason", "Why it need not wait", required=True, most=1_000))


@router.get("")
async def show_build(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The build sheet."""
    return show(request, office, job_id, "build", focus=focus)


@router.get("/order.pdf")
async def order_on_paper(request: Request, office: OfficeHere, job_id: UUID, only: str = "") -> Response:
    """The order lists as a PDF: all, or the one of a supplier."""
    made = build.order_pdf(office, sheet(office, job_id), only[:200])
    return await printed(request, made, f"order-list-{job_id}.pdf")


@router.get("/order.csv")
async def order_table(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """All order lines as a table for a spreadsheet."""
    found = supply(office, sheet(office, job_id))
    table = order_csv(found.build.orders, found.said_of).encode("utf-8-sig")
    return handed_out(request, table, f"order-list-{job_id}.csv", "text/csv")


@router.get("/order.txt")
async def order_plain(request: Request, office: OfficeHere, job_id: UUID, only: str = "") -> Response:
    """Order lists as plain text, to copy into a message."""
    view = sheet(office, job_id)
    made, lists = build.orders_of(office, view, only[:200])
    words = order_text(lists, view.job.head.title, made.not_before)
    return handed_out(request, words.encode(), f"order-list-{job_id}.txt", "text/plain; charset=utf-8")


@router.post("/go-on/{revision_id}")
async def go_on(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """Order and start before the days to cancel are over, with name and reason."""
    form = await request.form()
    parsed = read(form, GO_ON, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: waiting.go_on(
            office,
            job_id,
            str(revision_id),
            Going(by=parsed.values["by"], reason=parsed.values["reason"]),
            order_of(form, "Goes on"),
        ),
    )
    return show(request, office, job_id, "build", saved=saved)


@router.post("/wait-again/{settlement_id}")
async def wait_again(request: Request, office: OfficeHere, job_id: UUID, settlement_id: UUID) -> Response:
    """Orders and crews wait after all."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: waiting.wait_again(office, job_id, settlement_id, order_of(form, "Waits")))
    return show(request, office, job_id, "build", saved=saved)


@router.post("/go-on")
async def begin_all_the_same(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The crew begins in spite of a point, with name and reason."""
    form = await request.form()
    parsed = read(form, BEGIN, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: ready_to_build.go_on(
            office,
            job_id,
            parsed.values["finding"],
            Going(by=parsed.values["by"], reason=parsed.values["reason"]),
            order_of(form, "Goes on"),
        ),
    )
    return show(request, office, job_id, "build", saved=saved)


@router.get("/crew/{key}.pdf")
async def crew_on_paper(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """Crew sheets as a PDF: all, the general works, or one zone's."""
    made = build.crew_pdf(office, sheet(office, job_id), key)
    return await printed(request, made, f"crew-sheet-{job_id}.pdf")


@router.get("/crew/{key}")
async def crew_on_screen(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """Crew sheets on a phone: no bar, no price, nothing of ours."""
    return crew_screen(request, office, sheet(office, job_id), key, f"/jobs/{job_id}/build")


@router.get("/layout.pdf")
async def layout_on_paper(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The layout sheet as a PDF."""
    return await printed(request, build.layout_pdf(office, sheet(office, job_id)), f"layout-sheet-{job_id}.pdf")


@router.get("/layout")
async def layout_on_screen(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The layout sheet on a phone: every stake by coordinates, baseline and two tapes."""
    return layout_screen(request, office, sheet(office, job_id), f"/jobs/{job_id}/build")


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    orders, made = standings(view.job), build.build_sheet(office, view)
    return {
        "build": made,
        "ready": ready_to_build.ready_to_build(office, view, made),
        "placed": lambda one: [it for it in orders if of_list(it.order, one)],
        "log": daily_log(office, view) if view.job.logged_hours else None,
        "list_key": build.list_key,
        "crew_key": build.crew_key,
        "lists": LISTS,
        "bought": bought_words,
        "notes_of": notes_of,
        "heading": heading,
        "no_pdf": "" if pdf_available() else NO_PANGO,
        "who": office.who() if view.basis.firm.owner else "",
        "wait_source": waiting.SOURCE,
    }


register(SheetPage(key="build", title="Build", template="build/page.html", give=_give))
