"""The palette: finishes by role and zone, chosen from a sample."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.lying_drawing import board_svg, boards_svg
from app.documents.swatches import palette_of, palette_svg
from app.domain.errors import NotFound
from app.domain.palette.advice import sale_is_near
from app.domain.palette.seasons import by_season
from app.domain.palette.seen_in import LOOKS
from app.services import palette
from app.services.finish_prices import finish_prices
from app.services.office import Office
from app.services.palette import Chosen
from app.services.palette_advice import advice_of, tiles_on
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.forms.fields import day, order_of, read, text, thing
from app.web.forms.saving import save_form
from app.web.rendering import page, svg, wants_fragment
from app.web.routes.palette_photo import note_of, sample_photos
from app.web.sheet_pages import NOTHING_SENT, SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/palette")

CHOSEN = (
    text("role", "For what", required=True),
    text("material", "The finish", required=True),
    thing("zone_id", "Where"),
    day("chosen_on", "Chosen on"),
    text("chosen_by", "Chosen by"),
    text("sample", "From which sample"),
)


@router.get("")
async def show_palette(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The palette sheet."""
    return show(request, office, job_id, "palette", focus=focus)


@router.get("/prices")
async def show_prices(request: Request, office: OfficeHere, job_id: UUID, role: str = "") -> Response:
    """What each finish of a role does to the price: for htmx what stands beside the samples, else the sheet with it."""
    role = role[:60]
    if not wants_fragment(request):
        return show(request, office, job_id, "palette", focus=f"role:{role}")
    prices = finish_prices(office, sheet(office, job_id), role)
    told = {"prices": prices, "role": role, "why": f"/jobs/{job_id}/why/"}
    return page(request, "palette/_finish_prices.html", told)


@router.post("/choose")
async def choose(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A finish chosen for a zone or everywhere."""
    form = await request.form()
    parsed = read(form, CHOSEN, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: palette.choose(office, job_id, Chosen(**parsed.values), order_of(form, "A finish"))
    )
    after = "recorded" if saved.ok else "role"  # what was recorded is said, and the next finish lies open
    return show(request, office, job_id, "palette", focus=f"{after}:{str(form.get('role', ''))[:60]}", saved=saved)


@router.get("/lying.svg")
async def lying(office: OfficeHere, job_id: UUID) -> Response:
    """Swatches as they will lie, dry and wet, by day and at dusk: one drawing."""
    drawn = boards_svg(tiles_on(office, sheet(office, job_id)))
    if not drawn:
        raise NotFound("No zone has a surface with a color yet.")
    return Response(drawn, media_type="image/svg+xml")


def _boards(office: Office, view: Sheet) -> list[tuple[str, Any]]:
    tiles = tiles_on(office, view)
    drawn = ((look.words, board_svg(tiles, look, name=f"lies-{place}")) for place, look in enumerate(LOOKS))
    return [(words, svg(markup)) for words, markup in drawn if markup]


def _give(request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    cards, swatches = palette.palette(view), palette_of(view.job, view.basis)
    recorded = next((card for card in cards if focus == f"recorded:{card.role}"), None)
    asked = next((card for card in cards if focus == f"role:{card.role}"), None)
    return {
        "cards": cards,
        "recorded": recorded,
        "prices": finish_prices(office, view, asked.role) if asked and request.url.path.endswith("/prices") else (),
        "card": palette.next_open(cards, recorded) if recorded else asked,
        "strip": svg(palette_svg(swatches)),
        "narrow_strip": svg(palette_svg(swatches, width_px=350, name="palette-narrow")),
        "advice": advice_of(office, view),
        "boards": _boards(office, view),
        "seasons": by_season(view.job, view.basis),
        "picked": note_of(request, office, view, focus),
        "photos": sample_photos(view),
        "sale_near": sale_is_near(view.job),
        "to_choose": sum(card.open_uses for card in cards),
        "today": office.today(),
        "none_sent": NOTHING_SENT,
    }


register(SheetPage(key="palette", title="Palette", template="palette/page.html", give=_give))
