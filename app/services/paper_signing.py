"""Signing on paper, always possible: the sheet to sign by hand beside the offered pages, and the notice twice."""

from app.db.repositories.revisions import Revision
from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.services import revisions
from app.services.notices import notice_if_signed
from app.services.office import Office
from app.services.sheets import Sheet


def paper_sheet(office: Office, view: Sheet, one: Revision) -> PdfOrder:
    """A line for each who has yet to sign, the statement beside it, and the notice twice, as of today at the site."""
    firm, head = view.basis.firm, view.job.head
    today = revisions.today_at(office, head.time_zone)
    title = f"To sign by hand: {one.kind} {one.number}, {head.title}"
    values = {
        "one": one,
        "title": title,
        "firm": firm,
        "job": view.job,
        "fingerprint": one.files["offered"],
        "intent": revisions.INTENT,
        "notice": None if one.kind == revisions.COMPLETION else notice_if_signed(office, today, view.basis),
        "today": today,
    }
    return PdfOrder(
        html=document(office.settings.templates, "paper_signing", firm, values),
        paper="a4" if (head.paper or firm.paper) == "a4" else "letter",
        title=title,
        language=firm.language,
        identifier=f"{one.id}-paper-{today}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
