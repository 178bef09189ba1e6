"""HTML to PDF: tagged, titled, bookmarked, the same bytes each time, and nothing fetched from anywhere.

Runs in the worker (`run_in_worker("pdf", pdf_payload(PdfOrder(…)))`); the web process never loads the printing
library. No conformance is claimed: no validator has seen these files.
"""

import atexit
import ctypes
import os
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from hashlib import sha256
from html import escape
from typing import Any, Literal

import msgspec

from app.documents.appending import append_drawn_pages
from app.documents.fonts import print_stylesheet
from app.domain.errors import BadValue, OutlayError

Paper = Literal["letter", "a4", "tabloid", "a3"]
PAPERS: Mapping[str, str] = {"letter": "8.5in 11in", "a4": "210mm 297mm", "tabloid": "11in 17in", "a3": "297mm 420mm"}
PANGO = ("libpango-1.0.so.0", "libpango-1.0.dylib", "libpango-1.0-0.dll")
NO_PANGO = (
    "PDF files cannot be made on this machine yet: the Pango library is missing. On Debian or Ubuntu: "
    "apt-get install libpango-1.0-0 libpangoft2-1.0-0. Until then, open the proposal and print it from the browser."
)
READABLE_KINDS = (
    "image/",
    "font/",
    "text/css",
    "application/font",
    "application/x-font",
    "application/vnd.ms-opentype",
)


class PdfUnavailable(OutlayError):
    """The library that draws text is not installed."""

    status = 503


@dataclass(frozen=True, slots=True, kw_only=True)
class PdfOrder:
    """All that a PDF depends on: the same order gives the same bytes (with the same fonts and library)."""

    html: str
    paper: Paper
    title: str
    language: str
    identifier: str
    source_date: datetime
    landscape: bool = False
    pages: tuple[tuple[str, bytes], ...] = ()  # title and PDF of what follows the printed pages: terms, notices


@lru_cache(maxsize=1)
def pdf_available() -> bool:
    """Whether PDFs can be made here, found out without loading the printing library. Else `NO_PANGO` says why."""
    return any(_loads(name) for name in PANGO)


def pdf_payload(order: PdfOrder) -> Mapping[str, Any]:
    """The payload of the worker's task "pdf"."""
    plain: Mapping[str, Any] = msgspec.to_builtins(order, builtin_types=(bytes,))
    return plain


def pdf_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "pdf": an order in, its PDF out."""
    tell(0.1, "Setting the pages")
    return printed(msgspec.convert(payload, PdfOrder, builtin_types=(bytes,)))


def printed(order: PdfOrder) -> bytes:
    """Print an order: its HTML, then the pages of other PDFs as an update to it. See `html_to_pdf`."""
    made = html_to_pdf(
        order.html,
        paper=order.paper,
        title=order.title,
        language=order.language,
        identifier=order.identifier,
        source_date=order.source_date,
        landscape=order.landscape,
    )
    return append_drawn_pages(made, order.pages)


def html_to_pdf(
    html: str,
    *,
    paper: Paper,
    title: str,
    language: str,
    identifier: str,
    source_date: datetime,
    landscape: bool = False,
) -> bytes:
    """Print a page of HTML in the print stylesheet.

    `paper` is one of `PAPERS`, upright or `landscape`; `identifier` names the document (its revision), `source_date`
    [aware] is the day it is made. Only data addresses in the HTML are read: no file, no network, no attachment.
    Raises: BadValue on another paper or a time without zone; PdfUnavailable without Pango.
    """
    if paper not in PAPERS:
        raise BadValue(f"“{paper}” is no paper we print on. Choose {', '.join(PAPERS)}.", field="paper")
    if source_date.tzinfo is None:
        raise BadValue("The document's time has no time zone.")
    weasyprint = _weasyprint()
    styles, fonts = _styles(weasyprint)
    moment = source_date.astimezone(UTC)
    os.environ["SOURCE_DATE_EPOCH"] = str(int(moment.timestamp()))  # embedded fonts carry a time of their own
    page = weasyprint.HTML(string=html, url_fetcher=_data_only())
    page.etree_element.attrib.setdefault("lang", language)
    _keep_inside(page.etree_element)
    lying = " ".join(reversed(PAPERS[paper].split())) if landscape else PAPERS[paper]
    paper_size = weasyprint.CSS(string=f"@page {{ size: {lying} !important }}")
    try:
        document = page.render(font_config=fonts, stylesheets=[styles, paper_size])
    except weasyprint.urls.URLFetchingError as wanted:
        raise BadValue("This page wants a file from outside itself to be printed. That is not allowed.") from wanted
    meta = document.metadata
    meta.title, meta.lang, meta.created, meta.modified = title, language, f"{moment:%Y-%m-%dT%H:%M:%SZ}", None
    name = sha256(identifier.encode()).hexdigest()[:32].encode()
    made: bytes = document.write_pdf(pdf_tags=True, pdf_identifier=name)
    return made


def drawing_image(svg: str, alt: str, *, css_class: str = "") -> str:
    """An SVG drawing as an `<img>` with alternative text: inline SVG gets none in a tagged PDF."""
    address = f"data:image/svg+xml;base64,{b64encode(svg.encode()).decode()}"
    return f'<img class="{escape(css_class)}" alt="{escape(alt)}" src="{address}">'


def get_ready() -> None:
    """Load the printing library, our styles and fonts, and print a line, so that the next document is quick."""
    html_to_pdf(
        "<h1>Ready</h1><table><tr><td>1</td></tr></table>",
        paper="letter",
        title="",
        language="en",
        identifier="",
        source_date=datetime(2000, 1, 1, tzinfo=UTC),
    )


def _keep_inside(page: Any) -> None:
    """Our documents carry no files inside, and their links lead to places within them."""
    for element in page.iter():
        if "attachment" in element.get("rel", "").lower():
            del element.attrib["rel"]
        if element.tag == "a" and not element.get("href", "#").startswith("#"):
            del element.attrib["href"]


def _weasyprint() -> Any:
    try:
        import weasyprint
    except OSError as missing:
        raise PdfUnavailable(NO_PANGO) from missing
    return weasyprint


@lru_cache(maxsize=1)
def _styles(weasyprint: Any) -> tuple[Any, Any]:
    """Our stylesheet and the fonts it brings, read once a process."""
    from weasyprint.text.fonts import FontConfiguration

    fonts = FontConfiguration()
    atexit.register(_styles.cache_clear)  # it removes its folder of fonts only while the interpreter stands
    return weasyprint.CSS(string=print_stylesheet(), font_config=fonts, url_fetcher=_data_only()), fonts


def _data_only() -> Any:
    """A fetcher that reads pictures, fonts and styles written into the page itself, and nothing else."""
    from weasyprint.urls import URLFetcher

    class DataOnly(URLFetcher):
        def fetch(self, url: str, headers: Any = None) -> Any:
            kind = url.partition(":")[2].partition(",")[0].lower()
            if url[:5].lower() == "data:" and not kind.startswith(READABLE_KINDS):
                raise ValueError(f"not a picture, font or style: {kind[:40]}")
            return super().fetch(url, headers)  # type: ignore[no-untyped-call]

    return DataOnly(allowed_protocols=("data",), allow_redirects=False)  # type: ignore[no-untyped-call]


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
