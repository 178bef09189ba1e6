"""Servers of the one event loop: the main one, and those beside it on a network."""

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from socket import socket

import uvicorn
from starlette.types import ASGIApp

from app.services.authority import Serving

# TLS 1.3, and of 1.2 what keeps no past conversation readable; the library's own default speaks older suites, too
SUITES = "ECDHE+AESGCM:ECDHE+CHACHA20"


class Listener(uvicorn.Server):
    """A server that says when it listens; `then` is done at that moment."""

    def __init__(self, config: uvicorn.Config, then: Callable[[], Awaitable[None]] | None = None) -> None:
        super().__init__(config)
        self.listens = asyncio.Event()
        self._then = then

    async def startup(self, sockets: list[socket] | None = None) -> None:
        """Begin, and say so."""
        await super().startup(sockets)
        self.listens.set()
        if self._then is not None:
            await self._then()


class Beside(Listener):
    """A server beside the main one, which the signals stay with."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Leave the signals alone."""
        yield


def config_beside(app: ASGIApp, files: Serving | None, let_go: int) -> uvicorn.Config:
    """How a server beside the main one serves: over HTTPS with a certificate, over plain HTTP without."""
    return uvicorn.Config(
        app,
        lifespan="off",
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=64,
        timeout_keep_alive=30,
        timeout_graceful_shutdown=let_go,
        ssl_certfile=files.certificate if files else None,
        ssl_keyfile=str(files.key) if files else None,
        ssl_ciphers=SUITES,
    )
