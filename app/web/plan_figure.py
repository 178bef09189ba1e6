"""The plan's figure: the drawing at the width at which it is seen, and what the canvas is told of it."""

import json
from collections.abc import Mapping
from typing import Any

from fastapi import Request
from markupsafe import Markup

from app.documents.plan_drawing import plan_svg
from app.domain.job import EXISTING_KINDS, HEADS, OVERHEAD, UTILITIES, Job, Zone, zones_by_key
from app.domain.keeping import BoundedByIdentity
from app.domain.trades.quantity import FLOW
from app.services.drawing import UTILITY
from app.services.placed_lights import lights_to_place
from app.services.placed_plants import rows_to_place
from app.services.plan_canvas import canvas_plan
from app.services.sheets import Sheet
from app.services.sprinklers import valves_to_place
from app.web.rendering import svg

TO_MARGIN = "#margin-part"  # what bubbles and edges lead to stands in the margin, which is far down on a phone
WIDTH = 790  # px: a tablet held level, where the page cannot say how wide it is
NARROWEST, WIDEST = 300, 2000


AREAS = ("concrete", "pavers", "deck", "turf", "bed", "driveway", "structure", "sprinklers", "other")
LINES = ("fence", "wall")
POINTS = ("tree", "stump", "shrub")
FLUSH = ("valve",)  # heads have a tool of their own
# what is there now, by how it is drawn: the words of a group, and in it what is drawn / whether as area, line or point
THERE = (
    ("House and lot", (("house/area", "House"), ("lot/area", "Lot line"), ("door/point", "Door or gate"))),
    ("Areas", tuple((f"{key}/area", EXISTING_KINDS[key]) for key in AREAS)),
    ("Trees and shrubs", tuple((f"{key}/point", EXISTING_KINDS[key]) for key in POINTS)),
    ("Watering", tuple((f"{key}/point", EXISTING_KINDS[key]) for key in FLUSH)),
    ("Fences and walls", tuple((f"{key}/line", EXISTING_KINDS[key]) for key in LINES)),
    ("Above the yard", ((f"{OVERHEAD}/line", EXISTING_KINDS[OVERHEAD]),)),
    ("Lines in the ground", tuple((f"{UTILITY}{key}/line", title) for key, title in UTILITIES.items())),
)


def figure_of(request: Request, view: Sheet, focus: str, edge_of: Zone | None = None) -> dict[str, Any]:
    """The drawing with the zone in focus (or whose edge is) lit, and its things as the canvas takes them in hand."""
    zone = edge_of or zone_in_focus(view.job, focus)
    lit = zone.id if zone else None
    link = f"/jobs/{view.job.head.id}/plan?focus=zone:{TO_MARGIN}"
    drawn = plan_svg(view.job, view.basis, width_px=width_of(request), zone_link=link, highlight=lit)
    return {
        "drawing": _figure(drawn),
        "there": THERE,
        "to_plant": rows_to_place(view),
        "to_light": lights_to_place(view.basis),
        "to_valve": valves_to_place(view.job),
        "head_kinds": list(HEADS.items()),
        "flow_unit": FLOW.unit_in(view.basis.firm.system),
        "canvas": _canvas_text(canvas_plan(view, focus)),
    }


def zone_in_focus(job: Job, focus: str) -> Zone | None:
    """The zone that a focus names ("zone:ID"); None where it names none."""
    kind, _, key = focus.partition(":")
    return zones_by_key(job.zones).get(key) if kind == "zone" else None


_THINGS: BoundedByIdentity[dict[str, Any], str] = BoundedByIdentity(4096)


def _canvas_text(told: Mapping[str, Any]) -> str:
    """What the canvas is told, as JSON; the text of each thing is kept while it is the very same."""
    rest = _compact({name: value for name, value in told.items() if name != "things"})
    return f'{rest[:-1]},"things":[{",".join(map(_thing_text, told["things"]))}]}}'


def _thing_text(thing: dict[str, Any]) -> str:
    known = _THINGS.get(thing)
    if known is None:
        known = _compact(thing)
        _THINGS.keep(thing, known)
    return known


_compact = json.JSONEncoder(separators=(",", ":")).encode


_FIGURES: BoundedByIdentity[str, Markup] = BoundedByIdentity(48)


def _figure(drawn: str) -> Markup:
    """The drawing as markup; kept while it is the very same drawing."""
    kept = _FIGURES.get(drawn)
    if kept is None:
        kept = svg(drawn)
        _FIGURES.keep(drawn, kept)
    return kept


def width_of(request: Request) -> int:
    """How wide the page shows the plan [px], as it says itself; the usual width where it does not."""
    said = request.headers.get("x-outlay-width", "")
    return min(max(int(said), NARROWEST), WIDEST) if said.isdecimal() and len(said) < 6 else WIDTH
