"""What the canvas in the browser is told of a plan: every drawn thing as exact points and arcs, with its version."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import zip_longest
from math import dist
from typing import Any
from uuid import UUID

from app.documents.plan_drawing import as_drawn, drawn_of
from app.documents.plan_underlay import corners
from app.domain.job import (
    EXISTING_KINDS,
    OVERHEAD,
    Alternative,
    Dimension,
    Easement,
    Existing,
    Feature,
    Job,
    Note,
    Opening,
    Run,
    Site,
    Underlay,
    Zone,
)
from app.domain.keeping import BoundedByIdentity, KeptByInputs, Same
from app.domain.plan.arcs import LEAST_RISE, Arc, Point, Ring, Segment, through_of_rise
from app.domain.plan.outline import Outline
from app.domain.plan.wkt import read_rings
from app.domain.takeoff.ground import mark_places
from app.domain.takeoff.openings import walls_with_openings
from app.services.openings import FOCUS, stands_at
from app.services.placed_plants import PLACED, key_of
from app.services.sheets import Sheet

Plain = dict[str, Any]


def canvas_plan(view: Sheet, focus: str) -> Plain:
    """The things on the plan as plain data: what to hit, to catch and to change, in feet from the datum."""
    rests_on = (
        *map(Same, drawn_of(view.job)),
        Same(view.basis.plants),
    )  # not what is equal: what was edited back has another version
    things = _THINGS.get_or_make(view.job.head.id.int, rests_on, lambda: _versioned(view))
    site = view.version("site", view.job.site.id)
    return {
        "focus": focus,
        "system": view.basis.firm.system,
        "north": view.job.site.north,
        "site_version": site,
        "things": things,
        "marks": [{"name": name, "at": list(at)} for name, at in mark_places(view.job).items() if at],
        "walls": [_wall(one) for one in walls_with_openings(view.job)],
    }


_THINGS: KeptByInputs[list[Plain]] = KeptByInputs(32)


def _wall(one: Segment) -> list[list[float]]:
    """A wall or fence that doors stand in: its ends, and of a curved one a point on its arc."""
    return [list(one.start), list(one.end), *([list(one.through)] if isinstance(one, Arc) else [])]


def _versioned(view: Sheet) -> list[Plain]:
    things = [*_things(replace(as_drawn(view.job), works=())), *_placed_plants(view)]
    return [_with_version(one, _version(view, one)) for one in things]


_WITH_VERSION: BoundedByIdentity[Plain, Plain] = BoundedByIdentity(4096)


def _with_version(one: Plain, version: int) -> Plain:
    """The very same while a thing is told as before and has the same version."""
    known = _WITH_VERSION.get(one)
    if known is None or known["version"] != version:
        known = {**one, "version": version}
        _WITH_VERSION.keep(one, known)
    return known


def _version(view: Sheet, one: Plain) -> int:
    """The version of the thing that is changed: a door's is the site's, a placed plant's that of its row."""
    if one["kind"] == "plant":
        return view.version("planting", UUID(one["id"].partition("/")[0]))
    return view.version("site", view.job.site.id) if one["kind"] == "opening" else view.version(one["kind"], one["id"])


def _things(job: Job) -> Iterator[Plain]:
    yield from _site(job.site)
    for zone in job.zones:
        way = job.chosen(zone)
        if way and way.outline:
            yield _zone(zone, way, way.outline)
    yield from (_existing(one) for one in job.existing)
    yield from (_opening(job, place, one) for place, one in enumerate(job.site.openings))
    yield from (_line(one, "run", "runs", one.title) for one in job.runs if len(one.points) > 1)
    yield from (_standing(one, "feature", "features", one.title) for one in job.features if one.x is not None)
    yield from (_easement(one) for one in job.easements if one.outline or len(one.points) > 1)
    yield from (_dimension(one) for one in job.dimensions)
    yield from (_picture(one) for one in job.underlays)
    yield from (_standing(one, "note", "notes", one.words[:60]) for one in job.notes)


_ZONES: BoundedByIdentity[Alternative, tuple[Zone, Plain]] = BoundedByIdentity(4096)


def _zone(zone: Zone, way: Alternative, outline: Outline) -> Plain:
    known = _ZONES.get(way)
    if known is None or known[0] is not zone:
        name = f"{zone.letter} {zone.title}".strip()
        told = _thing(f"zone:{zone.id}", "alternative", way.id, "zones", name, rings=_rings(outline))
        known = (zone, told)
        _ZONES.keep(way, known)
    return known[1]


def _site(site: Site) -> Iterator[Plain]:
    for part, outline in (("lot", site.lot), ("house", site.house)):
        if outline:
            yield _thing(
                f"{part}:{site.id}", "site", site.id, part, part.capitalize(), rings=_rings(outline), part=part
            )


