"""The plan on paper, true to scale."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import pdf_payload
from app.services.plan_print import plan_pdf
from app.services.sheets import sheet
from app.web.access import OfficeHere
from app.web.rendering import handed_out
from app.worker.running import run_in_worker

router = APIRouter(prefix="/jobs/{job_id}/plan")


@router.get("/print.pdf")
async def plan_on_paper(
    request: Request, office: OfficeHere, job_id: UUID, paper: str = "", scale: str = ""
) -> Response:
    """Today's plan at a scale on a paper; neither named: the firm's paper, the largest scale that fits."""
    made = plan_pdf(office, sheet(office, job_id), paper=paper[:20], scale=scale[:20])
    content = await run_in_worker("pdf", pdf_payload(made))
    return handed_out(request, content, f"plan-{job_id}.pdf", "application/pdf")
