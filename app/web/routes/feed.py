"""The calendar feed: its switch on a page of the firm, and the address that calendar programs read."""

from datetime import UTC
from email.utils import format_datetime, parsedate_to_datetime
from typing import Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import PlainTextResponse, Response
from starlette.datastructures import Headers

from app.documents.qr_codes import qr_svg
from app.domain.errors import NotFound
from app.domain.pairing import TooManyTries
from app.domain.sharing import Over, Share
from app.services import calendar_feed, passcode
from app.services.office import Office
from app.services.sharing import shared_name
from app.web.access import OfficeHere
from app.web.asked_again import PASSCODE, proved
from app.web.forms.fields import order_of, read
from app.web.forms.saving import Saved, save_form_async
from app.web.reached import over_of
from app.web.rendering import page, svg, wants_fragment
from app.web.sharing import Sharing
from app.web.sheet_pages import NOTHING_SENT

switch = APIRouter(prefix="/firm/feed")
feed = APIRouter(prefix="/feed")
PRIVATE = {"cache-control": "private, no-cache"}  # kept by who asked, and asked about each time


@switch.get("")
async def show_feed(request: Request, office: OfficeHere) -> Response:
    """Whether there is a feed, since when, and what stands in it."""
    return _show(request, office)


@switch.post("/new")
async def make_address(request: Request, office: OfficeHere) -> Response:
    """Switch it on, or make its address anew; the address is in this answer and in no other."""
    form = await request.form()
    parsed = read(form, (PASSCODE,), office.firm(), whole=True)

    async def make() -> str:
        await proved(request, office, parsed.values["passcode"])
        return calendar_feed.make_address(office, order_of(form, ""))

    saved = await save_form_async(parsed, make)
    return _show(request, office, saved, focus="new", token=saved.result or "")


@switch.post("/off")
async def switch_off(request: Request, office: OfficeHere) -> Response:
    """No address is good any more."""
    form = await request.form()
    parsed = read(form, (PASSCODE,), office.firm(), whole=True)

    async def stop() -> None:
        await proved(request, office, parsed.values["passcode"])
        calendar_feed.switch_off(office, order_of(form, ""))

    return _show(request, office, await save_form_async(parsed, stop), focus="off")


def _show(
    request: Request, office: Office, saved: Saved[Any] = NOTHING_SENT, *, focus: str = "", token: str = ""
) -> Response:
    since = calendar_feed.since(office)
    sharing: Sharing = request.app.state.sharing
    shared = _shared_at(office, sharing.share) if token else ""
    address = f"{shared}/feed/{token}.ics" if token else ""
    here = f"{str(request.base_url).rstrip('/')}/feed/{token}.ics" if over_of(request.scope) is Over.HERE else ""
    context = {
        "since": since.astimezone(ZoneInfo(office.firm().time_zone)) if since else None,
        "address": address,
        "here": here if token else "",
        "code": svg(qr_svg(address, "The feed's address, for the device's camera")) if address else "",
        "sharing": sharing.share is not None,
        "passcode_set": passcode.is_set(office),
        "saved": saved,
        "focus": focus,
        "layout": "leaf_part.html" if wants_fragment(request) else "leaf.html",
    }
    answered = page(request, "firm/feed.html", context, status=saved.status)
    answered.headers["cache-control"] = "no-store"
    return answered


def _shared_at(office: Office, share: Share | None) -> str:
    """The shared name with its port, which stays the same from the first sharing on."""
    if share is not None:
        return share.link(Over.SECURE)
    called = shared_name(office)
    return f"https://{called.name}:{called.secure_port}"


@feed.get("/{token}.ics")
async def read_feed(request: Request, office: OfficeHere, token: str) -> Response:
    """The days of all jobs under way. One answer for every address that is none, whatever it was before."""
    if (refusal := _refusal(request, office, token)) is not None:
        return refusal
    now = await calendar_feed.feed(office)
    headers = {**PRIVATE, "etag": f'W/"{now.tag}"', "last-modified": format_datetime(now.changed, usegmt=True)}
    if _has_it(request.headers, now):
        return Response(status_code=304, headers=headers)
    return Response(now.content, media_type="text/calendar", headers=headers)


def _refusal(request: Request, office: Office, token: str) -> Response | None:
    """A sentence without a word of the firm, and no page, for who does not know the address."""
    try:
        calendar_feed.let_read(office, token, request.client.host if request.client else "")
    except (NotFound, TooManyTries) as wrong:
        return PlainTextResponse(str(wrong), wrong.status, {"cache-control": "no-store"})
    return None


def _has_it(asked: Headers, now: calendar_feed.Feed) -> bool:
    """Whether who asks has these days already; the tag goes before the date (RFC 9110 13.2.2)."""
    if (tags := asked.get("if-none-match")) is not None:
        told = {one.strip().removeprefix("W/").strip('"') for one in tags.split(",")}
        return "*" in told or now.tag in told
    try:
        known = parsedate_to_datetime(asked.get("if-modified-since", ""))
    except ValueError:
        return False
    return now.changed <= (known if known.tzinfo else known.replace(tzinfo=UTC))
