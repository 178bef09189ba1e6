"""Templates, strict about names and everything escaped; and documents as HTML ready to print, one template each."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from markupsafe import Markup

from app.documents.bloom_dabs import dab_svg
from app.documents.formats import Formats
from app.documents.pdf import PdfOrder
from app.documents.tongues import Tongue
from app.documents.words import WORDS
from app.domain.basis import Firm
from app.domain.palette.bloom_colors import bloom_hexes


@lru_cache(maxsize=8)
def environment(folder: Path, *extensions: str, language: str = "en") -> Environment:
    """The template environment of a folder, in one language: strict about names, everything escaped."""
    made = Environment(
        loader=FileSystemLoader(folder),
        autoescape=select_autoescape(default=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=[WORDS[language], *extensions],
        auto_reload=False,  # a page asks for twenty templates: their files are looked at once
    )
    made.filters["dab"] = _dab
    return made


def _dab(colors: Sequence[str]) -> Markup:
    """A dab of a bloom's colors, which are told in words."""
    return Markup(dab_svg(bloom_hexes(tuple(colors))))  # noqa: S704 - made of hex colors alone


def with_word(folder: Path, order: PdfOrder, word: str) -> PdfOrder:
    """A paper whose last lines print the word that shows its pages were opened."""
    lines = environment(folder).get_template("documents/_word.html").render(word=word, language=order.language)
    head, end, rest = order.html.rpartition("</body>")
    return replace(order, html=f"{head}{lines}{end}{rest}" if end else order.html + lines)


def document(folder: Path, name: str, firm: Firm, values: Mapping[str, Any], spoken: Tongue | None = None) -> str:
    """A document's HTML: `documents/NAME.html` with the firm's formats; `spoken`: in that language."""
    language = spoken.language if spoken else "en"
    template = environment(folder, language=language).get_template(f"documents/{name}.html")
    fmt = Formats(firm.system, firm.currency, language)
    return template.render(fmt=fmt, language=language if spoken else firm.language, **values)
