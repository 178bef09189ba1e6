"""Who may ask: the Host allowlist, Origin and token on every change, which face a device shows, response headers.

All that an answer passes on its way in and out, in its order, and so a little longer than other modules.
"""

import asyncio
import hmac
import secrets
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from hashlib import sha256
from typing import Annotated
from uuid import UUID

from fastapi import Depends, Request
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.config import Settings
from app.db.flushing import NotOnDisk
from app.domain.devices import Device, Face, Showing, shown_by
from app.domain.errors import OutlayError
from app.domain.sharing import Over, Share
from app.services.office import Office, work_as
from app.web import outside, refusals
from app.web.faces import keep_to_face
from app.web.forms.fields import as_uuid
from app.web.idle import Idle
from app.web.reached import over_of, read_cookie
from app.web.sharing import Sharing
from app.web.sizes import limited, most_of, too_large

SESSION = "outlay_session"
FACE = "outlay_face"
SAFE = {"GET", "HEAD", "OPTIONS"}
LOOPBACK = {"127.0.0.1", "localhost", "[::1]"}
COMMANDS = "/commands/"  # what the command line asks a running server for

HEADERS: Mapping[str, str] = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
        "connect-src 'self'; manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}


class NotAllowed(OutlayError):
    """The request does not come from a page of ours."""

    status = 403


class Gate:
    """Outermost: refuses foreign hosts and oversized bodies, and sets the headers every answer carries."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        sharing: Sharing = scope["app"].state.sharing
        if not is_ours(headers.get("host", ""), over_of(scope), sharing.share):
            refusals.note(scope, 421)
            answer = PlainTextResponse("Outlay answers only to its own name.", status_code=421)
            await answer(scope, receive, send)
            return
        office: Office = scope["app"].state.office
        most = most_of(scope["path"])
        if said := too_large(int(headers.get("content-length") or 0), most, office.settings):
            refusals.note(scope, 413)
            await PlainTextResponse(said, 413)(scope, receive, send)
            return

        with office.database.request(), _counted(scope["app"].state.idle):
            answering = outside.refusal(scope, office, sharing) or self.app
            await answering(scope, limited(receive, most), _once_on_disk(office, scope, receive, send))


@contextmanager
def _counted(idle: Idle | None) -> Iterator[None]:
    """A request that is being answered, until the block ends."""
    if idle is None:
        yield
        return
    idle.begins()
    try:
        yield
    finally:
        idle.ends()


def _once_on_disk(office: Office, scope: Scope, receive: Receive, send: Send) -> Send:
    """Send with our headers, once all that is committed is on disk; what is not is neither answered nor shown."""
    lost = False

    async def send_with_headers(message: Message) -> None:
        nonlocal lost
        if message["type"] == "http.response.start":
            refusals.note(scope, message["status"] if message["status"] >= 400 else 0)
            own = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                own.setdefault(name, value)
            if sentence := await _not_on_disk(office):
                lost = True
                await PlainTextResponse(sentence, 503, dict(HEADERS))(scope, receive, send)
        if not lost:
            await send(message)

    return send_with_headers


async def _not_on_disk(office: Office) -> str:
    """Wait until all that is committed is on disk; why it is not, or nothing."""
    flushing = office.database.reaching_disk
    if flushing is not None:
        try:
            await asyncio.shield(asyncio.wrap_future(flushing))  # who goes away does not stop it
        except NotOnDisk as wrong:
            return wrong.sentence
    return ""


def is_ours(host: str, over: Over, share: Share | None) -> bool:
    """Whether a Host header names us: this machine's loopback, or over a network exactly what is shared there."""
    if over is Over.HERE:
        return host_name(host) in LOOPBACK
    return share is not None and host.lower() in share.hosts(over)


def host_name(host: str) -> str:
    """The name in a Host header, without its port."""
    return host.rsplit(":", 1)[0] if host.rpartition(":")[2].isdigit() else host


