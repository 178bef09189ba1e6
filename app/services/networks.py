"""Networks this machine is on, as its system lists them just now, and whether a port on one is free."""

import socket

import ifaddr

from app.domain.errors import BadValue, Refused
from app.domain.sharing import Network, can_be_shared_on

NONE_HERE = (
    "This laptop is on no network that a tablet could join. Join the Wi-Fi, or switch on a phone's hotspot and join "
    "that with both, then try again."
)


def networks() -> tuple[Network, ...]:
    """Every network that may be shared on: Wi-Fi first."""
    found = [
        Network(interface=adapter.nice_name, address=str(one.ip))
        for adapter in ifaddr.get_adapters()
        for one in adapter.ips
        if one.is_IPv4
    ]
    return tuple(sorted(filter(can_be_shared_on, found), key=lambda one: (one.words != "Wi-Fi", one.interface)))


def network_on(interface: str) -> Network:
    """The network of an interface; of the first one when none is named. Raises: Refused, BadValue."""
    known = networks()
    if not known:
        raise Refused(NONE_HERE)
    for one in known:
        if interface in ("", one.interface):
            return one
    raise BadValue("That network is gone. Choose one of those listed now.", field="interface")


def is_free(address: str, port: int) -> bool:
    """Whether nothing listens on a port."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address, port))
        except OSError:
            return False
    return True


def listening_on(address: str, port: int) -> socket.socket:
    """A socket for exactly this address of this machine. Raises: Refused where another program has it."""
    made = socket.socket()
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((address, port))
    except OSError as wrong:
        made.close()
        raise Refused(
            f"{address}:{port} cannot be opened ({wrong.strerror}). Another program may use this port; stop it, then "
            "share again."
        ) from wrong
    made.setblocking(False)
    return made
