"""A client erased: what goes, what stays and until when; the erasings there were, and signed papers left behind."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.backup_plan import DAILY, HOURLY, MONTHLY
from app.services import erasing, passcode
from app.services.erasing import Wish
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.asked_again import PASSCODE, proved
from app.web.forms.fields import order_of, read, text, yes
from app.web.forms.saving import Saved, save_form_async
from app.web.rendering import go, handed_out, page
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter()
WISH = (text("name", "Name"), yes("papers", "The signed papers, too"), text("reason", "Why", most=300), PASSCODE)
WHY = (text("reason", "Why", most=300), PASSCODE)
HERE = "/firm/erased"


@router.get("/jobs/{job_id}/erase")
async def ask_erase(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What would go, what would stay, and until when."""
    return _ask(request, office, job_id)


@router.post("/jobs/{job_id}/erase")
async def erase(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Erase the client of this job."""
    form = await request.form()
    parsed = read(form, WISH, office.firm(), whole=True)
    typed = parsed.values

    async def erased() -> None:
        await proved(request, office, typed["passcode"])
        wish = Wish(name=typed["name"] or "", papers=bool(typed["papers"]), reason=typed["reason"] or "")
        erasing.erase(office, job_id, wish, order_of(form, ""))

    saved = await save_form_async(parsed, erased)
    return go(request, f"{HERE}?done=yes") if saved.ok else _ask(request, office, job_id, saved)


@router.get(HERE)
async def show_erased(request: Request, office: OfficeHere, done: str = "") -> Response:
    """Every erasing, and the signed papers that were left behind."""
    return _show(request, office, done=bool(done))


@router.post(HERE + "/{job_id}/papers")
async def erase_papers(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Erase the signed papers of a job whose client was erased."""
    form = await request.form()
    parsed = read(form, WHY, office.firm(), whole=True)
    typed = parsed.values

    async def erased() -> None:
        await proved(request, office, typed["passcode"])
        erasing.erase_papers(office, job_id, typed["reason"] or "", order_of(form, ""))

    saved = await save_form_async(parsed, erased)
    return go(request, f"{HERE}?done=yes") if saved.ok else _show(request, office, saved, at=job_id)


@router.get(HERE + "/{revision_id}/paper")
async def left_paper(request: Request, office: OfficeHere, revision_id: UUID) -> Response:
    """A signed copy that was left behind."""
    return handed_out(request, erasing.hand_out_left(office, revision_id), "signed.pdf", "application/pdf")


def _ask(request: Request, office: Office, job_id: UUID, saved: Saved[Any] = NOTHING_SENT) -> Response:
    context = {
        "view": erasing.outlook(office, job_id),
        "job_id": job_id,
        "saved": saved,
        "asks": passcode.is_set(office),
        "kept_for": (HOURLY, DAILY, MONTHLY),
    }
    return page(request, "erasing/page.html", context, status=saved.status)


def _show(
    request: Request, office: Office, saved: Saved[Any] = NOTHING_SENT, *, done: bool = False, at: UUID | None = None
) -> Response:
    context = {
        "erased": erasing.erased(office),
        "papers": erasing.left_behind(office),
        "saved": saved,
        "at": str(at or ""),
        "done": done,
        "asks": passcode.is_set(office),
    }
    return page(request, "erasing/list.html", context, status=saved.status)
