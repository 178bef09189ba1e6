"""The design agreement: gathered, shown, offered; it is signed and recorded like a proposal."""

from dataclasses import dataclass

from app.db.repositories.revisions import Revision, next_number
from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.agreement import Agreement, design_agreement
from app.domain.codec import to_plain
from app.services import revisions
from app.services.jobs import Order
from app.services.office import Office
from app.services.proposals import mark_address
from app.services.revisions import DESIGN, Offer
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignDraft:
    """The design agreement as it would be offered now."""

    act: Agreement
    html: str


def design_draft(office: Office, view: Sheet) -> DesignDraft:
    """The next design agreement of a job. Raises: Refused when it has no fee."""
    with office.database.read() as connection:
        number = next_number(connection, str(view.job.head.id), DESIGN)
    today = revisions.today_at(office, view.job.head.time_zone)
    act = design_agreement(view.job, view.basis, number=number, made_on=today)
    values = {"act": act, "mark": mark_address(office, act.mark)}
    return DesignDraft(act=act, html=document(office.settings.templates, "design_agreement", view.basis.firm, values))


async def offer_design(office: Office, view: Sheet, order: Order, *, contractor: str = "") -> Revision:
    """Offer the design agreement.

    Raises: Refused when it has no fee.
    """
    made = design_draft(office, view)
    paper = view.job.head.paper or view.basis.firm.paper
    pdf = PdfOrder(
        html=made.html,
        paper="a4" if paper == "a4" else "letter",
        title=f"Design agreement {made.act.number}, {view.job.head.title}",
        language=view.basis.firm.language,
        identifier=f"design-{view.job.head.id}-{made.act.number}-{view.opened.counter}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
    offer = Offer(
        kind=DESIGN,
        pdf=pdf,
        price_cents=made.act.fee_cents,
        holds_until=made.act.holds_until,
        signers=made.act.signers,
        results={"agreement": to_plain(made.act)},
        contractor=contractor,
    )
    return await revisions.issue(office, view, offer, order)