async def office_of(request: Request) -> Office:
    """The office this server works for."""
    office: Office = request.app.state.office
    return office


OfficeHere = Annotated[Office, Depends(office_of)]


def _keyed(settings: Settings, text: str) -> str:
    return hmac.new(settings.secret(), text.encode(), sha256).hexdigest()


def _same(sent: str, ours: str) -> bool:
    return hmac.compare_digest(sent.encode("utf-8", "replace"), ours.encode())  # text may hold anything


def token_for(office: Office, session: str) -> str:
    """The token that a page of this session must send with every change; a page from before a restore has another."""
    return _keyed(office.settings, f"token:{office.epoch}:{session}")


def command_mark(settings: Settings, change_id: UUID) -> str:
    """What a command of this machine's owner sends instead: only who may read the data folder's secret can make it."""
    return f"{change_id}.{_keyed(settings, f'command:{change_id}')}"


def change_of_command(request: Request) -> UUID:
    """The change that a command was let in with."""
    return UUID(request.headers["x-outlay-command"].partition(".")[0])


async def guard(request: Request, office: OfficeHere) -> None:
    """Every route passes here: a session for all; each device kept to its face; Origin and token for what changes.

    Raises: NotAllowed, ShowsOther.
    """
    session = read_cookie(request, SESSION)
    request.state.session = session or secrets.token_urlsafe(32)
    request.state.new_session = not session
    request.state.showing = showing_of(request, office)
    keep_to_face(request, request.state.showing)
    if request.method in SAFE:
        return
    origin = request.headers.get("origin", "")
    if origin != f"{request.url.scheme}://{request.headers.get('host', '')}":
        raise NotAllowed("This was sent from another page than Outlay's. Nothing was changed.")
    if request.url.path.startswith(COMMANDS):
        _keep_to_owner(request, office)
        return
    sent = request.headers.get("x-outlay-token")
    if not sent:
        request.state.typed = form = await request.form()  # a plain form: shown again when it cannot be saved
        sent = str(form.get("token", ""))
    if not session or not _same(sent, token_for(office, session)):
        raise NotAllowed(
            "This page is from before Outlay was last set up or restored here. Open it afresh; nothing was changed."
        )


def _keep_to_owner(request: Request, office: Office) -> None:
    sent = request.headers.get("x-outlay-command", "")
    named = as_uuid(sent.partition(".")[0])
    if named is None or not _same(sent, command_mark(office.settings, named)):
        raise NotAllowed("Only the command line of the person who started Outlay may ask this. Nothing was changed.")


def showing_of(request: Request, office: Office) -> Showing | None:
    """The face of the device that asks, whose name the record gets; None for a stranger. This machine is ours."""
    device: Device | None = getattr(request.state, "device", None)
    work_as(device.name if device else "")
    if over_of(request.scope) is Over.HERE:
        job_id = _turned_here(request, office)
        return Showing(Face.CLIENT, job_id) if job_id else Showing()
    return shown_by(device, office.clock()) if device else None


def _turned_here(request: Request, office: Office) -> UUID | None:
    """The job whose client's face this machine was turned to; None on ours.

    Where there is a passcode the program remembers it, too: neither another window nor a browser without its cookies
    is a way back. Who can start the program anew can read its files. The owner's commands prove themselves otherwise.
    """
    handed_over: UUID | None = getattr(request.app.state, "handed_over", None)
    if handed_over is not None and not request.url.path.startswith(COMMANDS):
        return handed_over
    job, _, mark = read_cookie(request, FACE).partition(".")
    if not mark or not _same(mark, _keyed(office.settings, "face:" + job)):
        return None
    return UUID(job)


def face_cookie(office: Office, job_id: UUID) -> str:
    """The cookie that turns this device to the client's face of a job."""
    return f"{job_id}.{_keyed(office.settings, f'face:{job_id}')}"
