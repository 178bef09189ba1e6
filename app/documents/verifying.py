"""Does a signed copy keep what was offered? Every way in which it might not is looked for, and said in a sentence."""

import re
from collections.abc import Iterator
from hashlib import sha256
from io import BytesIO
from typing import Any

import msgspec

# What the one update may touch of the offered document: the lists that grow. Never the catalog, a page or its contents.
GROWING = "the lists of its pages, its bookmarks and its reading structure"


def faults_of_signed_copy(signed: bytes, offered: bytes) -> tuple[str, ...]:
    """Sentences on what is wrong with a signed copy of `offered`; empty when nothing is.

    Looked for: it begins with the offered bytes; one update follows; the update changed none of the offered pages; the
    added pages print the fingerprint of the offered file.
    """
    if not signed.startswith(offered):
        return ("The signed copy does not begin with the offered document.",)
    if len(signed) == len(offered):
        return ("The copy holds no signatures: it is the offered document itself.",)
    try:
        return tuple(_faults(signed, offered))
    except Exception as unreadable:  # noqa: BLE001  whatever a damaged file makes a reader do is a fault of the file
        return (f"The signed copy cannot be read ({type(unreadable).__name__}).",)


def _faults(signed: bytes, offered: bytes) -> Iterator[str]:
    from pyhanko.pdf_utils.reader import PdfFileReader
    from pypdf import PdfReader

    tail = signed[len(offered) :]
    if len(re.findall(rb"startxref\s+\d+\s+%%EOF", tail)) != 1:
        yield "More than one update follows the offered document."
    if not tail.rstrip().endswith(b"%%EOF"):
        yield "Something stands after the end of the signed copy."
    before, after = PdfFileReader(BytesIO(offered)), PdfFileReader(BytesIO(signed), strict=False)
    if _touched(after, before) - _growing(before):
        yield f"The update changed more of the offered document than {GROWING}."
    old, new = PdfReader(BytesIO(offered)), PdfReader(BytesIO(signed))
    offered_pages = [page.indirect_reference and page.indirect_reference.idnum for page in old.pages]
    all_pages = [page.indirect_reference and page.indirect_reference.idnum for page in new.pages]
    if all_pages[: len(offered_pages)] != offered_pages:
        yield "The offered pages do not stand first in the signed copy, in their order."
    added = new.pages[len(offered_pages) :]
    text = re.sub(r"\s", "", "".join(page.extract_text() for page in added))
    if sha256(offered).hexdigest() not in text:
        yield "The added pages do not print the fingerprint of the offered document."


def _touched(after: Any, before: Any) -> set[int]:
    """Objects of the offered document that an update wrote anew or freed."""
    size = int(before.trailer["/Size"])
    first = before.xrefs.total_revisions
    touched: set[int] = set()
    for revision in range(first, after.xrefs.total_revisions):
        for found in (after.xrefs.explicit_refs_in_revision(revision), after.xrefs.refs_freed_in_revision(revision)):
            touched |= {reference.idnum for reference in found if 0 < reference.idnum < size}
    return touched


def _growing(before: Any) -> set[int]:
    """Objects of the offered document that grow when pages are added."""
    root = before.root
    growing = [root.raw_get("/Pages")]
    if "/StructTreeRoot" in root:
        tree = root["/StructTreeRoot"]
        growing += [root.raw_get("/StructTreeRoot"), tree["/K"].raw_get(0), tree.raw_get("/ParentTree")]
    if "/Outlines" in root:
        outlines = root["/Outlines"]
        growing += [root.raw_get("/Outlines"), outlines.raw_get("/Last") if "/Last" in outlines else None]
    return {reference.idnum for reference in growing if hasattr(reference, "idnum")}


def faults_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "signed copy": the same of the bytes in the payload, as JSON."""
    tell(0.1, "Looking at the signed pages")
    return msgspec.json.encode(faults_of_signed_copy(payload["signed"], payload["offered"]))
