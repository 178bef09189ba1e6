"""The plan to scale, as SVG: the same drawing on the page and on paper.

From the job's exact outlines: house, lot, what stands today, zones in the hatch of their surface, runs, features,
undecided edges as broken ink with a question mark, dimensions, north, a graphic scale. Geometry stands in attributes
only; the drawing has a title and a description that say it in words.
"""

from collections.abc import Mapping
from dataclasses import fields, replace
from html import escape
from operator import attrgetter
from typing import Any, Literal, NamedTuple
from uuid import UUID

from app.documents import plan_edges as edges
from app.documents import plan_layers as layers
from app.documents.plan_border import numbered_sides
from app.documents.plan_heads import heads
from app.documents.plan_levels import levels_on
from app.documents.plan_limits import limit_words, limits
from app.documents.plan_notes import noted
from app.documents.plan_parts import Sheet, drawn_zones, extent, sheet_of, zone_box
from app.documents.plan_plants import plants
from app.documents.plan_standing import crowns, letters, standing, utilities
from app.documents.plan_underlay import underlay_box, underlays
from app.documents.plan_words import words
from app.documents.sheet_view import INK, PAPER, SOFT, TEXT, WHITE, Box, graphic_scale, layer, north_arrow, plain
from app.domain.basis import Basis
from app.domain.job import Head, Job, PlaceKind, Work, only_included
from app.domain.keeping import BoundedByIdentity, KeptByInputs, Same
from app.domain.takeoff.drip_lines import RECIPE as DRIP

Face = Literal["ours", "client", "print", "cover", "place", "crew"]
PAPERS = {"print", "cover", "place", "crew"}  # units are drawn as they are laid
QUIET = {"client", "cover", "place"}  # cropped to the zones, lines in the ground thin and without words
CROPPED = {"place", "crew"}  # to the highlighted zone, where there is one
STRIP = 62  # px: below the plan, for north and scale
SEGMENTS = (0.25, 0.5, 1, 2, 5, 10, 25, 50, 100, 250)  # ft or m
SEGMENT_PX = 24
FOOT_PER_METER = 1 / 0.3048  # exact


def plan_svg(
    job: Job,
    basis: Basis,
    *,
    width_px: int = 790,
    height_px: int | None = None,
    highlight: UUID | None = None,
    face: Face = "ours",
    zone_link: str = "",
) -> str:
    """Draw the plan of a job, `width_px` wide [300 to 2000] and at most `height_px` high [200 and more].

    What is not included is drawn on our face only.
    Drawn at the size at which it will be seen, its lettering is 14 px and more. `highlight` is the id of the zone
    with a thick rim; with `zone_link` each bubble leads to that address with the zone's id added, before its `#` where
    it has one (never on the client's face or in print). The client's face and the cover are cropped to the zones, name
    no line in the ground and ask about no edge; face `place` is the cover's, cropped to the highlighted zone and what
    lies around it. Face `crew` is the one in print, cropped to the highlighted zone and all that belongs to it.
    Kept by what is drawn: numbers set on a work, prices, phases and the like change nothing here.
    """
    job = job if face == "ours" else only_included(job)
    link, *part = zone_link.partition("#")
    looks = _Looks(width_px, height_px, highlight, face, link, escape("".join(part)))
    rests_on = (*drawn_of(job), works_as_drawn(job), Same(basis.assemblies), Same(basis.materials), Same(basis.firm))
    return _DRAWN.get_or_make((job.head.id.int, looks), rests_on, lambda: _plan_svg(as_drawn(job), basis, looks))


class _Looks(NamedTuple):
    """How a plan is drawn, whatever is on it."""

    width_px: int
    height_px: int | None
    highlight: UUID | None
    face: Face
    zone_link: str
    link_end: str


_DRAWN: KeptByInputs[str] = KeptByInputs(48)
APART = frozenset(
    {
        "head",
        "client",
        "works",
        "needs",
        "phases",
        "allowances",
        "unit_prices",
        "payments",
        "settlements",
        "photos",
        "options",
        "packages",
    }
)
APART_OF_WORK: Mapping[str, Any] = {"parameters": {}, "phase_id": None, "assembly_hash": ""}
_DRAWN_OF = attrgetter(*[field.name for field in fields(Job) if field.name not in APART])


def drawn_of(job: Job) -> tuple[object, ...]:
    """All of a job that a drawing may rest on, but for its works."""
    found: tuple[object, ...] = _DRAWN_OF(job)
    return found


