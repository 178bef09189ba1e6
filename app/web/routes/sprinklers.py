"""Sprinklers: every valve with its heads and what it really waters; heads typed, decided, told of."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData

from app.domain.errors import NotFound
from app.domain.job import HEADS, VALVE, Existing, Fate
from app.domain.plan.shapes import typed_place
from app.domain.takeoff.sprinkled import is_sprinkler
from app.domain.trades.quantity import FLOW, INCHES, MINUTES, PRESSURE, RAIN
from app.domain.units import format_share
from app.services import site, sprinklers
from app.services.marks import places_by_name
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.things import thing_of
from app.web.access import OfficeHere
from app.web.change_words import what_of
from app.web.forms.fields import order_of, read, version_of, yes
from app.web.forms.outlines import length_text, with_marks
from app.web.forms.saving import save_form
from app.web.forms.sprinklers import OF_HEAD, OF_VALVE, VALVE_OF_HEAD, places, quantity
from app.web.forms.things import FORMS
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/sprinklers")
TYPED = (VALVE_OF_HEAD, *OF_HEAD[1:], yes("new", "New ones"))
DEPTH = (quantity("depth", "Depth a week", INCHES, (0.01, 12.0)),)
FATES = tuple((fate.value, words) for fate, words in sprinklers.FATE_WORDS.items())
WAYS = ("up", "up right", "right", "down right", "down", "down left", "left", "up left")  # an eighth of a turn apart


@router.get("")
async def show_sprinklers(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """Every valve with what it waters."""
    return show(request, office, job_id, "sprinklers", focus=focus[:90])


@router.post("/heads/new")
async def add_heads(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Heads at typed places, all of one valve and alike."""
    form = await request.form()
    parsed = read(form, (places(places_by_name(office, job_id)), *TYPED), office.firm(), whole=True)
    order = order_of(form, "Sprinkler heads")
    saved = save_form(
        parsed,
        lambda: sprinklers.place_heads(office, job_id, parsed.values["places"], parsed.values, order),
    )
    return show(request, office, job_id, "sprinklers", focus="heads:new", saved=saved)


@router.post("/valve/new")
async def add_valve(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A valve by its name, with what was measured."""
    form = await request.form()
    parsed = read(form, OF_VALVE, office.firm(), whole=True)
    values = {**parsed.values, "kind": VALVE, "fate": Fate.STAYS.value}
    saved = save_form(parsed, lambda: site.add_existing(office, job_id, values, order_of(form, "Valve")))
    return show(request, office, job_id, "sprinklers", focus="valve:new", saved=saved)


@router.post("/existing/{thing_id}")
async def change_there(request: Request, office: OfficeHere, job_id: UUID, thing_id: UUID) -> Response:
    """What is known of a head or a valve, or what happens to it: its fate swaps the recipe that prices it."""
    form = await request.form()
    thing = thing_of(office, job_id, "existing", thing_id)
    if not isinstance(thing, Existing) or not is_sprinkler(thing):
        raise NotFound("This head or valve is not there (any more). Nothing was changed.")
    parsed = read(form, with_marks(FORMS["existing"], places_by_name(office, job_id)), office.firm())
    what = what_of("existing", thing, parsed.values, "Sprinklers")
    saved = save_form(
        parsed,
        lambda: site.change_existing(office, job_id, thing_id, parsed.values, version_of(form), order_of(form, what)),
    )
    stay = str(form.get("focus", ""))[:90]
    return show(request, office, job_id, "sprinklers", focus=stay, saved=saved)


def _give(request: Request, _office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    system = view.basis.firm.system
    asked = read(FormData({"depth": request.query_params.get("depth", "")[:40]}), DEPTH, view.basis.firm, whole=True)
    depth = asked.values.get("depth")
    return {
        "found": sprinklers.sprinklers_page(view, focus, depth),
        "asked": asked,
        "asked_depth": depth,
        "valves": sprinklers.valves_to_place(view.job),
        "valve_ids": [(str(one.id), one.title or VALVE) for one in view.job.existing if one.kind == VALVE],
        "next_valve": sprinklers.next_valve(view.job),
        "heads": list(HEADS.items()),
        "head_words": HEADS,
        "fates": FATES,
        "fate_words": {fate.value: words for fate, words in sprinklers.FATE_WORDS.items()},
        "ways": [(str(45 * eighth), words) for eighth, words in enumerate(WAYS)],
        "flow": lambda gpm: "" if gpm is None else FLOW.shown(gpm, system),
        "flow_typed": lambda gpm: "" if gpm is None else FLOW.typed(gpm, system),
        "flow_unit": FLOW.unit_in(system),
        "psi": lambda value: "" if value is None else PRESSURE.shown(value, system),
        "psi_typed": lambda value: "" if value is None else PRESSURE.typed(value, system),
        "depth_unit": INCHES.unit_in(system),
        "psi_unit": PRESSURE.unit_in(system),
        "rain": lambda rate: "" if rate is None else RAIN.shown(rate, system),
        "depth": lambda inches: sprinklers.depth_words(inches, system),
        "minutes": lambda value: MINUTES.shown(float(round(value)), system),
        "percent": lambda share: format_share(round(share, 2)),
        "length_text": lambda feet: "" if feet is None else length_text(feet, system),
        "place_text": lambda point: "" if point is None else typed_place(point, system=system),
    }


register(SheetPage(key="sprinklers", title="Sprinklers", template="sprinklers/page.html", give=_give, part_of="plan"))
