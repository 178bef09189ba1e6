"""Crew sheets and the layout sheet on a screen and on paper, as the office and the field both open them."""

from fastapi import Request
from fastapi.responses import Response

from app.documents.pdf import PdfOrder, pdf_payload
from app.documents.tongues import tongue
from app.services import build
from app.services.office import Office
from app.services.sheets import Sheet
from app.web.crew_language import language_of
from app.web.rendering import handed_out, page, svg
from app.worker.running import run_in_worker


def crew_screen(request: Request, office: Office, view: Sheet, key: str, home: str) -> Response:
    """Crew sheets: no bar, no price, nothing of ours. `home` is the address they hang below."""
    stands, pages = build.crew_pages(office, view, key, tongue(language_of(request)))
    shown = [(one, svg(one.drawing)) for one in pages]
    context = {"job": stands.job, "signed": stands.signed, "pages": shown, "key": key, "home": home}
    return page(request, "build/crew.html", context)


def layout_screen(request: Request, office: Office, view: Sheet, home: str) -> Response:
    """The layout sheet: every stake by coordinates, baseline and two tapes."""
    stands, made = build.layout_sheet(office, view)
    drawing = svg(made.drawing) if made.drawing else ""
    context = {"job": stands.job, "signed": stands.signed, "one": made, "drawing": drawing, "home": home}
    return page(request, "build/layout.html", context)


async def printed(request: Request, order: PdfOrder, name: str) -> Response:
    """A paper made by the worker."""
    content = await run_in_worker("pdf", pdf_payload(order))
    return handed_out(request, content, name, "application/pdf")
