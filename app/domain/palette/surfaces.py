"""What a zone looks like on the plan: the hatch and color of its surface, by finish chosen, recipe, or purpose."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from app.domain.basis import Assembly, Basis, Material
from app.domain.job import Job, PlaceKind, Work, Zone, ZoneKind
from app.domain.keeping import BoundedByIdentity, KeptByInputs, Same
from app.domain.palette.typed_color import seen_as

PLANTED = "planting"  # seen as plants, whatever mulch lies between them
PURPOSE: Mapping[ZoneKind, tuple[str, str]] = {
    ZoneKind.PLANTING: ("planting", "#8a9f6a"),
    ZoneKind.LAWN: ("turf", "#93ad6c"),
    ZoneKind.WATER: ("water", "#7fa3b0"),
    ZoneKind.PLAY: ("", "#c9b48c"),
}


@dataclass(frozen=True, slots=True)
class Surface:
    """How a zone is drawn, and the title of what it is laid in (empty: not chosen)."""

    hatch: str = ""
    color: str = ""
    title: str = ""
    material: str = ""  # the key of that finish


def surface_of(job: Job, basis: Basis, zone: Zone) -> Surface:
    """The surface of a zone's chosen alternative: its finish, else its recipe's drawing, else its purpose."""
    chosen = job.chosen(zone)
    works = works_on(job, PlaceKind.ALTERNATIVE, chosen.id) if chosen else []
    rests_on = (zone, works, job.choices, Same(basis.assemblies), Same(basis.materials))
    return _SURFACES.get_or_make(zone.id.int, rests_on, lambda: _surface_of(job, basis, zone))


_SURFACES: KeptByInputs[Surface] = KeptByInputs(4096)


def _surface_of(job: Job, basis: Basis, zone: Zone) -> Surface:
    for work, assembly in _surface_works(job, basis, zone):
        finish = _finish(job, basis, zone, work, assembly)
        drawn = assembly.drawing
        if finish is not None and drawn.hatch != PLANTED:
            hatch = finish.hatch if finish.hatch not in {"", "none"} else drawn.hatch
            return Surface(
                hatch, seen_as(finish.color, finish.blend) or seen_as(drawn.color, {}), finish.title, finish.key
            )
        return Surface(drawn.hatch, seen_as(drawn.color, {}), work.title or assembly.title)
    return Surface(*PURPOSE.get(zone.kind, ("", "")))


def _surface_works(job: Job, basis: Basis, zone: Zone) -> Iterator[tuple[Work, Assembly]]:
    """Works on the zone that draw a surface, the last one placed first: it lies on top."""
    chosen = job.chosen(zone)
    if chosen is None:
        return
    for work in reversed(works_on(job, PlaceKind.ALTERNATIVE, chosen.id)):
        assembly = basis.assemblies.get(work.assembly)
        if assembly is not None and assembly.drawing.hatch not in {"", "none"}:
            yield work, assembly


def works_on(job: Job, place: PlaceKind, place_id: UUID) -> list[Work]:
    """The works placed on a thing, in their order."""
    found = _BY_PLACE.get(job.works)
    if found is None:
        found = {}
        for work in job.works:
            found.setdefault((work.place, work.place_id), []).append(work)
        _BY_PLACE.keep(job.works, found)
    return found.get((place, place_id), [])


_BY_PLACE: BoundedByIdentity[tuple[Work, ...], dict[tuple[PlaceKind, UUID | None], list[Work]]] = BoundedByIdentity(48)


def _finish(job: Job, basis: Basis, zone: Zone, work: Work, assembly: Assembly) -> Material | None:
    """The finish the client sees: as set on the work, chosen for the zone, chosen for the job, or shipped."""
    return next(finishes_seen(job, basis, zone.id, work, assembly), None)


def finishes_seen(job: Job, basis: Basis, zone_id: UUID | None, work: Work, assembly: Assembly) -> Iterator[Material]:
    """Each finish of a recipe that has a color, in the order of its parts."""
    for part in assembly.parts:
        named = (
            work.finishes.get(part.role),
            *(c.material for c in job.choices if c.role == part.role and c.zone_id == zone_id and zone_id),
            *(c.material for c in job.choices if c.role == part.role and c.zone_id is None),
            part.material,
        )
        material = next((basis.materials[key] for key in named if key and key in basis.materials), None)
        if material is not None and material.finish and (material.color or material.blend):
            yield material
