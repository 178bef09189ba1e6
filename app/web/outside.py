"""What another device may reach: to trust and to pair, until it is paired; over plain HTTP reading and notes."""

import re

from starlette.datastructures import Headers
from starlette.requests import HTTPConnection
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import Scope

from app.db.disk import ELSEWHERE, DiskTrouble
from app.documents.pages import environment
from app.domain.devices import Device, has_lapsed
from app.domain.sharing import Over, Plain, Share, is_idle
from app.services import devices
from app.services.office import Office
from app.web.device import device_at
from app.web.reached import over_of
from app.web.sharing import Sharing

TRUST = "/trust"
PAIR = "/pair"
FOR_ANYBODY = ("/built/", f"{TRUST}/")  # answer to anybody on the network
FEED = re.compile(r"/feed/[A-Za-z0-9_-]{43}\.ics")  # read by who knows it, without pairing, over HTTPS alone
SAFE = ("GET", "HEAD")
NO_FEED = "Over plain HTTP the calendar feed is not read: somebody on this network could learn its address."
NO_SIGNING = (
    "Over plain HTTP nothing is signed: somebody on this network could change what you see. Open the page over HTTPS, "
    "or sign on the laptop."
)
SHUT_OUT = (
    "This device was shut out at the office, and nothing it sends is taken any more. If that was a mistake, have a "
    "code made at the office and type it at the address of Outlay followed by /pair."
)
LAPSED = (
    "This device was not seen at the office for {} days, and is let in no more. Have a code made at "
    "the office and type it at the address of Outlay followed by /pair. What was typed here waits until then."
)
HEADINGS = {401: "Not let in any more", 503: "Not shared now"}
# what may be changed over plain HTTP: notes on the plan, photos, taking back one's own
_NOTES = re.compile(
    r"/jobs/[^/]+/(?:[^/]+/note/(?:new|[^/]+)(?:/remove)?|site/photo/new|undo|face)|/face/ours|/field/[^/]+/(?:note|photo)"
)
_SIGNING = re.compile(r"/show/[^/]+/(sign|consent)/[^/]+")


def refusal(scope: Scope, office: Office, sharing: Sharing) -> Response | None:
    """The answer to a request that may not go on; None where it may."""
    over, share = over_of(scope), sharing.share
    if over is Over.HERE:
        return None
    if share is None or is_idle(share, office.clock()):  # as when the laptop slept: who comes too late puts no end off
        return _say(scope, "Sharing has ended. It is switched on again on the laptop, under Firm, Share.", status=503)
    try:
        known = device_at(HTTPConnection(scope), office)
        why_out = _why_out(known, office) if known else ""
    except DiskTrouble as wrong:
        return _say(scope, ELSEWHERE, status=wrong.status)
    device = devices.note_seen(office, known) if known and not why_out else None
    state = scope.setdefault("state", {})
    state["device"], state["stranger"] = (
        device,
        device is None,
    )  # who is told nothing of the firm, in errors either
    sharing.heard((scope.get("client") or ("",))[0], paired=device is not None)
    if is_for_anybody(scope["path"]):
        return None
    if over is Over.PLAIN and share.plain is not Plain.READING:
        return _say(
            scope, "This address is for the one-time trust step only.", f"Open {share.link(Over.SECURE)} to work."
        )
    return _to_a_device(scope, share, why_out, device)


def _why_out(known: Device, office: Office) -> str:
    """Why a device that was paired is let in no more; empty while it is in."""
    if known.revoked_at is not None:
        return SHUT_OUT
    days = office.firm().unseen_days
    return LAPSED.format(days) if has_lapsed(known, office.clock(), days) else ""


def _to_a_device(scope: Scope, share: Share, why_out: str, device: Device | None) -> Response | None:
    """To pair, anybody; the feed, who knows its address; the rest, who was let in, and over plain HTTP not all."""
    if f"{scope['path']}/".startswith(f"{PAIR}/"):
        return None
    if FEED.fullmatch(scope["path"]) and scope["method"] == "GET":
        return _say(scope, NO_FEED) if over_of(scope) is Over.PLAIN else None
    if device is None:
        return _not_paired(scope, why_out)
    return _over_plain(scope, share) if over_of(scope) is Over.PLAIN else None


def _over_plain(scope: Scope, share: Share) -> Response | None:
    """Over plain HTTP: reading, and notes."""
    if scope["method"] in SAFE or _NOTES.fullmatch(scope["path"]):
        return None
    if _SIGNING.fullmatch(scope["path"]):
        return _say(scope, NO_SIGNING)
    return _say(
        scope,
        "Over plain HTTP pages are read, and notes and photos are added; nothing else is changed.",
        f"Open {share.link(Over.SECURE)} for the rest. Nothing was changed.",
    )


def is_for_anybody(path: str) -> bool:
    """Whether an address answers to a device that is not paired."""
    return f"{path}/".startswith(FOR_ANYBODY)


def _not_paired(scope: Scope, why_out: str) -> Response:
    if why_out:
        return _say(scope, why_out, status=401)
    if scope["method"] in SAFE and scope["path"] == "/":
        return RedirectResponse(PAIR, 303)
    return _say(scope, "This device is not paired with Outlay.", "Pairing is done on the laptop, under Firm, Devices.")


def _say(scope: Scope, *sentences: str, status: int = 403) -> Response:
    """A page with the sentences, without a word of the firm, for who reads pages; else the sentences alone."""
    asked = Headers(scope=scope)
    if "text/html" not in asked.get("accept", "") or "hx-request" in asked:
        return PlainTextResponse(" ".join(sentences), status)
    app = scope["app"]
    template = environment(app.state.office.settings.templates).get_template("error/outside.html")
    values = {
        "heading": HEADINGS.get(status, "Not from here"),
        "sentences": sentences,
        "pairs": status == 401,
        "static_version": app.state.static.version,
    }
    return HTMLResponse(template.render(values), status, {"cache-control": "no-store"})
