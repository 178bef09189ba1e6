"""The firm: settings, people and what they cost, tax, terms and notices, the mark, and the first-run walk."""

from collections.abc import Awaitable, Callable
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData, UploadFile

from app.domain.basis import FirmPage
from app.domain.costing.site_factors import MONTHS
from app.domain.errors import NotFound
from app.interchange.usual_weather import usual_weather
from app.services import book, firm_page, mailing
from app.services.jobs import Order
from app.services.large_changes import undo_in_pieces
from app.services.notices import asked_here
from app.services.office import Office
from app.services.table_editions import printed_tables
from app.web.access import OfficeHere
from app.web.change_words import what_of
from app.web.forms.book import BOOK, ZONES
from app.web.forms.book_fields import OVERHEAD_CLASSES, rate
from app.web.forms.fields import day, focus_of, order_of, read, text, version_of
from app.web.forms.saving import Saved, save_form, save_form_async
from app.web.forms.work_calendar import closed_words
from app.web.leaf_pages import leaf
from app.web.rendering import go, handed_out
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/firm")
BACKS = ("/firm", "/prices", "/library", "/library/questions", "/library/plants", "/subcontractors")
WORKSHEETS = ("/firm/worksheet/", "/library/plant/", "/library/plants/")
PAGE = (
    text("title", "Title", required=True),
    text("text", "Text", most=20_000),
    text("reviewed_by", "Reviewed by"),
    day("reviewed_on", "Reviewed on"),
)
FIRST = (
    "name",
    "owner",
    "license",
    "street",
    "town",
    "state",
    "postal_code",
    "system",
    "margin",
    "tax_mode",
    "tax_rate",
    "tax_place",
    "tax_on",
)
WAGES = ("crew", "hardscape", "operator", "foreman", "owner")


def firm_again(request: Request, office: Office, *, focus: str = "", saved: Saved[Any] = NOTHING_SENT) -> Response:
    """The page of the firm, after something was saved there or not."""
    sheet = firm_page.firm_sheet(office)
    context = {
        "sheet": sheet,
        "focus": focus,
        "firm_id": office.firm_id,
        "mail_account": mailing.shown_account(office),
        "asked": asked_here(office, sheet.firm.region or sheet.firm.state),
        "classes": OVERHEAD_CLASSES,
        "months": MONTHS,
        "printed": printed_tables(),
        "usual_weather": usual_weather(),
        "closed_words": "\n".join(map(closed_words, sheet.firm.calendar.closed)) if sheet.firm.calendar else "",
        "zones": [(zone, zone.rpartition("/")[2].replace("_", " ")) for zone in ZONES],
    }
    back = "/firm" + (f"?focus={focus}" if focus else "")
    return leaf(request, office, "firm/page.html", context, versions=sheet.own, back=back, saved=saved)


Keeping = Callable[[Office, int, FirmPage, bytes, Order], Awaitable[object]]


@router.get("")
async def show_firm(request: Request, office: OfficeHere, focus: str = "") -> Response:
    """The firm's page."""
    return firm_again(request, office, focus=focus[:60])


@router.post("/undo")
async def undo(request: Request, office: OfficeHere) -> Response:
    """Take back this person's last change of the firm, its prices or its library."""
    form = await request.form()
    order = order_of(form, "")
    await undo_in_pieces(office, order.change_id, order.follows)
    back = str(form.get("back", ""))
    return go(request, back if back.partition("?")[0] in BACKS or back.startswith(WORKSHEETS) else "/firm")


@router.post("/firm/{firm_id}")
async def save_firm(request: Request, office: OfficeHere, firm_id: str) -> Response:
    """Settings; only what the form sends is changed."""
    form = await request.form()
    parsed = read(form, BOOK["firm"], office.firm())
    order = order_of(form, what_of("firm", office.firm(), parsed.values, "The firm's settings"))
    saved = save_form(parsed, lambda: book.set_fields(office, "firm", firm_id, version_of(form), parsed.values, order))
    return firm_again(request, office, focus=focus_of(form), saved=saved)


