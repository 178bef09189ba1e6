"""The plan that begins from the first call: the ticked zones as squares with their typical recipes, to correct."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid4

from app.domain.change import Edit
from app.domain.costing.early import Wish, early_job
from app.domain.errors import Refused
from app.domain.job import Alternative, Feature, PlaceKind, Run, Work, Zone
from app.domain.plan.shapes import rectangle
from app.services import jobs
from app.services.first_call import lists_of, wished
from app.services.jobs import OpenJob, Order, made
from app.services.office import Office
from app.services.zones import new_work, next_letter

GAP = 6.0  # ft between the squares a plan begins with
ALONG = 80.0  # ft, then the next row of squares


def begin_plan(office: Office, job_id: UUID, order: Order) -> None:
    """Make the ticked zones, each a square of its size with its typical recipe, runs and features: a sketch to correct.

    Raises: Refused when nothing is ticked or the plan has zones already.
    """
    opened = jobs.open_job(office, job_id)
    if opened.job.zones:
        raise Refused("The plan has zones already. Add the missing ones there.")
    wishes = wished(opened)
    if not wishes:
        raise Refused("Tick at least one kind of zone first.")
    edits = _sketched(opened, wishes, lists_of(office).early)
    jobs.save(office, job_id, edits, replace(order, what="Plan begun from the first call"))


def _sketched(opened: OpenJob, wishes: Sequence[Wish], table: Mapping[str, Any]) -> tuple[Edit, ...]:
    """The typical job of the wishes with ids of its own, its squares laid in rows."""
    typical = early_job(wishes, table)
    things: tuple[Zone | Alternative | Run | Feature, ...]
    things = (*typical.zones, *typical.alternatives, *typical.runs, *typical.features)
    ids = {one.id: uuid4() for one in things}
    corners = _corners([one.outline.sizes[0] for one in typical.alternatives if one.outline])
    edits: list[Edit] = []
    job = opened.job
    for position, zone in enumerate(typical.zones):
        own = replace(
            zone, id=ids[zone.id], chosen_id=ids[zone.chosen_id or zone.id], letter=next_letter(job), position=position
        )
        job = replace(job, zones=(*job.zones, own))
        edits.append(made("zone", own))
    for one, (x, y, side) in zip(typical.alternatives, corners, strict=True):
        square = rectangle(side, side, at=(x, y))
        edits.append(
            made("alternative", replace(one, id=ids[one.id], zone_id=ids[one.zone_id], outline=square, fall=None))
        )
    for kind, placed in (("run", typical.runs), ("feature", typical.features)):
        edits += [
            made(
                kind,
                replace(one, id=ids[one.id], zone_id=ids[one.zone_id], title=_title(typical.works, one.id, opened)),
            )
            for one in placed
            if one.zone_id
        ]
    edits += [
        made("work", new_work(opened, work.place, ids[work.place_id], work.assembly))
        for work in typical.works
        if work.place_id and work.assembly in opened.basis.assemblies
    ]
    return tuple(edits)


def _title(works: Sequence[Work], thing_id: UUID, opened: OpenJob) -> str:
    placed = next(work for work in works if work.place_id == thing_id and work.place is not PlaceKind.ALTERNATIVE)
    found = opened.basis.assemblies.get(placed.assembly)
    return found.title if found else placed.assembly


def _corners(sides: Sequence[float]) -> list[tuple[float, float, float]]:
    """Squares of whole feet in rows: x, y and side [ft]."""
    placed: list[tuple[float, float, float]] = []
    x = y = deepest = 0.0
    for exact in sides:
        side = float(round(exact))
        if x and x + side > ALONG:
            x, y, deepest = 0.0, y + deepest + GAP, 0.0
        placed.append((x, y, side))
        x, deepest = x + side + GAP, max(deepest, side)
    return placed
