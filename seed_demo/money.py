"""What the Whitlocks paid so far: the payment at signing, billed and paid by check."""

from uuid import UUID

from app.services import invoicing, receiving
from app.services.billed import job_money
from app.services.office import Office
from app.services.sheets import sheet
from seed_demo.telling import order


async def bill_first_payment(office: Office, job_id: UUID) -> None:
    """Mark the first payment as reached, issue its invoice and take the check for it."""
    view = sheet(office, job_id)
    first = job_money(office, view).milestones[0].milestone
    receiving.reach(office, view, first.key, view.today, (), order())
    asked = invoicing.Asked(milestones=(first.key,))
    issued = await invoicing.issue(office, sheet(office, job_id), asked, order())
    paid = {"cents": issued.price_cents, "day": view.today, "how": "check", "number": "2208", "invoice": issued.id}
    receiving.receive(office, sheet(office, job_id), paid, order())
