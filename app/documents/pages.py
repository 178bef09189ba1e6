"""Documents as HTML, ready to print: one template each, strict about names, everything escaped, no script."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape

from app.documents.formats import Formats
from app.domain.basis import Firm


@lru_cache(maxsize=4)
def document_templates(folder: Path) -> Environment:
    """The templates of documents below a folder of templates."""
    made = Environment(
        loader=FileSystemLoader(folder),
        autoescape=select_autoescape(default=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    made.install_null_translations(newstyle=True)  # type: ignore[attr-defined]
    return made


def document(folder: Path, name: str, firm: Firm, values: Mapping[str, Any]) -> str:
    """A document's HTML: `documents/NAME.html` with the firm's formats."""
    template = document_templates(folder).get_template(f"documents/{name}.html")
    return template.render(fmt=Formats(firm.system, firm.currency), language=firm.language, **values)
