"""What a bed wants and shows through the year: its bloom and bands of height, its water, its first season."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.documents.bed_chart import Blooming, bloom_svg
from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.palette.bloom_colors import bloom_hexes, named_only
from app.domain.plant import band_names
from app.domain.takeoff.drip_lines import BedDrip, bed_drip, water_day
from app.domain.takeoff.planted import PlantedRow
from app.domain.trades.planting.drip import emitters_by
from app.domain.trades.planting.heights import band_words
from app.domain.trades.planting.watering import WEEKS, LineWater, Watered, WaterGroup, line_water, water_groups
from app.domain.units import System
from app.services.beds import BedLine, bed_lines
from app.services.office import Office
from app.services.sheets import Sheet

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True, kw_only=True)
class BedYear:
    """A bed through the year: its chart, months between first and last bloom in which nothing blooms, its water."""

    chart: str
    gaps: Sequence[str]
    groups: Sequence[WaterGroup]


def bed_year(view: Sheet, bed: BedLine) -> BedYear | None:
    """The year of a bed; None for one without plants that the table knows."""
    rows = [line.row for line in bed.lines if line.row.plant and line.row.count]
    if not rows:
        return None
    return BedYear(
        chart=bloom_chart(bed.zone.title, rows, view.basis.firm.system), gaps=_gaps(rows), groups=groups_of(view, rows)
    )


def groups_of(view: Sheet, rows: Sequence[PlantedRow]) -> Sequence[WaterGroup]:
    """The plants of a bed by the water they want, each with emitters of its own."""
    return water_groups(_watered(rows), water_day(view.basis))


def _watered(rows: Sequence[PlantedRow]) -> list[Watered]:
    return [
        Watered(
            title=row.title,
            kind=row.plant.kind,
            need=row.plant.water,
            count=row.count,
            spread=sum(row.plant.spread) / 2,
            gallons=row.size.gallons,
            trunk=row.size.trunk,
            emitters=row.size.emitters,
            flow=row.size.flow,
        )
        for row in rows
        if row.plant and row.size and row.size.emitters
    ]


def line_of_bed(view: Sheet, bed: BedLine) -> tuple[BedDrip, LineWater] | None:
    """The drip line that a bed is built with, and how it waters what stands there; None for a bed without one."""
    drip = bed_drip(view.job, view.basis, bed.way)
    if drip is None or not drip.priced:
        return None
    watered = []
    for row in (line.row for line in bed.lines):
        near = emitters_by(row.points, drip.places, drip.reach)
        each = int(sum(near) / len(near)) if near else 0
        watered += [replace(one, emitters=each, flow=drip.emitter) for one in _watered([row])]
    return (drip, line_water(watered, drip.flow)) if watered else None


def bloom_chart(title: str, rows: Sequence[PlantedRow], system: System) -> str:
    """When the plants of a bed bloom and how high they grow, the highest first."""
    order = band_names()
    plants = {row.plant.key: row.plant for row in rows if row.plant}.values()
    in_order = sorted(plants, key=lambda one: (-order.index(one.band), min(one.bloom, default=13), one.key))
    shown = [
        Blooming(one.botanical, one.bloom, one.evergreen, band_words(one.band, system), bloom_hexes(one.colors))
        for one in in_order
    ]
    said = (f"{_bloom_words(one.bloom)}{_color_words(one.colors)}" for one in in_order)
    says = "; ".join(f"{one.name}: {words}, {one.band}" for one, words in zip(shown, said, strict=True))
    return bloom_svg(shown, MONTHS, f"Bloom and height through the year, {title}", says)


def grown_harm(rows: Sequence[PlantedRow]) -> Sequence[str]:
    """Plants that are known to harm when eaten or touched, by their common names."""
    plants = {row.plant.key: row.plant for row in rows if row.plant}.values()
    return [one.common for one in plants if one.people or one.pets]


def _bloom_words(months: Sequence[int]) -> str:
    return " ".join(MONTHS[month - 1] for month in months) or "no bloom that shows"


def _color_words(colors: Sequence[str]) -> str:
    return f" in {', '.join(named_only(color) for color in colors)}" if colors else ""


def _gaps(rows: Sequence[PlantedRow]) -> Sequence[str]:
    """Months between the first and the last bloom of a bed in which nothing blooms."""
    blooms = {month for row in rows if row.plant for month in row.plant.bloom}
    if not blooms:
        return ()
    return [MONTHS[month - 1] for month in range(min(blooms), max(blooms)) if month not in blooms]


@dataclass(frozen=True, slots=True, kw_only=True)
class WateringPage:
    """The first-season watering sheet: beds with their rows, and how often by weeks. No money.

    A bed that is built with drip line has that, one without has emitters by plant.
    """

    beds: Sequence[tuple[BedLine, Sequence[WaterGroup], tuple[BedDrip, LineWater] | None]]
    weeks: Sequence[tuple[str, str, float]]


def watering_page(view: Sheet) -> WateringPage:
    """The watering sheet of a job's beds."""
    found = [
        (bed, groups_of(view, [line.row for line in bed.lines]), line_of_bed(view, bed)) for bed in bed_lines(view)
    ]
    return WateringPage(beds=[one for one in found if one[1]], weeks=WEEKS)


def watering_pdf(office: Office, view: Sheet) -> PdfOrder:
    """The first-season watering sheet on paper, for whoever waters."""
    firm, head = view.basis.firm, view.job.head
    title = f"Watering sheet, {head.title or view.job.client.name}"
    values = {"job": view.job, "firm_name": firm.name, "page": watering_page(view), "title": title}
    return PdfOrder(
        html=document(office.settings.templates, "watering_sheet", firm, values),
        paper="a4" if (head.paper or firm.paper) == "a4" else "letter",
        title=title,
        language=firm.language,
        identifier=f"{head.id}-watering",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
