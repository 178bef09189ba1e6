"""Is a signed copy what was signed? Every way in which it might not be is looked for, and said in a sentence."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from typing import Any

import msgspec

from app.documents.locking import Lock, is_locked, lock_of

# What the one update may touch of the offered document: the lists that grow. Never the catalog, a page or its contents.
GROWING = "the lists of its pages, its bookmarks and its reading structure"
LOCK_BROKEN = "Its lock does not hold: some of the file is not what was locked."
LOCK_GONE = "Its pages say that it is locked, and no lock is on it."
OTHER_KEY = "It is locked with another key than its pages name."
NO_COPY = "This is no signed copy: no page of it names the offered pages it belongs to."
LOCKED_WORDS = "Thiscopyislockedwiththefirm’sownkey"
RECORD = re.compile(r"recordofchangesbeforethishasthefingerprint([0-9a-f]{64})")
ENDS = re.compile(rb"startxref\s+\d+\s+%%EOF\n?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """A file held against itself: what is wrong with it, its lock, the offered document it begins with, its record."""

    faults: tuple[str, ...]
    lock: Lock | None = None
    offered: str = ""  # SHA-256 of the offered document
    offered_bytes: int = 0
    record: str = ""  # the head of the firm's record when it was signed, as it prints it

    @property
    def whole(self) -> bool:
        """Nothing is wrong with it."""
        return not self.faults


def looked_into(content: bytes) -> Copy:
    """A file by itself, without the offered document: that is found in it by the fingerprint its pages print."""
    try:
        text = _text(content, 0)
    except Exception:  # noqa: BLE001  whatever a damaged file makes a reader do
        return Copy(faults=(LOCK_BROKEN if is_locked(content) else "This file cannot be read as a PDF.",))
    printed = RECORD.search(text)
    record, lock = printed.group(1) if printed else "", lock_of(content)
    end = _offered_end(content, text)
    if end is None:
        return Copy(faults=(LOCK_BROKEN if is_locked(content) and not lock else NO_COPY,), lock=lock, record=record)
    offered = content[:end]
    return Copy(
        faults=faults_of_signed_copy(content, offered),
        lock=lock,
        offered=sha256(offered).hexdigest(),
        offered_bytes=end,
        record=record,
    )


def _offered_end(content: bytes, text: str) -> int | None:
    """Where the document ends whose fingerprint the pages print: at the end of one of the file's updates."""
    ends = (end for found in ENDS.finditer(content) for end in (found.end(), found.end() - 1))
    return next((end for end in ends if end < len(content) and sha256(content[:end]).hexdigest() in text), None)


def copy_words(copy: Copy) -> str:
    """What is known of a copy, in a sentence or two."""
    if not copy.whole:
        return f"This copy is not whole. {' '.join(copy.faults)}"
    begins = f"It begins with the offered pages (SHA-256 {copy.offered})."
    if copy.lock is None:
        return f"This copy is whole, and not locked: all have not signed, or it was signed before copies were. {begins}"
    when = f" on {copy.lock.locked_at:%B %-d, %Y, %H:%M} UTC" if copy.lock.locked_at else ""
    return (
        f"This copy is whole: not one byte is another since it was locked{when} with the key of "
        f"{copy.lock.owner or 'a firm without a name'} (SHA-256 {copy.lock.fingerprint}). {begins}"
    )


def faults_of_signed_copy(signed: bytes, offered: bytes) -> tuple[str, ...]:
    """Sentences on what is wrong with a signed copy of `offered`; empty when nothing is.

    Looked for: it begins with the offered bytes; one update follows; the update changed none of the offered pages; the
    added pages print the fingerprint of the offered file. Where it is locked, the lock is over every byte, allows no
    change, and is of the key that the pages name. One from before copies were locked has none, and does not say so.
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
    lock = lock_of(signed)
    if lock is None and is_locked(signed[len(offered) :]):
        yield LOCK_BROKEN
        return
    copy = signed[: lock.before] if lock else signed
    if lock and _reaches_into_pages(signed, copy):
        yield "The lock changed more than what a lock does."
    text = _text(copy, _pages(offered))
    if LOCKED_WORDS in text and lock is None:
        yield LOCK_GONE
    if lock and lock.fingerprint not in text:
        yield OTHER_KEY
    if sha256(offered).hexdigest() not in text:
        yield "The added pages do not print the fingerprint of the offered document."
    yield from _faults_of_update(copy, offered)


def _faults_of_update(copy: bytes, offered: bytes) -> Iterator[str]:
    """The one update that adds the signatures."""
    from pyhanko.pdf_utils.reader import PdfFileReader
    from pypdf import PdfReader

    tail = copy[len(offered) :]
    if len(re.findall(rb"startxref\s+\d+\s+%%EOF", tail)) != 1:
        yield "More than one update follows the offered document."
    if not tail.rstrip().endswith(b"%%EOF"):
        yield "Something stands after the end of the signed copy."
    before, after = PdfFileReader(BytesIO(offered)), PdfFileReader(BytesIO(copy), strict=False)
    if _touched(after, before) - _growing(before):
        yield f"The update changed more of the offered document than {GROWING}."
    offered_pages, all_pages = (
        [page.indirect_reference and page.indirect_reference.idnum for page in PdfReader(BytesIO(one)).pages]
        for one in (offered, copy)
    )
    if all_pages[: len(offered_pages)] != offered_pages:
        yield "The offered pages do not stand first in the signed copy, in their order."


def _reaches_into_pages(signed: bytes, copy: bytes) -> bool:
    """Whether the lock's update wrote anew more than the catalog and the last page, which holds its invisible field."""
    from pyhanko.pdf_utils.reader import PdfFileReader

    before, after = PdfFileReader(BytesIO(copy)), PdfFileReader(BytesIO(signed))
    last, _ = before.find_page_for_modification(int(before.root["/Pages"]["/Count"]) - 1)
    return bool(_touched(after, before) - {before.root_ref.idnum, last.idnum})


def _pages(content: bytes) -> int:
    from pypdf import PdfReader

    return len(PdfReader(BytesIO(content)).pages)


def _text(content: bytes, first: int) -> str:
    """The text of the pages from the `first` on, without a space."""
    from pypdf import PdfReader

    return re.sub(r"\s", "", "".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages[first:]))


def _touched(after: Any, before: Any) -> set[int]:
    """Objects of a document that what follows wrote anew or freed."""
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


def look_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "look at copy": what is known of the file in the payload, as JSON."""
    tell(0.1, "Looking at the copy")
    return msgspec.json.encode(looked_into(payload["content"]))
