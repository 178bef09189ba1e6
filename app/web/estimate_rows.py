"""Lines of the estimate as rows of a table. A row's markup is kept with its words: an edit renders what it changed."""

from collections.abc import Iterable
from pathlib import Path

from markupsafe import Markup

from app.domain.keeping import BoundedByIdentity
from app.services.estimate_lines import Row
from app.web.rendering import environment


def rows_html(rows: Iterable[Row], templates: Path, here: str, by: str) -> Markup:
    """Rows of one group as markup."""
    return Markup("".join(_row(row, templates, here, by) for row in rows))  # noqa: S704 - rows of a template


_WRITTEN: BoundedByIdentity[Row, tuple[tuple[Path, str, str], str]] = BoundedByIdentity(5_000)


def _row(row: Row, templates: Path, here: str, by: str) -> str:
    place, kept = (templates, here, by), _WRITTEN.get(row)
    if kept is None or kept[0] != place:
        template = environment(templates).get_template("estimate/_row.html")
        kept = (place, template.render(row=row, job_page=here, by=by))
        _WRITTEN.keep(row, kept)
    return kept[1]
