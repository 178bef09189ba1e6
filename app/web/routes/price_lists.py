"""Price lists into the book and the book out of it: a file, its columns and rows, what they change, whom it hurts."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.domain.errors import BadValue
from app.domain.pricebook import COLUMNS
from app.interchange.price_book_out import book_payload, book_rows, example_csv, rows_csv
from app.interchange.tables_in import LARGEST
from app.services import book, price_history, price_lists
from app.services.office import Office
from app.services.price_list_taking import begin_taking
from app.services.price_list_view import list_view
from app.services.price_lists import PriceList
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of
from app.web.forms.price_lists import picks_of, reading_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.rendering import go
from app.web.sheet_pages import NOTHING_SENT
from app.worker import run_in_worker

router = APIRouter(prefix="/prices")
HERE = "/prices/list"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _page(
    request: Request, office: Office, name: str, context: dict[str, Any], *, back: str, saved: Saved[Any] = NOTHING_SENT
) -> Response:
    template = f"prices/{name}.html"
    return leaf(request, office, template, context, versions=book.own(office), back=back, saved=saved)


def _asked(request: Request, office: Office, saved: Saved[Any] = NOTHING_SENT) -> Response:
    return _page(request, office, "list_new", {}, back=HERE, saved=saved)


@router.get("/list")
async def ask(request: Request, office: OfficeHere) -> Response:
    """Which file."""
    return _asked(request, office)


@router.post("/list")
async def send(request: Request, office: OfficeHere) -> Response:
    """A file; it is read in the background while its page says how far it is."""
    async with request.form() as form:
        sent = form.get("file")
        named = sent.filename or "" if isinstance(sent, UploadFile) else ""
        content = await sent.read(LARGEST + 1) if isinstance(sent, UploadFile) else b""
    if not content:
        wrong = BadValue("Choose a file first: a price list as CSV or XLSX.", field="file")
        return _asked(request, office, Saved(Parsed().refused(wrong)))
    one = await price_lists.open_list(office, content, named)
    return go(request, f"{HERE}/{one.id}")


@router.get("/list/example.csv")
async def example() -> Response:
    """A price list of invented goods, to see how one may look."""
    return _file(example_csv(), "example-price-list.csv", "text/csv; charset=utf-8")


@router.get("/list/{list_id}")
async def look(request: Request, office: OfficeHere, list_id: str) -> Response:
    """How far a list is; then its columns and rows."""
    return _shown(request, office, await price_lists.look(office, list_id))


def _shown(request: Request, office: Office, one: PriceList, saved: Saved[Any] = NOTHING_SENT) -> Response:
    if (change_id := price_lists.told(one)) is not None:
        return go(request, f"/prices/changes/{change_id}")
    if one.not_saved is not None:
        saved, one.not_saved = Saved(Parsed().refused(one.not_saved)), None
    if one.refused is not None and one.table is None:
        return _asked(request, office, Saved(Parsed().refused(one.refused)))
    if one.refused is not None and saved is NOTHING_SENT:
        saved = Saved(Parsed().refused(one.refused))
    context = {"list": one, "shown": list_view(office, one), "columns": COLUMNS}
    return _page(request, office, "list_read", context, back=f"{HERE}/{one.id}", saved=saved)


@router.post("/list/{list_id}")
async def read_so(request: Request, office: OfficeHere, list_id: str) -> Response:
    """The columns as the person says; tried out again."""
    form = await request.form()
    parsed, reading = reading_of(form, office.firm(), office.basis().suppliers)
    if reading is None:
        return _shown(request, office, await price_lists.look(office, list_id), Saved(parsed))
    price_lists.read_so(office, list_id, reading)
    return go(request, f"{HERE}/{list_id}")


@router.post("/list/{list_id}/take")
async def take_rows(request: Request, office: OfficeHere, list_id: str) -> Response:
    """The rows that were accepted, as one change; a long list says how far it is."""
    form = await request.form()
    parsed, picks = picks_of(form)
    order = order_of(form, "")
    saved = save_form(parsed, lambda: begin_taking(office, list_id, picks, order))
    if saved.ok and saved.result:
        return go(request, f"/prices/changes/{order.change_id}")
    look = price_lists.look_while_saved if saved.ok else price_lists.look
    return _shown(request, office, await look(office, list_id), saved)


@router.get("/changes/{change_id}")
async def changed(request: Request, office: OfficeHere, change_id: UUID) -> Response:
    """What a change of prices did, and which proposals it hurts."""
    change = price_history.change_of_prices(office, change_id)
    count = sum(1 for edit in change.edits if edit.kind == "price")
    context = {"change": change, "count": count, "hurt": await price_history.hurt_by(office, change)}
    return _page(request, office, "list_done", context, back="/prices")


@router.get("/history/{key}")
async def history(request: Request, office: OfficeHere, key: str) -> Response:
    """What a price was, from which list and when."""
    title, entries = price_history.price_history(office, key)
    context = {"key": key, "title": title, "entries": entries}
    return _page(request, office, "price_history", context, back=f"/prices/history/{key}")


@router.get("/export.csv")
async def export_csv(office: OfficeHere) -> Response:
    """The price book as CSV."""
    return _file(rows_csv(book_rows(office.basis())), "price-book.csv", "text/csv; charset=utf-8")


@router.get("/export.xlsx")
async def export_xlsx(office: OfficeHere) -> Response:
    """The price book as a workbook."""
    return _file(await run_in_worker("book file", book_payload(office.basis())), "price-book.xlsx", XLSX)


def _file(content: bytes, name: str, kind: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"', "cache-control": "no-store"}
    return Response(content, media_type=kind, headers=headers)
