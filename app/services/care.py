"""The care sheet: month by month from what was built, on the page and as a paper for the client."""

from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.handover.care import CareSheet, care_sheet
from app.domain.handover.handing_over import handed_over_of
from app.domain.letterhead import letterhead
from app.interchange.after_lists import care_lists
from app.services.build import build_sheet
from app.services.office import Office
from app.services.proposals import mark_address
from app.services.sheets import Sheet

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def care_of(office: Office, view: Sheet) -> CareSheet:
    """The care of what is built."""
    stands = build_sheet(office, view).stands
    over = handed_over_of(view.job)
    lists = care_lists(office.settings.library)
    return care_sheet(stands.job, stands.basis, lists, handed_over=over.day if over else None, today=view.today)


def care_pdf(office: Office, view: Sheet) -> PdfOrder:
    """The care sheet on paper."""
    firm, head = office.firm(), view.job.head
    act = letterhead(view.job, firm, number=0, made_on=view.today)
    zones = tuple((zone.letter, zone.title) for zone in build_sheet(office, view).stands.job.zones)
    title = f"Care of your yard, {head.title}"
    values = {
        "act": act,
        "care": care_of(office, view),
        "month_names": MONTHS,
        "zones": zones,
        "mark": mark_address(office, act.mark),
    }
    return PdfOrder(
        html=document(office.settings.templates, "care_sheet", firm, values),
        paper="a4" if (head.paper or firm.paper) == "a4" else "letter",
        title=title,
        language=firm.language,
        identifier=f"{head.id}-care",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
