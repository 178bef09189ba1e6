"""What is done on the estimate sheet: starting works, a price typed, a firm price gone on to."""

from dataclasses import replace
from decimal import Decimal
from uuid import UUID

from app.domain.basis import Price
from app.domain.change import Edit
from app.domain.errors import BadValue, NotFound
from app.services import jobs
from app.services.changes import Applied, fields_of
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.starting import lacking


def add_starting_works(office: Office, job_id: UUID, order: Order) -> Applied | None:
    """Add what the job lacks of the works every job starts with; None when it lacks nothing."""
    works = lacking(office, jobs.open_job(office, job_id).job)
    if not works:
        return None
    edits = tuple(made("work", work) for work in works)
    return jobs.save(office, job_id, edits, replace(order, what="What every job starts with"))


def go_firm(office: Office, job_id: UUID, by: str, reason: str, order: Order) -> Applied:
    """Go on to a firm price over what is still rough, with name and reason; both empty: back to a range."""
    opened = jobs.open_job(office, job_id)
    fields = {"firm_price_by": by, "firm_price_reason": reason}
    edit = changed("job", job_id, opened.version_read(order, "job", job_id), fields)
    words = "On to a firm price" if by else "Back to a range"
    return jobs.save(office, job_id, (edit,), replace(order, what=words))


def price_material(office: Office, material: str, unit_price: Decimal, order: Order) -> Applied:
    """Type the price of a material that has none, into the firm's price book.

    Raises: NotFound; BadValue where the material has a price meanwhile.
    """
    basis = office.basis()
    known = basis.materials.get(material)
    if known is None:
        raise NotFound("There is no such material in the library (any more). Nothing was changed.")
    if material in basis.prices:
        raise BadValue(f"{known.title} has a price meanwhile. Change it in the price book.", field="unit_price")
    price = Price(material=material, unit_price=unit_price, priced_on=office.today())
    edit = Edit(kind="price", thing_id=material, version=0, before=None, after=fields_of(price, "price"))
    return jobs.save(office, None, (edit,), replace(order, what=f"Price of {known.title}"))
