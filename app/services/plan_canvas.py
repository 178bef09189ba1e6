"""What the canvas in the browser is told of a plan: every drawn thing as exact points and arcs, with its version."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any
from uuid import UUID

from app.documents.plan_drawing import as_drawn, drawn_of
from app.domain.job import Existing, Feature, Job, Run, Site
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.arcs import Arc, Ring
from app.domain.plan.outline import Outline
from app.domain.plan.wkt import read_rings
from app.services.sheets import Sheet

Plain = dict[str, Any]


def canvas_plan(view: Sheet, focus: str) -> Plain:
    """The things on the plan as plain data: what to hit, to catch and to change, in feet from the datum."""
    rests_on = tuple(map(Same, drawn_of(view.job)))  # not what is equal: what was edited back has another version
    things = _THINGS.get_or_make(view.job.head.id.int, rests_on, lambda: _versioned(view))
    return {"focus": focus, "system": view.basis.firm.system, "things": things}


_THINGS: KeptByInputs[list[Plain]] = KeptByInputs(32)


def _versioned(view: Sheet) -> list[Plain]:
    things = _things(replace(as_drawn(view.job), works=()))
    return [{**one, "version": view.version(one["kind"], one["id"])} for one in things]


def _things(job: Job) -> Iterator[Plain]:
    yield from _site(job.site)
    for zone in job.zones:
        way = job.chosen(zone)
        if way and way.outline:
            name = f"{zone.letter} {zone.title}".strip()
            yield _thing(f"zone:{zone.id}", "alternative", way.id, "zones", name, rings=_rings(way.outline))
    yield from (_existing(one) for one in job.existing if one.outline)
    yield from (_run(one) for one in job.runs if len(one.points) > 1)
    yield from (_feature(one) for one in job.features if one.x is not None and one.y is not None)


def _site(site: Site) -> Iterator[Plain]:
    for part, outline in (("lot", site.lot), ("house", site.house)):
        if outline:
            yield _thing(f"site:{part}", "site", site.id, part, part.capitalize(), rings=_rings(outline), part=part)


def _existing(one: Existing) -> Plain:
    rings = _rings(one.outline) if one.outline else []
    return _thing(f"existing:{one.id}", "existing", one.id, "existing", one.title or one.kind, rings=rings)


def _run(run: Run) -> Plain:
    ring = {"points": [list(point) for point in run.points], "through": [None] * len(run.points), "closed": False}
    return _thing(f"run:{run.id}", "run", run.id, "runs", run.title, rings=[ring])


def _feature(one: Feature) -> Plain:
    return {**_thing(f"feature:{one.id}", "feature", one.id, "features", one.title), "at": [one.x, one.y]}


def _thing(
    key: str, kind: str, thing_id: UUID, layer: str, name: str, *, rings: list[Plain] | None = None, part: str = ""
) -> Plain:
    return {
        "key": key,
        "kind": kind,
        "id": str(thing_id),
        "layer": layer,
        "name": name,
        "rings": rings or [],
        "part": part,
    }


def _rings(outline: Outline) -> list[Plain]:
    """The rings as typed: point for point, so that what is not touched comes back to the last digit."""
    return [_ring(ring) for ring in read_rings(outline.wkt)]


def _ring(ring: Ring) -> Plain:
    return {
        "points": [list(piece.start) for piece in ring],
        "through": [list(piece.through) if isinstance(piece, Arc) else None for piece in ring],
        "closed": True,
    }
