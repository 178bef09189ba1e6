"""Two revisions line by line: any two of the draft and what was offered; on paper, too."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import pdf_payload
from app.services.comparing import compare_view, compared_ids
from app.services.comparing_pages import compare_pdf, moved_chart
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.rendering import handed_out, svg
from app.web.sheet_pages import SheetPage, register, show
from app.worker.running import run_in_worker

router = APIRouter(prefix="/jobs/{job_id}")


@router.get("/compare")
async def show_compare(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Two standings side by side; none named: the newest proposal and the draft."""
    return show(request, office, job_id, "compare")


@router.get("/compare.pdf")
async def compare_on_paper(
    request: Request, office: OfficeHere, job_id: UUID, before: str = "", after: str = ""
) -> Response:
    """The same on paper, for the firm's own file."""
    view = sheet(office, job_id)
    it = compare_view(office, view, compared_ids(before), compared_ids(after))
    content = await run_in_worker("pdf", pdf_payload(compare_pdf(office, view, it)))
    return handed_out(request, content, f"two-revisions-{job_id}.pdf", "application/pdf")


def _give(request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    asked = (compared_ids(request.query_params.get(name, "")) for name in ("before", "after"))
    it = compare_view(office, view, *asked)
    pairs = [(one.key, one.title) for one in it.stands]
    return {"it": it, "pairs": pairs, "chart": svg(moved_chart(view, it)) if it.comparison else ""}


register(SheetPage(key="compare", title="Two revisions", template="compare/page.html", give=_give, part_of="estimate"))