def _opening(job: Job, place: int, one: Opening) -> Plain:
    """A door or gate, by its place in the list, where it is drawn."""
    plain = _thing(f"{FOCUS}{place}", "opening", place, "openings", one.title)
    return {**plain, "at": list(stands_at(job, one)), "width": one.width}


def _existing(one: Existing) -> Plain:
    name = one.title or EXISTING_KINDS.get(one.kind, one.kind)
    layer = "utilities" if one.utility or one.kind == OVERHEAD else "existing"
    if one.outline:
        return _thing(f"existing:{one.id}", "existing", one.id, layer, name, rings=_rings(one.outline))
    if len(one.points) > 1:
        return _line(one, "existing", layer, name)
    return _standing(one, "existing", layer, name)


def _line(one: Run | Existing | Easement, kind: str, layer: str, name: str) -> Plain:
    ring = _open_ring(one.points, one.rises)
    return _thing(f"{kind}:{one.id}", kind, one.id, layer, name, rings=[ring])


def _standing(one: Feature | Existing | Note, kind: str, layer: str, name: str) -> Plain:
    at = None if one.x is None or one.y is None else [one.x, one.y]
    return {**_thing(f"{kind}:{one.id}", kind, one.id, layer, name), "at": at}


def _placed_plants(view: Sheet) -> Iterator[Plain]:
    """Plants placed one by one in the beds that are drawn, each by its row and its place in it."""
    ways = {way.id for way in view.job.chosen_by_zone().values() if way.outline}
    for row in view.job.plantings:
        if row.pattern != PLACED or row.alternative_id not in ways:
            continue
        plant = view.basis.plants.get(row.species)
        for place, at in enumerate(row.points):
            told = _thing(
                key_of(row.id, place), "plant", f"{row.id}/{place}", "plants", plant.botanical if plant else row.species
            )
            yield {**told, "at": list(at)}


def _easement(one: Easement) -> Plain:
    """Ground somebody has a right to, by its outline or the middle of its strip; one along a lot line lies by that."""
    if one.outline is None:
        return _line(one, "easement", "limits", one.title)
    return _thing(f"easement:{one.id}", "easement", one.id, "limits", one.title, rings=_rings(one.outline))


def _dimension(one: Dimension) -> Plain:
    ring = _open_ring((one.start, one.end), ())
    return _thing(f"dimension:{one.id}", "dimension", one.id, "dimensions", one.words, rings=[ring])


def _picture(one: Underlay) -> Plain:
    ring = {"points": [list(point) for point in corners(one)], "through": [None] * 4, "closed": True}
    return _thing(f"underlay:{one.id}", "underlay", one.id, "underlay", one.title, rings=[ring])


def _thing(
    key: str,
    kind: str,
    own_id: UUID | int | str,
    layer: str,
    name: str,
    *,
    rings: list[Plain] | None = None,
    part: str = "",
) -> Plain:
    return {
        "key": key,
        "kind": kind,
        "id": str(own_id),
        "layer": layer,
        "name": name,
        "rings": rings or [],
        "part": part,
    }


def _rings(outline: Outline) -> list[Plain]:
    """The rings as typed: point for point, so that what is not touched comes back to the last digit."""
    return [_ring(ring) for ring in _read(outline.wkt)]


_read = lru_cache(maxsize=2048)(read_rings)


def _ring(ring: Ring) -> Plain:
    return {
        "points": [list(piece.start) for piece in ring],
        "through": [list(piece.through) if isinstance(piece, Arc) else None for piece in ring],
        "closed": True,
    }


def _open_ring(points: Sequence[Point], rises: Sequence[float]) -> Plain:
    """A line's points, and of each stretch that is an arc the middle."""
    bent = zip_longest(rises, range(len(points) - 1), fillvalue=0.0)
    through = [
        list(through_of_rise(points[place], points[place + 1], float(rise))) if abs(rise) > LEAST_RISE else None
        for place, (rise, _) in enumerate(bent)
    ]
    return {"points": [list(point) for point in points], "through": [*through, None], "closed": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """The dimension or note in focus; `length` is what a dimension measures [ft]."""

    kind: str
    thing: Dimension | Note
    length: float | None = None


def noted_in(job: Job, focus: str) -> Noted | None:
    """The dimension or note that is in focus."""
    for one in job.dimensions:
        if focus == f"dimension:{one.id}":
            return Noted(kind="dimension", thing=one, length=dist(one.start, one.end))
    note = next((one for one in job.notes if focus == f"note:{one.id}"), None)
    return Noted(kind="note", thing=note) if note else None
