"""What the firm knows from its jobs: the hub, an address search, hours, wins, margins, crews, prices that moved."""

from collections.abc import Callable, Mapping
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import address_search, callbacks, kept_papers, known, known_explained, under_way
from app.services.book import own
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.leaf_pages import leaf
from app.web.rendering import go, handed_out, page, wants_fragment
from app.web.routes.why import firm_why

HERE = "/firm/known"
router = APIRouter(prefix=HERE)
PAGES = {
    "taught": "/firm/taught",
    "waste": "/firm/waste",
    **{name: f"{HERE}/{name}" for name in ("hours", "margins", "crews", "calls")},
}
TABLES: Mapping[str, Callable[[Office], bytes]] = {
    "hours": known_explained.hours_table,
    "wins": known_explained.wins_table,
    "margins": known_explained.margins_table,
    "crews": known_explained.crews_table,
    "calls": callbacks.calls_table,
}


def _page(request: Request, office: Office, name: str, context: Mapping[str, Any]) -> Response:
    values = {"here": name, **context}
    at = f"{HERE}/{name}" if name != "page" else HERE
    return leaf(request, office, f"known/{name}.html", values, versions=own(office, "firm"), back=at)


@router.get("")
async def show_known(request: Request, office: OfficeHere) -> Response:
    """The hub."""
    return _page(request, office, "page", {})


@router.get("/addresses")
async def show_addresses(request: Request, office: OfficeHere, search: str = "", job: str = "") -> Response:
    """An address search, and what is known of the job that was opened."""
    found = address_search.search(office, search[: address_search.LONGEST], job)
    return _page(request, office, "addresses", {"it": found})


@router.get("/hours")
async def show_hours(request: Request, office: OfficeHere) -> Response:
    """Hours against the bid."""
    reading = await kept_papers.caught_up(office)
    return _page(request, office, "hours", {"it": known.known_hours(office), "reading": reading})


@router.get("/wins")
async def show_wins(request: Request, office: OfficeHere) -> Response:
    """Who signs, by how they found us and by price."""
    return _page(request, office, "wins", {"it": known.known_wins(office)})


@router.get("/margins")
async def show_margins(request: Request, office: OfficeHere) -> Response:
    """Margin bid and made."""
    reading = await kept_papers.caught_up(office)
    return _page(request, office, "margins", {"it": known.known_margins(office), "reading": reading})


@router.get("/crews")
async def show_crews(request: Request, office: OfficeHere) -> Response:
    """How full the crews are in the weeks ahead."""
    reading = await kept_papers.caught_up(office)
    return _page(request, office, "crews", {"it": known.known_crews(office), "reading": reading})


@router.get("/calls")
async def show_calls(request: Request, office: OfficeHere) -> Response:
    """Calls after hand-over."""
    reading = await kept_papers.caught_up(office)
    return _page(request, office, "calls", {"it": callbacks.known_calls(office), "reading": reading})


@router.get("/prices")
async def show_prices(request: Request, office: OfficeHere) -> Response:
    """Changes of the price book."""
    return _page(request, office, "prices", {"changes": known.price_changes(office)})


@router.get("/{name}.csv")
async def table(request: Request, office: OfficeHere, name: str) -> Response:
    """A page as a table; any other name leads to the hub."""
    made = TABLES.get(name)
    return handed_out(request, made(office), f"{name}.csv", "text/csv") if made else go(request, HERE)


@router.get("/why/{figure}")
async def show_why(request: Request, office: OfficeHere, figure: str) -> Response:
    """Where a figure comes from: beside it, or as a page of its own without script."""
    return firm_why(request, office, known_explained.explained(office, figure[:120]), HERE)


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
