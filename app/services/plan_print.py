"""The plan sheet on paper: today's plan, true to scale, with the firm's title block."""

from datetime import date

from markupsafe import Markup

from app.documents.pages import document
from app.documents.pdf import PdfOrder, drawing_image
from app.documents.plan_sheet import PAPERS, SCALES, PlanSheets, TitleBlock, plan_sheets
from app.domain.errors import BadValue
from app.domain.job import only_included
from app.services import revisions
from app.services.office import Office
from app.services.sheets import Sheet

MOST_PAGES = 3  # of a plan within another document
PAPER_TITLES = {"letter": "Letter", "tabloid": "Tabloid, 11 × 17 in", "a4": "A4", "a3": "A3"}


def papers() -> tuple[tuple[str, str], ...]:
    """Papers a plan is printed on: key and title."""
    return tuple((key, PAPER_TITLES[key]) for key in PAPER_TITLES if key in PAPERS)


def scales() -> tuple[tuple[str, str], ...]:
    """Scales a plan is drawn at: key and title."""
    return tuple((key, one.title) for key, one in SCALES.items())


def plan_pdf(office: Office, view: Sheet, *, paper: str = "", scale: str = "") -> PdfOrder:
    """The plan as it stands today, as a PDF to print at its own size.

    Raises: BadValue for another paper or scale, for too many sheets, and where nothing is drawn yet.
    """
    job, firm = view.job, view.basis.firm
    today = revisions.today_at(office, job.head.time_zone)
    chosen = paper or paper_of(view)
    sheets = plan_sheets(only_included(job), view.basis, _block(view, "Draft", today), paper=chosen, scale=scale)
    pages = _images(sheets)
    title = f"Plan, {job.head.title or job.client.name or 'job'}"
    values = {"title": title, "pages": pages, "width": f"{PAPERS[chosen][0]:.4f}in"}
    return PdfOrder(
        html=document(office.settings.templates, "plan_sheet", firm, values),
        paper=chosen,  # type: ignore[arg-type]  # checked above
        title=title,
        language=firm.language,
        identifier=f"{job.head.id}-plan-{chosen}-{sheets.scale}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
        landscape=True,
    )


def paper_of(view: Sheet) -> str:
    """The paper a job's plan is printed on unless somebody says otherwise."""
    return "a4" if (view.job.head.paper or view.basis.firm.paper) == "a4" else "letter"


def plan_pages(view: Sheet, standing: str, day: date, *, lot: bool = False) -> tuple[Markup, ...]:
    """The plan true to scale as pages of another document; none while nothing is drawn, or where it takes many.

    With `lot` the whole lot is shown.
    """
    try:
        block = _block(view, standing, day)
        sheets = plan_sheets(only_included(view.job), view.basis, block, paper=paper_of(view), lot=lot)
    except BadValue:
        return ()
    return tuple(_images(sheets)) if len(sheets.pages) <= MOST_PAGES else ()


def _images(sheets: PlanSheets) -> list[Markup]:
    return [
        Markup(drawing_image(svg, words))  # noqa: S704 - ours, escaped
        for svg, words in zip(sheets.pages, sheets.alternatives, strict=True)
    ]


def _block(view: Sheet, standing: str, day: date) -> TitleBlock:
    job, firm = view.job, view.basis.firm
    return TitleBlock(
        firm=firm.name,
        license=f"License {firm.license}" if firm.license else "",
        client=" and ".join(name for name in (job.client.name, job.client.second_name) if name),
        place=", ".join(
            part for part in (job.head.street or job.client.street, job.head.town or job.client.town) if part
        ),
        title=job.head.title or "Plan",
        standing=standing,
        day=f"{day:%B} {day.day}, {day.year}",
    )
