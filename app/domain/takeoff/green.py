"""The ground that is watered: lawn and planting as it is today, and as it is once the plan is built."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import shapely

from app.domain.basis import Assembly, Basis
from app.domain.job import Alternative, Fate, Job, PlaceKind, Zone, ZoneKind
from app.domain.plan.outline import Outline, chords

SURFACES = "surfaces"  # group of the recipes that finish a surface
SOFT = frozenset({"turf", "mulch", "planting", "none"})  # hatches of surfaces that water sinks into, and of treatments
LAWN, BED = "turf", "bed"  # kinds of things that are there
LAWN_HATCH, BED_HATCH = "turf", "planting"
COVERED = frozenset({"concrete", "pavers", "deck", "driveway", "structure"})  # kinds of what is there, not watered

Shape = Any


@dataclass(frozen=True, slots=True)
class Green:
    """Lawn and planted ground, apart from one another; `drawn`: any of it is on the plan."""

    lawn: Shape
    beds: Shape
    drawn: bool

    @property
    def all(self) -> Shape:
        """Both."""
        return shapely.union_all([self.lawn, self.beds])


def is_hard(assembly: Assembly) -> bool:
    """Whether a recipe makes a hard surface."""
    return assembly.measures == "zone" and assembly.group == SURFACES and assembly.drawing.hatch not in SOFT


def ground_of_outline(outline: Outline) -> Shape:
    """The ground of an outline, for the geometry library."""
    return chords(outline).polygon


def green_of_zone(job: Job, basis: Basis, zone: Zone, way: Alternative) -> str:
    """What of a zone is watered: `LAWN`, `BED`, or nothing (empty), by what it is built as, else by its purpose."""
    works = (one for one in job.works if one.place is PlaceKind.ALTERNATIVE and one.place_id == way.id)
    recipes = [basis.assemblies[one.assembly] for one in works if one.assembly in basis.assemblies]
    if any(is_hard(one) for one in recipes):
        return ""
    hatches = {one.drawing.hatch for one in recipes if one.measures == "zone"}
    if zone.kind is ZoneKind.PLANTING or (BED_HATCH in hatches and zone.kind is not ZoneKind.LAWN):
        return BED
    return LAWN if zone.kind is ZoneKind.LAWN or LAWN_HATCH in hatches else ""


def green_today(job: Job) -> Green:
    """Lawn and beds that are there, as they were drawn, without house and what covers the ground."""
    lawn, beds = _there(job, LAWN, set(Fate)), _there(job, BED, set(Fate))
    covered = shapely.union_all([*_house(job), *_covering(job, set(Fate))])
    return Green(lawn.difference(beds).difference(covered), beds.difference(covered), bool(lawn.area + beds.area))


def green_built(job: Job, basis: Basis) -> Green:
    """Lawn and beds once the plan is built: those of its zones, and what stays of what is there where no zone lies."""
    parts: dict[str, list[Shape]] = {LAWN: [], BED: [], "": []}
    for zone, way, outline in zones_drawn(job):
        parts[green_of_zone(job, basis, zone, way)].append(ground_of_outline(outline))
    stays = {Fate.STAYS, Fate.PROTECTED}
    zoned = shapely.union_all([one for part in parts.values() for one in part])
    covered = shapely.union_all([*_house(job), *_covering(job, stays), *parts[""]])
    beds = shapely.union_all([*parts[BED], _there(job, BED, stays).difference(zoned)]).difference(covered)
    lawn = shapely.union_all([*parts[LAWN], _there(job, LAWN, stays).difference(zoned)]).difference(covered)
    return Green(lawn.difference(beds), beds, bool(lawn.area + beds.area))


def zones_drawn(job: Job) -> Iterator[tuple[Zone, Alternative, Outline]]:
    """Every zone that is drawn, with the way it is built."""
    chosen = job.chosen_by_zone()
    for zone in job.zones:
        way = chosen.get(zone.id)
        if way is not None and way.outline is not None:
            yield zone, way, way.outline


def _there(job: Job, kind: str, fates: set[Fate]) -> Shape:
    drawn = (one.outline for one in job.existing if one.kind == kind and one.fate in fates and one.outline)
    return shapely.union_all([ground_of_outline(one) for one in drawn])


def _covering(job: Job, fates: set[Fate]) -> Iterator[Shape]:
    for one in job.existing:
        if one.kind in COVERED and one.fate in fates and one.outline:
            yield ground_of_outline(one.outline)


def _house(job: Job) -> list[Shape]:
    return [ground_of_outline(job.site.house)] if job.site.house else []
