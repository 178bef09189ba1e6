"""Serve one office twice, on this machine's loopback: as its own pages, and as another device reaches them over HTTPS.

`python -m tests.served_beside DATA OWN_PORT OTHER_PORT`. What the other device's server marks is what the real one marks;
only the encryption is left out, so that a browser needs no certificate.
"""

import asyncio
import sys
from pathlib import Path

import uvicorn

from app.config import Settings
from app.domain.sharing import Network, Over, Share, SharedName
from app.interchange.library_file import load_library
from app.main import create_app
from app.services.office import open_office
from app.web.reached import Reached


async def main(data: str, own: int, other: int) -> None:
    """Serve until stopped."""
    library = load_library()
    office = open_office(Settings(data=Path(data)), library.basis(), cautions=library.cautions)
    app, now = create_app(office), office.clock()
    called = SharedName(name="brackenfold.local", secure_port=other, plain_port=other + 1)
    network = Network(interface="wlan0", address="127.0.0.1")
    app.state.sharing.share = Share(network=network, called=called, since=now, last_asked=now)
    servers = [
        uvicorn.Server(uvicorn.Config(app, port=own, log_level="warning")),
        uvicorn.Server(uvicorn.Config(Reached(app, Over.SECURE), port=other, log_level="warning", lifespan="off")),
    ]
    await asyncio.gather(*(one.serve() for one in servers))


if __name__ == "__main__":
    asyncio.run(main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3])))
