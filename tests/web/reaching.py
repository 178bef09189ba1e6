"""A device on the network for web tests: the application as it is reached over HTTPS or plain HTTP."""

from dataclasses import replace

import httpx2 as httpx
from starlette.testclient import TestClient

from app.domain.sharing import Network, Over, Plain, Share, SharedName
from app.main import create_app
from app.services.office import Office
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
