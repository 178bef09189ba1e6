"""Colors from photos on the palette sheet: a photo sent, the white card and the stone tapped, a material that takes it.

A tap is what the browser sends for a picture that is a button (`white.x`, `white.y`): it works without script.
"""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.job import Photo
from app.services import photo_colors, photos
from app.services.office import Office
from app.services.photo_colors import Taps
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of, read, text
from app.web.forms.in_pieces import file_of, let_go
from app.web.forms.saving import save_form_async
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}/palette")
SHOWN = 320  # px: how wide a photo is shown to be tapped, on every screen
TALLEST = 640  # px
FIELDS = (text("material", "For which material", required=True),)


@router.post("/photo")
async def send_photo(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A photo of samples beside a white card."""
    async with request.form() as form:
        content = await file_of(office, form)
    values = {"when": "sample", "caption": "Samples beside a white card"}
    saved = await save_form_async(
        Parsed(), lambda: photos.add_photo(office, job_id, content, values, order_of(form, "Photo of samples"))
    )
    if saved.ok:
        let_go(office, form)
    return show(request, office, job_id, "palette", focus=f"photo:{saved.result or 'new'}", saved=saved)


@router.get("/photo/{photo_id}")
async def tapped(request: Request, office: OfficeHere, job_id: UUID, photo_id: UUID) -> Response:
    """The photo to tap, and the color once both places are tapped."""
    taps = request.state.taps = taps_of(request.query_params)
    saved = await save_form_async(Parsed(), lambda: photo_colors.pick(office, job_id, photo_id, taps))
    return show(request, office, job_id, "palette", focus=f"photo:{photo_id}", saved=saved)


@router.post("/photo/{photo_id}")
async def take(request: Request, office: OfficeHere, job_id: UUID, photo_id: UUID) -> Response:
    """A material takes the color at the taps."""
    form = await request.form()
    parsed = read(form, FIELDS, office.firm(), whole=True)
    taps = request.state.taps = taps_of({name: str(value) for name, value in form.items()})
    saved = await save_form_async(
        parsed,
        lambda: photo_colors.take(
            office, job_id, photo_id, taps, parsed.values["material"], order_of(form, "Color from a photo")
        ),
    )
    return show(request, office, job_id, "palette", focus="" if saved.ok else f"photo:{photo_id}", saved=saved)


def taps_of(sent: Mapping[str, str]) -> Taps:
    """Where the picture was tapped, as shares of how large it is shown; nothing where it was not."""
    size = tuple(_number(sent.get(name, "")) or SHOWN for name in ("wide", "high"))
    return Taps(white=_place(sent, "white", size), stone=_place(sent, "stone", size))


def _place(sent: Mapping[str, str], name: str, size: tuple[float, ...]) -> tuple[float, float] | None:
    x, y = (_number(sent.get(f"{name}.{axis}", "")) for axis in "xy")
    return None if x is None or y is None else (x / size[0], y / size[1])


def _number(text: str) -> float | None:
    return float(text) if text.isascii() and text.isdecimal() and len(text) < 6 else None


def note_of(request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any] | None:
    """What the margin shows of a photo: how large it is shown, what was tapped, which materials may take the color."""
    if not focus.startswith("photo:"):
        return None
    photo = next((one for one in view.job.photos if str(one.id) == focus.removeprefix("photo:")), None)
    if photo is None:
        return {"photo": None}
    wide, high = photo_colors.size_of(office, photo)
    scale = min(SHOWN / wide, TALLEST / high)
    shown = (max(round(wide * scale), 1), max(round(high * scale), 1))
    taps: Taps = getattr(request.state, "taps", Taps())
    return {
        "photo": photo,
        "wide": shown[0],
        "high": shown[1],
        "taps": {
            name: (round(place[0] * shown[0]), round(place[1] * shown[1])) if place else None
            for name, place in (("white", taps.white), ("stone", taps.stone))
        },
        "takes": photo_colors.may_take(office, (key for key, one in view.basis.materials.items() if one.finish)),
    }


def sample_photos(view: Sheet) -> Sequence[Photo]:
    """The photos of a job, those of samples first."""
    return sorted(view.job.photos, key=lambda one: (one.when != "sample", one.caption, one.file))