@router.post("/labor_class/{key}")
async def save_people(request: Request, office: OfficeHere, key: str) -> Response:
    """Wage, burden and billable share of a class of people."""
    form = await request.form()
    parsed = read(form, BOOK["labor_class"], office.firm())
    order = order_of(form, what_of("labor_class", office.basis().labor_classes.get(key), parsed.values, "Wages"))
    saved = save_form(
        parsed, lambda: book.set_fields(office, "labor_class", key, version_of(form), parsed.values, order)
    )
    return firm_again(request, office, focus=f"labor:{key}", saved=saved)


@router.post("/mark")
async def save_mark(request: Request, office: OfficeHere) -> Response:
    """The firm's mark as a picture; no file takes it away."""
    form = await request.form()
    content = await _sent(form)
    saved = await save_form_async(
        read(form, (), office.firm()),
        lambda: firm_page.set_mark(office, version_of(form), content, order_of(form, "")),
    )
    return firm_again(request, office, focus="mark", saved=saved)


@router.post("/terms")
async def save_terms(request: Request, office: OfficeHere) -> Response:
    """The firm's terms, pasted or as a PDF."""
    return await _paper(request, office, "terms", firm_page.set_terms)


@router.post("/notice/new")
async def add_notice(request: Request, office: OfficeHere) -> Response:
    """A notice, pasted or as a PDF."""
    return await _paper(request, office, "notice", firm_page.add_notice)


async def _paper(request: Request, office: Office, focus: str, keep: Keeping) -> Response:
    """A paper of the firm's, pasted or as a PDF, with who reviewed it."""
    form = await request.form()
    content = await _sent(form)
    parsed = read(form, PAGE, office.firm(), whole=True)
    saved = await save_form_async(
        parsed, lambda: keep(office, version_of(form), FirmPage(**parsed.values), content, order_of(form, ""))
    )
    return firm_again(request, office, focus=focus, saved=saved)


@router.post("/notice/{place}/remove")
async def drop_notice(request: Request, office: OfficeHere, place: int) -> Response:
    """A notice taken out."""
    form = await request.form()
    saved = save_form(
        read(form, (), office.firm()),
        lambda: firm_page.drop_notice(office, version_of(form), place, order_of(form, "")),
    )
    return firm_again(request, office, focus="notice", saved=saved)


@router.get("/file/{name}")
async def show_file(request: Request, office: OfficeHere, name: str) -> Response:
    """The firm's mark, terms or a notice."""
    content = firm_page.firm_file(office, name)
    if content.startswith(b"%PDF-"):
        return handed_out(request, content, "pages.pdf", "application/pdf")
    return handed_out(request, content, "mark", "image/png" if content.startswith(b"\x89PNG") else "image/jpeg")


@router.get("/first")
async def show_first(request: Request, office: OfficeHere) -> Response:
    """The walk of the first run."""
    return _first(request, office)


def _first(request: Request, office: Office, saved: Saved[Any] = NOTHING_SENT) -> Response:
    sheet = firm_page.firm_sheet(office)
    wages = [one for one in sheet.people if one.key in WAGES]
    context = {"sheet": sheet, "wages": wages, "firm_id": office.firm_id}
    return leaf(request, office, "firm/first.html", context, versions=sheet.own, back="/", saved=saved)


@router.post("/first/firm/{firm_id}")
async def save_first(request: Request, office: OfficeHere, firm_id: str) -> Response:
    """The first settings, all at once; on to Home."""
    form = await request.form()
    known = office.basis().labor_classes
    fields = [one for one in BOOK["firm"] if one.name in FIRST]
    wages = [rate(f"wage.{key}", f"Wage, {known[key].title}", required=True) for key in WAGES if key in known]
    parsed = read(form, (*fields, *wages), office.firm(), whole=True)
    own = {name: value for name, value in parsed.values.items() if name in FIRST}
    paid = {name[5:]: value for name, value in parsed.values.items() if name.startswith("wage.")}
    saved = save_form(
        parsed, lambda: firm_page.begin_firm(office, firm_id, version_of(form), own, paid, order_of(form, ""))
    )
    return go(request, "/") if saved.ok else _first(request, office, saved)


async def _sent(form: FormData) -> bytes:
    """The bytes of the file a form sent; none when there was none."""
    given = form.get("file")
    if isinstance(given, UploadFile):
        content = await given.read()
        await given.close()
        return content
    if given:
        raise NotFound("A file was expected. Choose it again.")
    return b""
