"""Drip line of a bed, laid in its outline; its length and flow put into the recipe, and so into the price."""

from dataclasses import dataclass, replace
from math import ceil
from uuid import UUID, uuid5

from app.documents.drip_drawing import drip_svg
from app.domain.basis import Basis
from app.domain.codec import to_plain
from app.domain.errors import BadValue, NotFound, OutlayError
from app.domain.job import Alternative, Job, PlaceKind
from app.domain.keeping import KeptByInputs
from app.domain.plan.arcs import Point
from app.domain.plan.measures import area
from app.domain.takeoff.drip_lines import RECIPE, drip_laid, drip_numbers, drip_work
from app.domain.trades.planting.drip import AROUND, DripLayout, emitters_on, minutes_for, rain_rate, valves_for
from app.domain.units import GALLON
from app.services import jobs
from app.services.bed_care import WATER_DAY
from app.services.beds import BedLine
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.zones import new_work

# where the bed has no drip yet: as the recipe begins with. Lengths [ft], flows [gal/h]
APART, EMITTER, VALVE = 1.5, 0.6, 200.0
WATERINGS = 3  # in a hot week, of a bed that has grown in. Common practice, no source
_EMITTERS: KeptByInputs[tuple[Point, ...]] = KeptByInputs(128)


@dataclass(frozen=True, slots=True, kw_only=True)
class BedDrip:
    """Drip line as it lies in a bed: lines, lengths [ft], emitters, flow [gal/h], valves, in of water an hour.

    `around`: it follows the outline, else it lies in rows. `minutes` is how long it runs for a hot day's water, `day`
    [in], and `weekly` for each of three waterings of a hot week. `priced` is what the recipe has now [ft]; None where
    the bed has no drip in its price.
    """

    rows: int
    around: bool
    spacing: float
    laid: float
    header: float
    apart: float
    emitters: int
    emitter: float
    flow: float
    valves: int
    rate: float
    day: float
    minutes: float
    weekly: float
    work_id: UUID | None
    priced: float | None
    layout: DripLayout
    places: tuple[Point, ...]  # of its emitters

    @property
    def length(self) -> float:
        """Line in all, as it is put into the recipe: whole feet."""
        return float(ceil(self.laid + self.header - 1e-9))

    @property
    def agrees(self) -> bool:
        """Whether the price has this length."""
        return self.priced is not None and abs(self.priced - self.length) < 1e-6


def drip_of(view: Sheet, way: Alternative) -> BedDrip | None:
    """The drip line of a bed; None for one that is not drawn, or in which none can lie."""
    return _drip(view.job, view.basis, way)


def _drip(job: Job, basis: Basis, way: Alternative) -> BedDrip | None:
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
    count = len(places)
    rate = rain_rate(count * emitter, area(way.outline))
    rule = basis.rules.get("plant-water-day")
    day = rule.value if rule else WATER_DAY
    return BedDrip(
        rows=len(layout.lines),
        around=way.drip == AROUND,
        spacing=spacing,
        laid=layout.laid,
        header=layout.header,
        apart=apart,
        emitters=count,
        emitter=emitter,
        flow=count * emitter,
        valves=valves_for(count * emitter, most),
        rate=rate,
        day=day,
        minutes=minutes_for(day, rate),
        weekly=minutes_for(day * 7 / WATERINGS, rate),
        work_id=work.id if work else None,
        priced=numbers.get("line") if work else None,
        layout=layout,
        places=places,
    )


def drip_picture(bed: BedLine, drip: BedDrip) -> str:
    """A bed with its drip line and its plants, as a picture."""
    if bed.way.outline is None:
        return ""
    plants = [at for line in bed.lines for at in line.row.points]
    lines = f"{drip.rows} {'lines around' if drip.around else 'rows'} of drip line"
    says = f"{lines}, {drip.length:g} ft in all, {drip.emitters} emitters, and {len(plants)} plants."
    return drip_svg(bed.way.outline, drip.layout, plants, drip.places, (f"Drip line in {bed.zone.title}", says))


def take_drip(office: Office, job_id: UUID, way_id: UUID, order: Order) -> None:
    """Put the line as it lies into the recipe of the bed, which is added where the bed has none; one change.

    Raises: NotFound; BadValue for a bed that is not drawn, or whose price has this length already.
    """
    opened = jobs.open_job(office, job_id)
    way = next((one for one in opened.job.alternatives if one.id == way_id), None)
    if way is None:
        raise NotFound("This bed is not there (any more). Nothing was changed.")
    if jobs.is_saved(office, order.change_id):
        return
    found = _drip(opened.job, opened.basis, way)
    if found is None:
        raise BadValue("Draw the bed first: drip line is laid in its outline.")
    if found.agrees:
        raise BadValue("The price has this drip line already.")
    work = drip_work(opened.job, way_id)
    line = f"{found.length:g}*foot"
    if work is None:
        new = new_work(opened, PlaceKind.ALTERNATIVE, way_id, RECIPE)
        edit = made("work", replace(new, id=uuid5(order.change_id, "work"), parameters={"line": line}))
    else:
        parameters = to_plain({**work.parameters, "line": line})
        edit = changed("work", work.id, opened.version("work", work.id), {"parameters": parameters})
    jobs.save(office, job_id, (edit,), replace(order, what=f"Drip line: {found.length:g} ft"))


def lay_drip(office: Office, job_id: UUID, way_id: UUID, way: str, order: Order) -> None:
    """Lay the drip line of a bed in rows, or around as its outline runs; one change.

    Raises: NotFound, Stale.
    """
    opened = jobs.open_job(office, job_id)
    if all(one.id != way_id for one in opened.job.alternatives):
        raise NotFound("This bed is not there (any more). Nothing was changed.")
    edit = changed("alternative", way_id, opened.version_read(order, "alternative", way_id), {"drip": way})
    words = "Drip line around, as the outline runs" if way == AROUND else "Drip line in rows"
    jobs.save(office, job_id, (edit,), replace(order, what=words))
