"""What the firm knows from its jobs: the hub, and papers that are being read for its pages."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import address_search, kept_papers, under_way
from app.services.book import own
from app.web.access import OfficeHere
from app.web.leaf_pages import leaf
from app.web.rendering import go, page, wants_fragment

HERE = "/firm/known"
router = APIRouter(prefix=HERE)
PAGES = {"taught": "/firm/taught"}


@router.get("")
async def show_known(request: Request, office: OfficeHere) -> Response:
    """The hub."""
    return leaf(request, office, "known/page.html", {}, versions=own(office, "firm"), back=HERE)


@router.get("/addresses")
async def show_addresses(request: Request, office: OfficeHere, search: str = "", job: str = "") -> Response:
    """An address search, and what is known of the job that was opened."""
    context = {"it": address_search.search(office, search[: address_search.LONGEST], job), "here": "addresses"}
    return leaf(
        request, office, "known/addresses.html", context, versions=own(office, "firm"), back=f"{HERE}/addresses"
    )


@router.get("/read")
async def read(request: Request, office: OfficeHere, back: str = "", again: bool = False) -> Response:
    """Read papers; how far that is for htmx, else the page that waits for them once it is done."""
    wait = under_way.WAIT if wants_fragment(request) else None
    reading = await kept_papers.caught_up(office, wait=wait, again=again)
    if reading is None or not wants_fragment(request):
        return go(request, PAGES.get(back, HERE))
    return page(request, "known/_reading.html", {"reading": reading, "here": back if back in PAGES else ""})


@router.post("/read/stop")
async def stop(request: Request, office: OfficeHere) -> Response:
    """Reading is stopped; what was read stays."""
    kept_papers.stop(office)
    return go(request, HERE)
