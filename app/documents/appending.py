"""Appending pages to a PDF without touching a byte of it: one incremental update (ISO 32000-1, 7.5.6).

The structure (tags) of the added pages is hung into the document's own, as one section at its end.
"""

from collections.abc import Sequence
from hashlib import sha256
from io import BytesIO
from typing import Any

from app.domain.errors import BadValue

MOST_FOREIGN_PAGES = 40
MOST_PAGES = 2_000
MOST_LEVELS = 50  # of a page tree
INHERITED = ("/Resources", "/MediaBox", "/CropBox", "/Rotate")
# A page of another PDF keeps what is drawn on it and loses what could act, link or carry more than the picture.
KEPT = ("/Type", "/Contents", "/Group", "/UserUnit", *INHERITED)

# What makes a reader draw a page with what lies in another file (ISO 32000-1, 7.3.8.2, 8.10.4): no part of ours.
ELSEWHERE = ("/F", "/FFilter", "/FDecodeParms", "/Ref", "/OPI")


def append_pages(document: bytes, added: bytes, scans: Sequence[bytes] = (), *, bookmark: str) -> bytes:
    """`document` followed by one update that adds the pages of `added` (tagged, ours) and of each scan.

    The same files give the same bytes.
    Raises: BadValue when a file is no readable PDF, is locked by a password, or a scan has too many pages.
    """
    writer = continued(document)
    first = _append_tagged(writer, _reader(added, "The added page"))
    for number, scan in enumerate(scans, 1):
        _append_drawn(writer, scan, f"Scan {number}")
    _append_bookmark(writer, bookmark, first)
    return _written(writer)


def append_drawn_pages(document: bytes, titled: Sequence[tuple[str, bytes]]) -> bytes:
    """`document` followed by one update that adds other PDFs' pages, each with a bookmark: terms, notices.

    Only what is drawn on the pages comes along. Raises: BadValue as `append_pages`, naming the title.
    """
    if not titled:
        return document
    writer = continued(document)
    for title, content in titled:
        _append_bookmark(writer, title, _append_drawn(writer, content, f"“{title}”"))
    return _written(writer)


def continued(document: bytes) -> Any:
    """A writer of one update, named by what it follows: the library would put chance and the clock into it.

    Raises: BadValue when the document is no readable PDF.
    """
    from pyhanko.pdf_utils.generic import ArrayObject, ByteStringObject
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    class Update(IncrementalPdfFileWriter):
        @classmethod
        def _handle_id(cls, prev: Any) -> Any:
            named: Any = super()._handle_id(prev)  # type: ignore[no-untyped-call]
            new = ByteStringObject(sha256(document).digest()[:16])
            return ArrayObject([named[0] if "/ID" in prev.trailer else new, new])

        def _update_meta(self) -> None:
            """Leave the document's facts as they were offered."""

    return Update(BytesIO(document), prev=_reader(document, "The document"))


def _written(writer: Any) -> bytes:
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _reader(content: bytes, what: str) -> Any:
    from pyhanko.pdf_utils.misc import PdfError
    from pyhanko.pdf_utils.reader import PdfFileReader

    try:
        reader = PdfFileReader(BytesIO(content), strict=False)
        locked = bool(reader.encrypted)
        pages = 0 if locked else int(reader.root["/Pages"]["/Count"])
    except (PdfError, ValueError, KeyError, TypeError, IndexError, RecursionError) as unreadable:
        raise BadValue(f"{what} is not a PDF that can be read.") from unreadable
    if locked:
        raise BadValue(f"{what} is locked with a password. Save it without one and add it again.")
    if not 1 <= pages <= MOST_PAGES:
        raise BadValue(f"{what} has {pages:,} pages. It can have 1 to {MOST_PAGES:,}.")
    return reader


def _pages(reader: Any) -> list[Any]:
    """The pages in order, each as an indirect reference."""
    from pyhanko.pdf_utils.generic import IndirectObject

    count = int(reader.root["/Pages"]["/Count"])
    references = [reader.find_page_for_modification(number)[0] for number in range(count)]
    return [IndirectObject(reference.idnum, reference.generation, reader) for reference in references]


def _append_tagged(writer: Any, added: Any) -> Any:
    """Add all pages of `added` with their structure. Returns the reference to the first of them."""
    from pyhanko.pdf_utils.generic import ArrayObject

    pages = _pages(added)
    tree = added.root["/StructTreeRoot"]
    section = tree["/K"].raw_get(0)
    for page in pages:
        del page.get_object()["/Parent"]  # cut from the old trees, so that nothing else comes along
    del section.get_object()["/P"]
    parcel = ArrayObject([*pages, section, tree["/ParentTree"]["/Nums"]])
    parcel.container_ref = added.root.container_ref
    *placed, new_section, numbers = writer.import_object(parcel)
    _hang_structure(writer, placed, new_section, numbers)
    for page in placed:
        _hang_page(writer, page)
    return placed[0]


