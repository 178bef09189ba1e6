"""Two standings of a job as a chart and on paper, for the firm's own file."""

from markupsafe import Markup

from app.documents.charts import Bar, Words, bars_svg
from app.documents.formats import Formats
from app.documents.pages import document
from app.documents.pdf import PdfOrder, drawing_image
from app.domain.errors import Refused
from app.services.comparing import CompareView
from app.services.office import Office
from app.services.sheets import Sheet


def moved_chart(view: Sheet, it: CompareView) -> str:
    """How far each zone moved, as bars; empty where there is nothing to compare."""
    if it.comparison is None:
        return ""
    fmt = Formats(view.basis.firm.system, view.basis.firm.currency)
    rows = []
    for zone in it.comparison.zones:
        named = it.zones.get(zone.zone)
        title = f"{named.letter} {named.title}".strip() if named else "A zone that is gone"
        rows.append(Bar(title, float(zone.by), ("+" if zone.by > 0 else "") + fmt.money(zone.by)))
    said = "; ".join(f"{row.label}: {row.words}" for row in rows)
    return bars_svg(rows, Words("What each zone moved by", said))


def compare_pdf(office: Office, view: Sheet, it: CompareView) -> PdfOrder:
    """The comparison as a PDF. Raises: Refused where there is nothing to compare."""
    if it.comparison is None:
        raise Refused("Nothing was offered yet, so there are no two revisions to print.")
    firm = view.basis.firm
    title = f"Two revisions, {view.job.head.title or view.job.client.name or 'job'}"
    drawn = drawing_image(moved_chart(view, it).replace('width="100%"', 'width="560"'), "What each zone moved by")
    values = {
        "title": title,
        "job": view.job,
        "it": it,
        "chart": Markup(drawn),  # noqa: S704 - ours, escaped
    }
    return PdfOrder(
        html=document(office.settings.templates, "compare", firm, values),
        paper="a4" if (view.job.head.paper or firm.paper) == "a4" else "letter",
        title=title,
        language=firm.language,
        identifier=f"{view.job.head.id}-compare-{it.before.key}-{it.after.key}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
