"""The switch: a second server in the same event loop, on one network, started and stopped without restarting."""

import asyncio
import logging
import ssl
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from starlette.types import ASGIApp

from app.domain.errors import Refused
from app.domain.sharing import Ended, Over, Plain, Share, is_idle, trust_step_is_over
from app.services import authority, networks
from app.services.office import Office
from app.services.sharing import shared_name
from app.web.announcing import Announced, announce
from app.web.listening import Beside, config_beside
from app.web.reached import Reached

log = logging.getLogger("outlay")
LOOK = 15.0  # seconds between looks at whether sharing has come to its end
KNOCK = 5.0  # seconds for this laptop to answer itself
LET_GO = 3  # seconds that answers under way get when sharing ends


@dataclass(slots=True)
class Open:
    """A server that listens, and the task it runs in."""

    server: Beside
    running: asyncio.Task[None]


@dataclass(slots=True)
class Sharing:
    """Whether, where and since when the pages are shared; what is open for it."""

    app: ASGIApp
    office: Office
    share: Share | None = None
    ended: Ended | None = None
    ended_at: datetime | None = None
    fault: str = ""  # what this laptop found out about its own address: empty while it answers as it should
    _open: dict[Over, Open] = field(default_factory=dict)
    name_fault: str = ""  # why only the address finds this laptop on this network; empty while the name does
    _certificate: bytes = b""  # the one that is shown to devices, and the day it was last looked at
    _certificate_of: date | None = None
    _watching: asyncio.Task[None] | None = None
    _naming: asyncio.Task[Announced | None] | None = None

    async def begin(self, interface: str = "") -> Share:
        """Switch sharing on, on the network of an interface; the first one when none is named.

        Raises: Refused, BadValue in a sentence; then nothing is shared.
        """
        network, called = networks.network_on(interface), shared_name(self.office)
        await self.end(Ended.SWITCH)
        now = self.office.clock()
        made = Share(network=network, called=called, since=now, last_asked=now)
        files = authority.serving(self.office, called, network.address)
        await self._listen(Over.SECURE, made, files)
        self.share, self.ended = made, None
        self.fault, self.name_fault = await self._try_own_address(made), ""
        self._naming = asyncio.create_task(self._announce(made))
        self._watching = asyncio.create_task(self._watch())
        return made

    async def end(self, why: Ended) -> None:
        """Switch sharing off and say why; nothing listens on the network any more when this returns."""
        if self.share is None:
            return
        self.share, self.ended, self.ended_at = None, why, self.office.clock()
        if self._watching is not None and self._watching is not asyncio.current_task():
            self._watching.cancel()
        for over in tuple(self._open):
            await self._close(over)
        await self._take_name_back()

    async def open_plain(self, use: Plain) -> None:
        """Open plain HTTP for a use, or close it. Raises: Refused while nothing is shared."""
        if self.share is None:
            raise Refused("Nothing is shared just now. Switch sharing on first.")
        await self._close(Over.PLAIN)
        if use is not Plain.CLOSED:
            await self._listen(Over.PLAIN, self.share, None)
        self.share = replace(self.share, plain=use, plain_since=self.office.clock())

    def heard(self, client: str, *, paired: bool) -> None:
        """Another device has asked; one that is paired puts the end off."""
        if self.share is None or client == self.share.network.address:
            return
        now = self.office.clock()
        last = now if paired else self.share.last_asked
        self.share = replace(self.share, first_asked=self.share.first_asked or now, last_asked=last)

    async def look(self) -> None:
        """End what has come to its end: idle for too long, the network gone, the trust step."""
        if self.share is None:
            return
        now = self.office.clock()
        if now < self.share.last_asked:  # the clock was set back
            self.share = replace(self.share, last_asked=now)
        if is_idle(self.share, now):
            await self.end(Ended.IDLE)
        elif self.share.network not in networks.networks():
            await self.end(Ended.NETWORK)
        elif trust_step_is_over(self.share, now):
            await self.open_plain(Plain.CLOSED)
        elif now.date() != self._certificate_of:
            await self._renew(self.share)

    async def _renew(self, share: Share) -> None:
        """Once a day: open the address afresh where its certificate was made anew."""
        self._certificate_of, before = self.office.clock().date(), self._certificate
        files = authority.serving(self.office, share.called, share.network.address)
        if files.certificate.read_bytes() != before:
            await self._close(Over.SECURE)
            await self._listen(Over.SECURE, share, files)

    async def _watch(self) -> None:
        while self.share is not None:
            await asyncio.sleep(LOOK)
            await self.look()

    async def _announce(self, share: Share) -> Announced | None:
        announced, self.name_fault = await announce(share)
        return announced

    async def _take_name_back(self) -> None:
        naming, self._naming = self._naming, None
        if naming is None:
            return
        if not naming.done():
            naming.cancel()
        with suppress(asyncio.CancelledError):
            announced = await naming
            if announced is not None:
                await announced.take_back()

    async def _try_own_address(self, share: Share) -> str:
        """Knock as a device would that trusts the authority; a sentence when that does not go as it should."""
        trusting = ssl.create_default_context(cadata=authority.trusted(self.office, share.called).certificate)
        address, port = share.network.address, share.called.secure_port
        try:
            knocking = asyncio.open_connection(address, port, ssl=trusting, server_hostname=share.called.name)
            _, writer = await asyncio.wait_for(knocking, KNOCK)
            writer.close()
        except (OSError, TimeoutError) as wrong:
            log.warning("the shared address does not answer as it should: %s", wrong)
            return "This laptop does not reach its own shared address. Look at its firewall, then share again."
        return ""

    async def _listen(self, over: Over, share: Share, files: authority.Serving | None) -> None:
        port = share.called.secure_port if over is Over.SECURE else share.called.plain_port
        listening = networks.listening_on(share.network.address, port)
        config = config_beside(Reached(self.app, over), files, LET_GO)
        server = Beside(config)
        running = asyncio.create_task(server.serve([listening]))
        begun = asyncio.create_task(server.listens.wait())
        await asyncio.wait({running, begun}, return_when=asyncio.FIRST_COMPLETED)
        if running.done():
            begun.cancel()
            listening.close()
            log.error("sharing did not start", exc_info=running.exception())
            raise Refused("Sharing could not be started. Nothing is shared.")
        self._open[over] = Open(server, running)
        if files:
            self._certificate, self._certificate_of = files.certificate.read_bytes(), self.office.clock().date()

    async def _close(self, over: Over) -> None:
        was = self._open.pop(over, None)
        if was is not None:
            was.server.should_exit = True
            await was.running
