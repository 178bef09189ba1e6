"""Where borders along some sides stop: the inner corner of each end, to stake beside the corners of the outline."""

from collections.abc import Iterator

from app.domain.basis import Basis
from app.domain.errors import OutlayError
from app.domain.job import Job, PlaceKind, only_included
from app.domain.plan.laying.laid import courses_of
from app.domain.plan.laying.sides import stops_of
from app.domain.plan.staking import Spot
from app.domain.takeoff.requirements import laid_on


def border_stops(job: Job, basis: Basis) -> tuple[Spot, ...]:
    """The inner corners of all borders that do not go all around, zone by zone."""
    return tuple(_stops(only_included(job), basis))


def _stops(job: Job, basis: Basis) -> Iterator[Spot]:
    chosen = job.chosen_by_zone()
    for zone in job.zones:
        way = chosen.get(zone.id)
        for work in job.works if way else ():
            laying = work.laying
            if way is None or work.place is not PlaceKind.ALTERNATIVE or work.place_id != way.id or laying is None:
                continue
            found = laid_on(job, basis, work) if laying.along and laying.borders and way.outline else None
            if found is None or found.laid is None or way.outline is None:
                continue
            courses = courses_of(laying, found.units[0], found.units[1:])
            depth = courses[-1].inner + courses[-1].unit.joint
            title = f"{zone.letter} {zone.title}".strip() or "zone"
            try:
                places = stops_of(way.outline, laying.along, depth, mitered=laying.ends == "miter")
            except OutlayError:  # sides that are gone: said where the pattern stands
                continue
            yield from (Spot(f"{title}, border stops", at) for at in places)
