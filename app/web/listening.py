"""Servers of the one event loop: the main one, and those beside it on a network."""

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from socket import socket

import uvicorn


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
