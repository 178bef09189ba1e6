"""What goes with an application to a town or an association, on paper: figures, plan, finishes, neighbors."""

from dataclasses import dataclass
from uuid import UUID

from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.application import application
from app.domain.job import Approval
from app.services import revisions
from app.services.lot_limits import easement_lines
from app.services.office import Office
from app.services.palette import palette
from app.services.plan_print import paper_of, plan_pages
from app.services.sheets import Sheet
from app.services.zones import find


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """A finish of the yard: what it is for, its material, the letters of the zones where it lies (none: whole job)."""

    role: str
    material: str
    title: str
    letters: tuple[str, ...]


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
    values = {
        "job": view.job,
        "firm": firm,
        "approval": approval,
        "found": application(view.job, view.basis),
        "easements": easement_lines(view.job),
        "finishes": finishes_of(view),
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
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )


def finishes_of(view: Sheet) -> tuple[Finish, ...]:
    """Every finish once, with all places where it lies, in the order of the palette."""
    found: dict[tuple[str, str], list[str]] = {}
    titles: dict[str, str] = {}
    for card in palette(view):
        for use in card.uses:
            if use.material is not None:
                titles[use.material.key] = use.material.title
                letters = found.setdefault((card.role, use.material.key), [])
                letters += [use.zone.letter] if use.zone and use.zone.letter not in letters else []
    return tuple(
        Finish(role=role, material=key, title=titles[key], letters=tuple(sorted(letters)))
        for (role, key), letters in found.items()
    )
