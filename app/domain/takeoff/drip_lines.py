"""Drip line of the beds of a job, laid in their outlines as the numbers of its recipe say.

What the Beds page, the crew, the order and whoever waters are told of it comes from here.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil, hypot
from uuid import UUID

from app.domain.basis import Basis
from app.domain.errors import OutlayError
from app.domain.job import Alternative, Job, PlaceKind, Work, Zone
from app.domain.keeping import KeptByInputs
from app.domain.plan.arcs import Point
from app.domain.plan.measures import area
from app.domain.plan.outline import Outline
from app.domain.takeoff.requirements import worked_parameters
from app.domain.trades.planting.drip import (
    AROUND,
    DripLayout,
    drip_layout,
    emitters_on,
    minutes_for,
    rain_rate,
    valves_for,
)
from app.domain.units import GALLON

RECIPE = "drip-in-bed"
# where the bed has no drip yet: as the recipe begins with. Lengths [ft], flows [gal/h]
ROWS, APART, EMITTER, VALVE = 1.5, 1.5, 0.6, 200.0
WATER_DAY = 0.18  # in of water, where the firm's rules do not say. Source: as the rule
WATERINGS = 3  # in a hot week, of a bed that has grown in. Common practice, no source
_LAYOUTS: KeptByInputs[DripLayout] = KeptByInputs(128)
_EMITTERS: KeptByInputs[tuple[Point, ...]] = KeptByInputs(128)


@dataclass(frozen=True, slots=True, kw_only=True)
class BedDrip:
    """Drip line as it lies in a bed: lines, lengths [ft], emitters, flow [gal/h], valves, in of water an hour.

    `around`: it follows the outline, else it lies in rows. `minutes` is how long it runs for a hot day's water, `day`
    [in], and `weekly` for each of three waterings of a hot week. `priced` is what the recipe has now, by parameter;
    empty where the bed has no drip in its price.
    """

    around: bool
    spacing: float
    apart: float
    emitter: float
    valves: int
    rate: float
    day: float
    minutes: float
    weekly: float
    work_id: UUID | None
    priced: Mapping[str, float]
    takes: tuple[str, ...]  # the recipe's parameters that follow from the line; older editions count no fittings
    layout: DripLayout
    places: tuple[Point, ...]  # of its emitters

    @property
    def rows(self) -> int:
        """How many lines lie there."""
        return len(self.layout.lines)

    @property
    def laid(self) -> float:
        """The lines [ft], without what joins them."""
        return self.layout.laid

    @property
    def header(self) -> float:
        """What joins them [ft]."""
        return self.layout.header

    @property
    def emitters(self) -> int:
        """How many emitters lie there."""
        return len(self.places)

    @property
    def flow(self) -> float:
        """What they let out together [gal/h]."""
        return self.emitters * self.emitter

    @property
    def reach(self) -> float:
        """How far from an emitter its water is counted [ft]: half of the way across, so that all ground has one."""
        return hypot(self.spacing, self.apart) / 2

    @property
    def length(self) -> float:
        """Line in all, as it is put into the recipe: whole feet."""
        return float(ceil(self.laid + self.header - 1e-9))

    @property
    def wanted(self) -> Mapping[str, str]:
        """What goes into the recipe: line, filters with regulator, fittings."""
        told = {"line": f"{self.length:g}*foot", "kits": f"{self.valves}", "fittings": f"{self.layout.fittings}"}
        return {name: told[name] for name in self.takes}

    @property
    def agrees(self) -> bool:
        """Whether the price has these."""
        now = {"line": self.length, "kits": self.valves, "fittings": self.layout.fittings}
        return bool(self.priced) and all(abs(value - now[name]) < 1e-6 for name, value in self.priced.items())


def water_day(basis: Basis) -> float:
    """The water of a hot day [in], by the firm's rule."""
    rule = basis.rules.get("plant-water-day")
    return rule.value if rule else WATER_DAY


def bed_drip(job: Job, basis: Basis, way: Alternative) -> BedDrip | None:
    """The drip line of a bed, built or not yet; None for one that is not drawn, or in which none can lie."""
    if way.outline is None or RECIPE not in basis.assemblies:
        return None
    work = drip_work(job, way.id)
    numbers = drip_numbers(job, basis).get(work.id, {}) if work else {}
    apart = numbers.get("apart", APART)
    emitter, most = (
        numbers[one] / GALLON if one in numbers else usual
        for one, usual in (("emitter", EMITTER), ("valve_flow", VALVE))
    )
    try:
        spacing, layout = drip_laid(way, way.outline, numbers)
        places = _EMITTERS.get_or_make(way.id, (layout, apart), lambda: emitters_on(layout, apart))
    except OutlayError:
        return None
    flow = len(places) * emitter
    known = basis.assemblies[RECIPE].parameters
    takes = tuple(name for name in ("line", "kits", "fittings") if name in known)
    rate, day = rain_rate(flow, area(way.outline)), water_day(basis)
    return BedDrip(
        around=way.drip == AROUND,
        spacing=spacing,
        apart=apart,
        emitter=emitter,
        valves=valves_for(flow, most),
        rate=rate,
        day=day,
        minutes=minutes_for(day, rate),
        weekly=minutes_for(day * 7 / WATERINGS, rate),
        work_id=work.id if work else None,
        priced={name: numbers[name] for name in takes if name in numbers},
        takes=takes,
        layout=layout,
        places=places,
    )


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
