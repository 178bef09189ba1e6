"""A device on the network for web tests: the application as it is reached over HTTPS or plain HTTP."""

from dataclasses import replace
from uuid import UUID, uuid4

import httpx2 as httpx
from starlette.testclient import TestClient

from app.domain.devices import Face
from app.domain.sharing import Network, Over, Plain, Share, SharedName
from app.main import create_app
from app.services import pairing
from app.services.jobs import Order
from app.services.office import Office
from app.web.access import SESSION, token_for
from app.web.device import DEVICE
from app.web.reached import Reached

CALLED = SharedName(name="brackenfold.local", secure_port=8138, plain_port=8139)
NETWORK = Network(interface="wlan0", address="192.168.43.7")


def shared(office: Office, over: Over, plain: Plain = Plain.CLOSED) -> TestClient:
    """A device that opens the shared name; nothing listens, the requests go straight to the application."""
    app = create_app(office)
    now = office.clock()
    share = Share(network=NETWORK, called=CALLED, since=now, last_asked=now)
    app.state.sharing.share = replace(share, plain=plain, plain_since=now)
    return TestClient(
        Reached(app, over),
        base_url=share.link(over),
        raise_server_exceptions=False,
        follow_redirects=False,
        client=("192.168.43.50", 40000),
    )


def asked(device: TestClient, path: str, host: str) -> httpx.Response:
    return device.get(path, headers={"host": host})


def let_in(
    office: Office, over: Over, face: Face = Face.OURS, job_id: UUID | None = None, *, name: str = "Maren's tablet"
) -> str:
    """Pair a device; its token."""
    one = pairing.begin(office, face, job_id)
    asked = pairing.ask(office, pairing.code_of(office, one), name, "192.168.43.50", over.value)
    pairing.allow(office, one.id, "", Order(change_id=uuid4()))
    return asked.token


def cookie(over: Over, name: str) -> str:
    return f"__Host-{name}" if over is Over.SECURE else name


def paired(
    office: Office, over: Over, plain: Plain = Plain.CLOSED, face: Face = Face.OURS, job_id: UUID | None = None
) -> TestClient:
    """A device that was let in."""
    device = shared(office, over, plain)
    device.cookies.set(cookie(over, DEVICE), let_in(office, over, face, job_id))
    return device


def sent(
    device: TestClient, office: Office, path: str, data: dict | None = None, files: dict | None = None
) -> httpx.Response:
    """A form sent from a page, with its Origin and token."""
    over: Over = device.app.over
    if not device.cookies.get(cookie(over, SESSION)):
        device.get("/pair")
    token = token_for(office, device.cookies.get(cookie(over, SESSION)) or "")
    origin = str(device.base_url).rstrip("/")
    return device.post(path, data=data or {}, files=files, headers={"origin": origin, "x-outlay-token": token})
