"""The firm's book of subcontractors: trade, phone, license, until when the insurance holds."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.domain.selling import SUB_PAPERS
from app.services import book, sub_papers
from app.services.office import Office
from app.services.sub_papers import PaperSent
from app.services.subs import add_subcontractor
from app.web.access import OfficeHere
from app.web.forms.book import BOOK
from app.web.forms.fields import Parsed, choice, day, order_of, read, version_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.rendering import handed_out
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/subcontractors")
PAPER = (choice("kind", "What it is", SUB_PAPERS, required=True), day("until", "Good until"))


def _show(request: Request, office: Office, *, focus: str = "", saved: Saved[Any] = NOTHING_SENT) -> Response:
    known = sorted(office.basis().subcontractors.values(), key=lambda one: (one.trade, one.title))
    context = {"subs": known, "focus": focus, "today": office.today(), "kinds": SUB_PAPERS}
    versions = book.own(office, "subcontractor")
    back = "/subcontractors" + (f"?focus={focus}" if focus else "")
    return leaf(request, office, "subs/book.html", context, versions=versions, back=back, saved=saved)


@router.get("")
async def show_book(request: Request, office: OfficeHere, focus: str = "") -> Response:
    """Everybody in the book."""
    return _show(request, office, focus=focus[:90])


@router.post("/new")
async def add(request: Request, office: OfficeHere) -> Response:
    """Somebody new."""
    form = await request.form()
    parsed = read(form, BOOK["subcontractor"], office.firm(), whole=True)
    saved = save_form(parsed, lambda: add_subcontractor(office, parsed.values, order_of(form, "")))
    return _show(request, office, focus=str(saved.result) if saved.ok else "new", saved=saved)


@router.post("/{key}/papers")
async def add_paper(request: Request, office: OfficeHere, key: str) -> Response:
    """A paper of somebody in the book: a PDF or a picture."""
    async with request.form() as form:
        sent = form.get("file")
        content = await sent.read(sub_papers.MOST_BYTES + 1) if isinstance(sent, UploadFile) else b""
    parsed = read(form, PAPER, office.firm(), whole=True)
    order, version, values = order_of(form, ""), version_of(form), parsed.values
    saved = save_form(
        parsed,
        lambda: sub_papers.add_paper(
            office, key, version, PaperSent(kind=values["kind"], until=values["until"], content=content), order
        ),
    )
    return _show(request, office, focus=f"paper:{key}", saved=saved)


@router.get("/{key}/papers/{name}")
async def open_paper(request: Request, office: OfficeHere, key: str, name: str) -> Response:
    """A paper, for us."""
    content = sub_papers.paper_in_book(office, key, name)
    return handed_out(request, content, *sub_papers.shown_as(content))


@router.post("/{key}/papers/{name}/remove")
async def drop_paper(request: Request, office: OfficeHere, key: str, name: str) -> Response:
    """A paper taken out; undo brings it back."""
    form = await request.form()
    order, version = order_of(form, ""), version_of(form)
    saved = save_form(Parsed(), lambda: sub_papers.drop_paper(office, key, version, name, order))
    return _show(request, office, focus=f"paper:{key}", saved=saved)


@router.post("/{key}")
async def change(request: Request, office: OfficeHere, key: str) -> Response:
    """What is known of one."""
    form = await request.form()
    parsed = read(form, BOOK["subcontractor"], office.firm())
    order = order_of(form, f"Subcontractor: {parsed.values.get('title', '')}")
    saved = save_form(
        parsed, lambda: book.set_fields(office, "subcontractor", key, version_of(form), parsed.values, order)
    )
    return _show(request, office, focus=key, saved=saved)
