"""What goes with an application to a town or an association, on paper: figures, plan, finishes, neighbors."""

from uuid import UUID

from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.application import application
from app.domain.job import Approval
from app.services import cut_sheets, revisions
from app.services.application_finishes import finishes_of
from app.services.lot_limits import easement_lines
from app.services.office import Office
from app.services.plan_print import paper_of, plan_pages
from app.services.sheets import Sheet
from app.services.zones import find

NEIGHBORS = 6  # lines for those who saw the plan
ASSOCIATION = "association"


def application_pdf(office: Office, view: Sheet, approval_id: UUID) -> PdfOrder:
    """The papers that go with one approval: of today's plan, without any money.

    Raises: NotFound.
    """
    approval: Approval = find(view.job.approvals, approval_id, "approval")
    today = revisions.today_at(office, view.job.head.time_zone)
    firm = view.basis.firm
    title = approval.title or "Application"
    enclosed = cut_sheets.sheets_of(view, approval_id)
    pictures, pages = cut_sheets.printed(office, enclosed)
    values = {
        "job": view.job,
        "firm": firm,
        "approval": approval,
        "found": application(view.job, view.basis),
        "easements": easement_lines(view.job),
        "finishes": finishes_of(view),
        "enclosed": enclosed,
        "sheet_of": {one.material for one in enclosed if one.material},
        "pictures": pictures,
        "paper": paper_of(view),
        "plans": plan_pages(view, "Application", today, lot=True),
        "neighbors": NEIGHBORS if approval.kind == ASSOCIATION else 0,
        "today": today,
        "title": title,
    }
    return PdfOrder(
        html=document(office.settings.templates, "application", firm, values),
        paper=paper_of(view),  # type: ignore[arg-type]  # one of the two
        title=title,
        language=firm.language,
        identifier=f"{view.job.head.id}-application-{approval.id}",
        pages=pages,
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