def _hang_page(writer: Any, page: Any) -> None:
    """Make an imported page the last one."""
    from pyhanko.pdf_utils.generic import NumberObject, pdf_name

    root = writer.root["/Pages"]
    page.get_object()[pdf_name("/Parent")] = writer.root.raw_get("/Pages")
    root["/Kids"].append(page)
    root[pdf_name("/Count")] = NumberObject(int(root["/Count"]) + 1)
    writer.update_container(root)
    writer.update_container(root["/Kids"])


def _hang_structure(writer: Any, pages: Sequence[Any], section: Any, numbers: Any) -> None:
    """Make the structure of the added pages a section of the document's own, its numbers after those in use."""
    from pyhanko.pdf_utils.generic import NumberObject, pdf_name

    if "/StructTreeRoot" not in writer.root:  # an offered document without tags stays without
        for page in pages:
            page.get_object().pop("/StructParents", None)
        return
    tree = writer.root["/StructTreeRoot"]
    parents = tree["/ParentTree"]["/Nums"]
    free = max((int(parents[place]) for place in range(0, len(parents), 2)), default=-1) + 1
    for page in pages:
        held = page.get_object()
        held[pdf_name("/StructParents")] = NumberObject(int(held["/StructParents"]) + free)
    for place in range(0, len(numbers), 2):
        parents.extend([NumberObject(int(numbers[place]) + free), numbers.raw_get(place + 1)])
    whole = tree["/K"].raw_get(0)
    section.get_object()[pdf_name("/S")] = pdf_name("/Sect")
    section.get_object()[pdf_name("/P")] = whole
    whole.get_object()["/K"].append(section)
    for changed in (parents, whole.get_object(), whole.get_object()["/K"]):
        writer.update_container(changed)


def _append_drawn(writer: Any, content: bytes, what: str) -> Any:
    """Add a PDF's pages: what is drawn on them, and nothing that acts. Returns the reference to the first."""
    from pyhanko.pdf_utils.generic import ArrayObject, DictionaryObject
    from pyhanko.pdf_utils.misc import PdfError

    scan = _reader(content, what)
    count = int(scan.root["/Pages"]["/Count"])
    if count > MOST_FOREIGN_PAGES:
        raise BadValue(f"{what} has {count} pages. One file can hold {MOST_FOREIGN_PAGES}.")
    try:
        parcel = ArrayObject([DictionaryObject(_drawn_alone(page.get_object())) for page in _pages(scan)])
        parcel.container_ref = scan.root.container_ref
        _keep_inside(parcel)
        placed = [writer.add_object(page) for page in writer.import_object(parcel)]
    except (PdfError, ValueError, KeyError, TypeError, IndexError, RecursionError) as unreadable:
        raise BadValue(f"{what} is not a PDF that can be read.") from unreadable
    for page in placed:
        _hang_page(writer, page)
    return placed[0]


def _keep_inside(parcel: Any) -> None:
    """Take from every stream that pages draw with what would bring another file in."""
    from pyhanko.pdf_utils.generic import ArrayObject, DictionaryObject, IndirectObject, StreamObject

    waiting, seen = [parcel], set()
    while waiting:
        one = waiting.pop()
        if isinstance(one, IndirectObject):
            if one.reference in seen:
                continue
            seen.add(one.reference)
            one = one.get_object()
        if isinstance(one, StreamObject):
            for key in ELSEWHERE:
                one.pop(key, None)
        if isinstance(one, DictionaryObject):
            waiting += [one.raw_get(key) for key in one]
        elif isinstance(one, ArrayObject):
            waiting += [one.raw_get(place) for place in range(len(one))]


def _drawn_alone(page: Any) -> dict[Any, Any]:
    """A page's entries that draw, with those it inherits."""
    from pyhanko.pdf_utils.generic import pdf_name

    kept: dict[Any, Any] = {}
    holder = page
    for _ in range(MOST_LEVELS):
        wanted = KEPT if holder is page else INHERITED
        kept = {pdf_name(key): holder.raw_get(key) for key in wanted if key in holder} | kept
        if "/Parent" not in holder:
            break
        holder = holder["/Parent"]
    return kept


def _append_bookmark(writer: Any, title: str, page: Any) -> None:
    """Add a bookmark at the end of the document's own, where it has any."""
    from pyhanko.pdf_utils.generic import ArrayObject, DictionaryObject, NumberObject, TextStringObject, pdf_name

    if "/Outlines" not in writer.root or "/Last" not in writer.root["/Outlines"]:
        return
    outline = writer.root["/Outlines"]
    last = outline.raw_get("/Last")
    entry = DictionaryObject(
        {
            pdf_name("/Title"): TextStringObject(title),
            pdf_name("/Parent"): writer.root.raw_get("/Outlines"),
            pdf_name("/Prev"): last,
            pdf_name("/Dest"): ArrayObject([page, pdf_name("/Fit")]),
        }
    )
    added = writer.add_object(entry)
    last.get_object()[pdf_name("/Next")] = added
    outline[pdf_name("/Last")] = added
    outline[pdf_name("/Count")] = NumberObject(int(outline.get("/Count", 0)) + 1)
    writer.update_container(last.get_object())
    writer.update_container(outline)
