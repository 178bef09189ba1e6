"""What another device may reach: nothing but the doors, until it is paired; over plain HTTP reading and notes."""

import re

from starlette.requests import HTTPConnection
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import Scope

from app.domain.sharing import Over, Plain, Share
from app.services.office import Office
from app.web.reached import over_of
from app.web.sharing import Sharing

TRUST = "/trust"
DOORS = ("/built/", f"{TRUST}/")  # answer to anybody on the network
SAFE = ("GET", "HEAD")
NO_SIGNING = (
    "Over plain HTTP nothing is signed: somebody on this network could change what you see. Open the page over HTTPS, "
    "or sign on the laptop."
)
# what may be changed over plain HTTP: notes on the plan, photos, taking back one's own
_NOTES = re.compile(r"/jobs/[^/]+/(?:[^/]+/note/(?:new|[^/]+)(?:/remove)?|site/photo/new|undo|face)|/face/ours")
_SIGNING = re.compile(r"/show/[^/]+/sign/[^/]+")


def refusal(scope: Scope, office: Office, sharing: Sharing) -> Response | None:
    """The answer to a request that may not go on; None where it may."""
    over, share = over_of(scope), sharing.share
    if over is Over.HERE or share is None:  # what is not shared is not listened to either
        return None
    paired = is_paired(HTTPConnection(scope), office)
    sharing.heard((scope.get("client") or ("",))[0], paired=paired)
    if is_a_door(scope["path"]):
        scope.setdefault("state", {})["stranger"] = not paired  # who is told nothing of the firm, in errors either
        return None
    if over is Over.PLAIN and share.plain is not Plain.READING:
        return _say("This door is for the one-time trust step only.", f"Open {share.link(Over.SECURE)} to work.")
    if not paired:
        return _not_paired(scope)
    return _over_plain(scope, share) if over is Over.PLAIN else None


def _over_plain(scope: Scope, share: Share) -> Response | None:
    """Over plain HTTP: reading, and notes."""
    if scope["method"] in SAFE or _NOTES.fullmatch(scope["path"]):
        return None
    if _SIGNING.fullmatch(scope["path"]):
        return _say(NO_SIGNING)
    return _say(
        "Over plain HTTP pages are read, and notes and photos are added; nothing else is changed.",
        f"Open {share.link(Over.SECURE)} for the rest. Nothing was changed.",
    )


def is_a_door(path: str) -> bool:
    """Whether an address answers to a device that is not paired."""
    return f"{path}/".startswith(DOORS)


def is_paired(_request: HTTPConnection, _office: Office) -> bool:
    """Whether the device that asks was let in. Until devices can be paired, none is."""
    return False


def _not_paired(scope: Scope) -> Response:
    if scope["method"] in SAFE and scope["path"] == "/":
        return RedirectResponse(TRUST, 303)
    return _say("This device is not paired with Outlay.", "Pairing is done on the laptop, under Firm, Share.")


def _say(*sentences: str) -> Response:
    return PlainTextResponse(" ".join(sentences), 403)
