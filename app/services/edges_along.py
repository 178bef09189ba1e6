"""What becomes of decided edges when outlines are split or joined: each goes with the ground it lies on."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid5

from app.domain.change import Edit
from app.domain.job import Alternative, Edge, Job, PlaceKind, Work, Zone
from app.domain.plan.between import to_edge
from app.domain.plan.edges import GROUND, HOUSE, LOT
from app.domain.plan.outline import Outline
from app.services.edges import shared_on_plan
from app.services.jobs import OpenJob, changed, made, removal

Parts = Sequence[tuple[UUID, Outline]]  # the zone's own id and what is left of it, then each new zone


def works_like(job: Job, place: PlaceKind, from_id: UUID, to_id: UUID) -> Iterator[Work]:
    """The works of one place, for another."""
    for work in job.works:
        if work.place is place and work.place_id == from_id:
            yield replace(work, id=uuid5(to_id, str(work.id)), place_id=to_id)


def edges_after_split(opened: OpenJob, zone: Zone, parts: Parts) -> Iterator[Edit]:
    """Decided edges of a zone that was split: kept, copied or passed on, by which parts meet the neighbor now."""
    meets = _meetings(opened.job, zone, parts)
    for edge in opened.job.edges:
        if zone.id != edge.zone_id and edge.neighbor != str(zone.id):
            continue
        other = edge.neighbor if edge.zone_id == zone.id else str(edge.zone_id)
        here = [part for part, _ in parts if _has(edge, other, part, meets, parts)]
        yield from _passed_on(opened, zone, edge, here)


def _has(edge: Edge, other: str, part: UUID, meets: Mapping[str, set[str]], parts: Parts) -> bool:
    """Whether an edge lies on a part: the one nearest to its point, else each that meets the neighbor."""
    if edge.at is not None:
        return min(parts, key=lambda one: to_edge(one[1], edge.at or (0, 0)))[0] == part
    if other not in {HOUSE, LOT, GROUND} and not any(other in found for found in meets.values()):
        return part == parts[0][0]  # told by hand, drawn nowhere: it stays with what is left of the zone
    return other in meets[str(part)]


def _passed_on(opened: OpenJob, zone: Zone, edge: Edge, here: Sequence[UUID]) -> Iterator[Edit]:
    if not here:
        yield from removal(opened, "edge", edge.id)
        return
    kept, *others = here if zone.id not in here else (zone.id, *[part for part in here if part != zone.id])
    if kept != zone.id or (others and edge.length is not None):
        fields: dict[str, Any] = _of(edge, zone, kept)
        yield changed("edge", edge.id, opened.version("edge", edge.id), {**fields, "length": None})
    for part in others:
        copy = replace(edge, id=uuid5(part, str(edge.id)), length=None, **_of(edge, zone, part))
        yield made("edge", copy)
        yield from (made("work", work) for work in works_like(opened.job, PlaceKind.EDGE, edge.id, copy.id))


def _of(edge: Edge, zone: Zone, part: UUID) -> dict[str, Any]:
    """The side of an edge that was a zone's, as a part's."""
    return {"zone_id": part} if edge.zone_id == zone.id else {"neighbor": str(part)}


def _meetings(job: Job, zone: Zone, parts: Parts) -> Mapping[str, set[str]]:
    """What each part meets, by key, once the zone is split."""
    chosen = job.chosen(zone)
    outlines = dict(parts)
    zones = (*job.zones, *[replace(zone, id=part, chosen_id=None) for part, _ in parts[1:]])
    kept = (
        replace(way, outline=outlines[zone.id]) if chosen and way.id == chosen.id else way for way in job.alternatives
    )
    new = (Alternative(id=part, zone_id=part, outline=outline) for part, outline in parts[1:])
    after = replace(job, zones=zones, alternatives=(*kept, *new))
    found: dict[str, set[str]] = {str(part): set() for part, _ in parts}
    for edge in shared_on_plan(after):
        if edge.zone in found:
            found[edge.zone].add(edge.neighbor)
    return found


def edges_after_join(opened: OpenJob, zone: Zone, other: Zone) -> Iterator[Edit]:
    """Decided edges of a zone that is taken into another: they become that one's where it has none of its own there."""
    job, own, gone = opened.job, str(zone.id), str(other.id)
    known = {edge.neighbor for edge in job.edges if edge.zone_id == zone.id}
    known |= {str(edge.zone_id) for edge in job.edges if edge.neighbor == own}
    for edge in job.edges:
        far = edge.neighbor if edge.zone_id == other.id else str(edge.zone_id)
        if edge.zone_id != other.id and edge.neighbor != gone:
            continue
        if far == own or far in known:
            yield from removal(opened, "edge", edge.id)
        else:
            fields = {"zone_id": zone.id} if edge.zone_id == other.id else {"neighbor": own}
            yield changed("edge", edge.id, opened.version("edge", edge.id), {**fields, "length": None})
