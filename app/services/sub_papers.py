"""Papers of subcontractors as files: what may be kept as one, and the papers of somebody in the book."""

from dataclasses import dataclass, replace
from datetime import date

from app.db.files import FileStore
from app.domain.basis import Subcontractor
from app.domain.errors import BadValue, NotFound
from app.domain.selling import SUB_PAPERS, SubPaper
from app.services import book
from app.services.jobs import Order
from app.services.office import Office

PDF = b"%PDF-"
PICTURES = (b"\x89PNG", b"\xff\xd8\xff")
MOST_BYTES = 15_000_000
MOST_PAPERS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSent:
    """A paper as it was sent."""

    kind: str
    until: date | None
    content: bytes


def keep_paper(office: Office, content: bytes) -> str:
    """Keep a PDF or a picture by its content; returns its name. Raises: BadValue for what is neither, or too large."""
    if not content.startswith((PDF, *PICTURES)):
        raise BadValue("Choose the paper as a PDF or a picture (PNG or JPEG).", field="file")
    if len(content) > MOST_BYTES:
        raise BadValue(f"This file is larger than {MOST_BYTES // 1_000_000} MB. Send a smaller one.", field="file")
    return FileStore(office.settings.files).keep(content)


def shown_as(content: bytes) -> tuple[str, str]:
    """Under which name and as what kind of content a kept paper is shown."""
    if content.startswith(PDF):
        return "paper.pdf", "application/pdf"
    return ("paper.png", "image/png") if content.startswith(b"\x89PNG") else ("paper.jpg", "image/jpeg")


def add_paper(office: Office, key: str, version: int, sent: PaperSent, order: Order) -> None:
    """Put a paper beside somebody in the book; proof of insurance also says until when they are insured.

    Raises: NotFound; Stale; BadValue for another kind of paper, another kind of file, or one that is too large.
    """
    sub = _known(office, key)
    if sent.kind not in SUB_PAPERS:
        raise BadValue("Choose what this paper is.", field="kind")
    if len(sub.kept_papers) >= MOST_PAPERS:
        raise BadValue(f"{sub.title} has {MOST_PAPERS} papers already. Take old ones out first.", field="file")
    paper = SubPaper(kind=sent.kind, file=keep_paper(office, sent.content), until=sent.until)
    others = tuple(one for one in sub.kept_papers if one.file != paper.file)
    fields: dict[str, object] = {"kept_papers": (*others, paper)}
    if paper.kind == "insurance" and paper.until:
        fields["insured_until"] = paper.until
    what = f"{sub.title}: {paper.kind}"[:60]
    book.set_fields(office, "subcontractor", key, version, fields, replace(order, what=what))


def drop_paper(office: Office, key: str, version: int, name: str, order: Order) -> None:
    """Take a paper out of the book; the file stays kept for undo. Raises: NotFound, Stale."""
    sub = _known(office, key)
    gone = _paper(sub, name)
    left = tuple(one for one in sub.kept_papers if one.file != name)
    what = f"{sub.title}: {gone.kind} taken out"[:60]
    book.set_fields(office, "subcontractor", key, version, {"kept_papers": left}, replace(order, what=what))


def paper_in_book(office: Office, key: str, name: str) -> bytes:
    """A paper of somebody in the book. Raises: NotFound."""
    return FileStore(office.settings.files).read(_paper(_known(office, key), name).file)


def _known(office: Office, key: str) -> Subcontractor:
    found = office.basis().subcontractors.get(key)
    if found is None:
        raise NotFound("Nobody of this name is in the book (any more).")
    return found


def _paper(sub: Subcontractor, name: str) -> SubPaper:
    found = next((one for one in sub.kept_papers if one.file == name), None)
    if found is None:
        raise NotFound(f"{sub.title} has no such paper (any more).")
    return found
