"""Drip line of a bed, laid in its outline; its length and flow put into the recipe, and so into the price."""

from dataclasses import replace
from uuid import UUID, uuid5

from app.documents.drip_drawing import drip_svg
from app.domain.codec import to_plain
from app.domain.errors import BadValue, NotFound
from app.domain.job import Alternative, PlaceKind
from app.domain.takeoff.drip_lines import RECIPE, BedDrip, bed_drip, drip_work
from app.domain.trades.planting.drip import AROUND
from app.services import jobs
from app.services.beds import BedLine
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.zones import new_work


def drip_of(view: Sheet, way: Alternative) -> BedDrip | None:
    """The drip line of a bed; None for one that is not drawn, or in which none can lie."""
    return bed_drip(view.job, view.basis, way)


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
    found = bed_drip(opened.job, opened.basis, way)
    if found is None:
        raise BadValue("Draw the bed first: drip line is laid in its outline.")
    if found.agrees:
        raise BadValue("The price has this drip line already.")
    work = drip_work(opened.job, way_id)
    if work is None:
        new = new_work(opened, PlaceKind.ALTERNATIVE, way_id, RECIPE)
        edit = made("work", replace(new, id=uuid5(order.change_id, "work"), parameters=found.wanted))
    else:
        parameters = to_plain({**work.parameters, **found.wanted})
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
