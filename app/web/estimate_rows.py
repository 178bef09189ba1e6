"""Lines of the estimate as rows of a table. A row's markup is kept with its words: an edit renders what it changed."""

from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

from markupsafe import Markup

from app.services.estimate_view import Row
from app.web.rendering import environment


def rows_html(rows: Iterable[Row], templates: Path, here: str, by: str) -> Markup:
    """Rows of one group as markup."""
    return Markup("").join(_row(row, templates, here, by) for row in rows)


@lru_cache(maxsize=20_000)
def _row(row: Row, templates: Path, here: str, by: str) -> Markup:
    template = environment(templates).get_template("estimate/_row.html")
    return Markup(template.render(row=row, job_page=here, by=by))  # noqa: S704 - a template, everything escaped there
