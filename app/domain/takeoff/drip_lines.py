"""Drip line of the beds of a job, laid in their outlines as the numbers of its recipe say."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from uuid import UUID

from app.domain.basis import Basis
from app.domain.errors import OutlayError
from app.domain.job import Alternative, Job, PlaceKind, Work, Zone
from app.domain.keeping import KeptByInputs
from app.domain.plan.outline import Outline
from app.domain.takeoff.requirements import worked_parameters
from app.domain.trades.planting.drip import DripLayout, drip_layout

RECIPE = "drip-in-bed"
ROWS = 1.5  # ft: where the bed has no drip yet, as the recipe begins with
_LAYOUTS: KeptByInputs[DripLayout] = KeptByInputs(128)


def drip_work(job: Job, way_id: UUID) -> Work | None:
    """The drip line among what a bed is built as."""
    there = (one for one in job.works if one.place is PlaceKind.ALTERNATIVE and one.place_id == way_id)
    return next((one for one in there if one.assembly == RECIPE), None)


def drip_numbers(job: Job, basis: Basis) -> Mapping[UUID, Mapping[str, float]]:
    """The parameters [canonical units] of every drip line, by work."""
    only = tuple(one for one in job.works if one.assembly == RECIPE)
    return worked_parameters(replace(job, works=only), basis, ("apart",)) if only else {}


def drip_laid(way: Alternative, outline: Outline, numbers: Mapping[str, float]) -> tuple[float, DripLayout]:
    """How far apart [ft] its lines lie, and the lines in the outline of a bed; kept while these are the same.

    Raises: BadValue, as `drip_layout`.
    """
    spacing = numbers.get("rows", ROWS)
    rests_on = (outline, spacing, way.drip)
    return spacing, _LAYOUTS.get_or_make(way.id, rests_on, lambda: drip_layout(outline, spacing, way.drip))


def drip_lines(job: Job, basis: Basis) -> Iterator[tuple[Zone, DripLayout]]:
    """The drip line of every drawn bed that is built with one; none where it cannot lie."""
    numbers = drip_numbers(job, basis)
    for zone in job.zones if numbers else ():
        way = job.chosen(zone)
        work = drip_work(job, way.id) if way else None
        if way is None or way.outline is None or work is None or work.id not in numbers:
            continue
        try:
            yield zone, drip_laid(way, way.outline, numbers[work.id])[1]
        except OutlayError:
            continue