def _shown_of(work: Work) -> Mapping[str, str]:
    """Of what is set on a work only how wide steps on an edge are shows, and how drip line lies."""
    if work.assembly == DRIP:
        return work.parameters
    wide = work.parameters.get("width") if work.place is PlaceKind.EDGE else None
    return {"width": wide} if wide else {}


def as_drawn(job: Job) -> Job:
    """The job without what no drawing rests on: so that none can come to rest on it unseen."""
    nothing: dict[str, Any] = dict.fromkeys(APART - {"head", "client", "works"}, ())
    head = Head(id=job.head.id, client_id=job.head.client_id)
    return replace(job, head=head, works=works_as_drawn(job), **nothing)


def works_as_drawn(job: Job) -> tuple[Work, ...]:
    """The works of a job without what no drawing rests on; the very same while none of them is edited."""
    kept = _ALL_AS_DRAWN.get(job.works)
    if kept is None:
        kept = tuple(map(_work_as_drawn, job.works))
        _ALL_AS_DRAWN.keep(job.works, kept)
    return kept


_ALL_AS_DRAWN: BoundedByIdentity[tuple[Work, ...], tuple[Work, ...]] = BoundedByIdentity(32)
_WORKS_AS_DRAWN: BoundedByIdentity[Work, Work] = BoundedByIdentity(4096)


def _work_as_drawn(work: Work) -> Work:
    known = _WORKS_AS_DRAWN.get(work)
    if known is None:
        known = replace(work, **{**APART_OF_WORK, "parameters": _shown_of(work)})
        _WORKS_AS_DRAWN.keep(work, known)
    return known


def _plan_svg(job: Job, basis: Basis, looks: _Looks) -> str:
    width_px, height_px, highlight, face, zone_link, link_end = looks
    tallest = max(height_px, 200) - STRIP if height_px else None
    width = float(min(max(width_px, 300), 2000))
    sheet = sheet_of(job, basis, width, tallest=tallest, quiet=face in QUIET, crop=_crop(job, looks))
    if sheet is None:
        return _empty(float(width_px), face)
    sheet.laid, sheet.numbered, sheet.link_end = face in PAPERS, bool(zone_link), link_end
    drawn = drawn_on(sheet, highlight, zone_link if face == "ours" else "") + _foot(sheet)
    svg = _svg(sheet, drawn, STRIP, describe(job))
    if face == "ours" and zone_link:
        svg = svg.replace('role="img"', f'role="group" {_lies(sheet)}', 1)  # a picture may hold no links
    return svg.replace(PAPER, WHITE) if face in PAPERS else svg


def _crop(job: Job, looks: _Looks) -> Box | None:
    """What is shown [ft] where it is not all that is designed."""
    if looks.face in CROPPED and looks.highlight:
        return zone_box(job, looks.highlight, whole=looks.face == "crew")
    return underlay_box(job) if looks.zone_link and extent(job) is None else None  # a picture to draw on


def drawn_on(sheet: Sheet, highlight: UUID | None = None, zone_link: str = "") -> str:
    """Everything a plan shows, bottom to top, drawn on a sheet; words last."""
    focus_link = zone_link.removesuffix("zone:")
    asked = () if sheet.quiet else (edges.undecided(sheet, focus_link),)
    sheet.marks.extend(numbered_sides(sheet, highlight, focus_link))
    drawn = [
        layers.grid(sheet),
        underlays(sheet, f"{zone_link.partition('?')[0]}/underlay/" if zone_link else ""),
        layer("there", layers.lot(sheet), standing(sheet)),
        layer("zones", layers.zones(sheet, highlight)),
        layer("runs", layers.drip(sheet, highlight)),
        layer("plants", plants(sheet)),
        layer("there", layers.house(sheet)),
        layer("zones", edges.decided(sheet, focus_link), *asked),
        layer("limits", limits(sheet)),
        layer("utilities", utilities(sheet)),
        layer("runs", layers.runs(sheet)),
        layer("there", crowns(sheet)),
        layer("watering", heads(sheet)),
        layer("things", layers.features(sheet)),
        layer("utilities", letters(sheet)),
        layer("notes", "" if sheet.quiet else noted(sheet)),
        *words(sheet, zone_link),
        layer("limits", *limit_words(sheet)),
        layer("levels", *levels_on(sheet)),
    ]
    return "".join(drawn)


