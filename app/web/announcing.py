"""The shared name on the local network: multicast DNS (RFC 6762), so that `NAME.local` finds this laptop."""

import asyncio
import logging
import socket
from contextlib import AsyncExitStack
from dataclasses import dataclass

from zeroconf import AddressResolverIPv4, Error, IPVersion  # type: ignore[attr-defined] # public, left out of __all__
from zeroconf.asyncio import AsyncServiceInfo, AsyncZeroconf

from app.domain.sharing import Share

log = logging.getLogger("outlay")
KIND = "_https._tcp.local."
ASK = 1500  # milliseconds for another machine to say that the name is its own


@dataclass(slots=True)
class Announced:
    """A name that this laptop answers to on one network, until it is taken back."""

    on: AsyncZeroconf
    info: AsyncServiceInfo

    async def take_back(self) -> None:
        """Say goodbye, so that others forget the name at once."""
        try:
            await (await self.on.async_unregister_service(self.info))
        except (OSError, Error):
            log.warning("the shared name could not be taken back", exc_info=True)
        finally:
            await self.on.async_close()


async def announce(share: Share) -> tuple[Announced | None, str]:
    """Answer to the shared name on its network; a sentence where that cannot be, and the address has to do."""
    async with AsyncExitStack() as closing:
        try:
            made = AsyncZeroconf(interfaces=[share.network.address], ip_version=IPVersion.V4Only)
            closing.push_async_callback(made.async_close)
            if other := await _another(made, share):
                return (
                    None,
                    f"Another machine on this network ({other}) answers to {share.called.name}. Use the address.",
                )
            info = _info(share)
            await (await made.async_register_service(info, allow_name_change=True))
        except (OSError, Error, TimeoutError):
            log.warning("the shared name could not be announced", exc_info=True)
            return None, f"This network does not carry the name {share.called.name}. Use the address."
        closing.pop_all()
    return Announced(made, info), ""


def _info(share: Share) -> AsyncServiceInfo:
    return AsyncServiceInfo(
        KIND,
        f"{share.called.name.removesuffix('.local')}.{KIND}",
        addresses=[socket.inet_aton(share.network.address)],
        port=share.called.secure_port,
        server=f"{share.called.name}.",
    )


async def _another(on: AsyncZeroconf, share: Share) -> str:
    """The address of another machine that has the name; empty when it is free."""
    asked = AddressResolverIPv4(f"{share.called.name}.")
    await asyncio.wait_for(asked.async_request(on.zeroconf, ASK), 2 * ASK / 1000)
    others = {str(one) for one in asked.ip_addresses_by_version(IPVersion.V4Only)} - {share.network.address}
    return min(others, default="")