def plan_thumbnail(job: Job, basis: Basis, *, width_px: int = 220) -> str:
    """The plan small: shapes and hatches, no words."""
    sheet = sheet_of(job, basis, float(width_px), small=True)
    if sheet is None:
        return _empty(float(width_px), "client", small=True)
    return _svg(sheet, layers.lot(sheet) + layers.zones(sheet, None) + layers.house(sheet), 0, describe(job))


def describe(job: Job) -> str:
    """Say in words what the plan shows, and what is not drawn yet."""
    drawn = {zone.id.int: zone for zone, _outline in drawn_zones(job)}
    said = ", ".join(f"{zone.letter} {zone.title}".strip() for zone in drawn.values()) or "No zones are drawn"
    missing = [f"{zone.letter} {zone.title}".strip() for zone in job.zones if zone.id.int not in drawn]
    return f"{said}. Not drawn yet: {', '.join(missing)}." if missing else f"{said}."


def _lies(sheet: Sheet) -> str:
    """How the drawing lies, for who lays something over it: px per ft, the feet at its left and top edge."""
    view = sheet.view
    return f'data-scale="{view.scale!r}" data-west="{view.west!r}" data-north="{view.north!r}"'


def _foot(sheet: Sheet) -> str:
    """The strip below the plan: north, the graphic scale, what is not drawn."""
    view, metric = sheet.view, sheet.basis.firm.system == "metric"
    unit = view.scale * (FOOT_PER_METER if metric else 1.0)
    segment = next((n for n in SEGMENTS if n * unit >= SEGMENT_PX), SEGMENTS[-1])
    middle = view.height + STRIP / 2
    scale = graphic_scale((112, middle - 5), segment * unit, f"{segment * 4:g} {'m' if metric else 'ft'}")
    missing = ", ".join(zone.letter or zone.title for zone in sheet.job.zones if sheet.outline(zone) is None)
    note = (
        f'<text x="{view.width - 16:g}" y="{middle + 5:.1f}" font-size="15" text-anchor="end" fill="{SOFT}">'
        f"{plain(f'Not drawn yet: {missing}')}</text>"
        if missing
        else ""
    )
    ground = f'<rect y="{view.height:.1f}" width="{view.width:g}" height="{STRIP}" fill="{PAPER}"/>'
    north = north_arrow((36, middle), sheet.job.site.north)
    return f'<g data-foot="{STRIP}">{ground}{north}{scale}</g>{note}'


def _svg(sheet: Sheet, drawn: str, strip: int, said: str) -> str:
    width, height, name = sheet.view.width, sheet.view.height + strip, sheet.patterns.prefix
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:.0f}" width="{width:g}" '
        f'height="{height:.0f}" role="img" font-family="{TEXT}" aria-labelledby="{name}-title {name}-said">'
        f'<title id="{name}-title">Plan, to scale</title><desc id="{name}-said">{plain(said)}</desc>'
        f'{sheet.patterns.defs()}<clipPath id="{name}-frame"><rect width="{width:g}" height="{height:.0f}"/></clipPath>'
        f'<rect width="{width:g}" height="{height:.0f}" fill="{PAPER}"/>'
        f'<g clip-path="url(#{name}-frame)">{drawn}</g></svg>'
    )


def _empty(width: float, face: Face, *, small: bool = False) -> str:
    """An empty sheet that says what to do first."""
    height = width * 0.62
    head = "Nothing is drawn yet" if face == "ours" else "The plan is still being drawn"
    first = "Type the size of the first zone; to the nearest foot is fine." if face == "ours" else ""
    size = 14 if width < 520 else 16
    texts = (
        f'<text x="50%" y="45%" font-size="20" font-weight="600" text-anchor="middle" fill="{INK}">{head}</text>'
        f'<text x="50%" y="57%" font-size="{size}" text-anchor="middle" fill="{SOFT}">{first}</text>'
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:.0f}" width="{width:g}" '
        f'height="{height:.0f}" role="img" font-family="{TEXT}" aria-label="{head}">'
        f'<rect width="100%" height="100%" fill="{PAPER}"/><rect x="3%" y="10%" width="94%" height="80%" fill="none" '
        f'stroke="{SOFT}" stroke-width="1.6" stroke-dasharray="10 7"/>{"" if small else texts}</svg>'
    )
