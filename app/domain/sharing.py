"""How the pages are reached from other devices: names, ports, how long certificates and sharing last."""

import re
import unicodedata
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from ipaddress import IPv4Address, IPv4Network

IDLE = timedelta(hours=12)  # without a request from another device; then sharing ends by itself
PATIENCE = timedelta(minutes=2)  # without a first request; then the page says what may keep devices apart
TRUST_STEP = timedelta(minutes=20)  # that the page of the one-time trust step stays open over plain HTTP

# A tablet refuses server certificates that last too long: 398 days for public authorities (CA/Browser Forum, Baseline
# Requirements 6.3.2), 825 for those a person adds (a tablet maker's note, from memory). Ours stay far below.
LONGEST_SERVER = timedelta(days=397)
SERVER_LASTS = timedelta(days=180)
RENEW_BEFORE = timedelta(days=60)  # a server certificate is made anew when no more than this is left
AUTHORITY_LASTS = timedelta(days=3650)
CLOCKS_APART = timedelta(days=1)  # a tablet's clock may run this late

FIRST_PORT = 8138  # the first of the ports tried when a data folder is first shared
PORTS_TRIED = 40

# Networks of an office, a home, a phone's hotspot: RFC 1918 (private), RFC 3927 (link-local), RFC 6598 (carrier-grade).
LOCAL_NETWORKS = tuple(
    IPv4Network(net) for net in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "100.64.0.0/10")
)
LONGEST_LABEL = 24  # characters of the name before `.local`; DNS allows 63 (RFC 1035)


class Over(StrEnum):
    """What a request came in over: this machine's loopback, HTTPS on a network, or plain HTTP on a network."""

    HERE = "here"
    SECURE = "secure"
    PLAIN = "plain"


class Plain(StrEnum):
    """What plain HTTP is open for: nothing, the one-time trust step, or reading and notes."""

    CLOSED = "closed"
    TRUST = "trust"
    READING = "reading"


class Ended(StrEnum):
    """Why sharing ended."""

    SWITCH = "switch"
    IDLE = "idle"
    NETWORK = "network"
    QUIT = "quit"


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedName:
    """What a data folder is shared as, for good: a name on the local network and two ports, fixed at the first run."""

    name: str  # without a trailing dot: `brackenfold.local`
    secure_port: int
    plain_port: int

    def link(self, over: Over, host: str = "") -> str:
        """The address to open on another device, by this name or another host."""
        if over is Over.PLAIN:
            return f"http://{host or self.name}:{self.plain_port}"
        return f"https://{host or self.name}:{self.secure_port}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """A network interface of this machine with its IPv4 address: `wlan0`, 192.168.1.20."""

    interface: str
    address: str

    @property
    def words(self) -> str:
        """The kind of interface, as its system name begins.

        >>> Network(interface="wlp3s0", address="192.168.1.20").words
        'Wi-Fi'
        """
        return next((words for start, words in _KINDS if self.interface.startswith(start)), "Network")


_KINDS = (("wl", "Wi-Fi"), ("wwan", "Mobile"), ("usb", "Phone by cable"), ("enx", "Phone or adapter by cable"),
          ("bnep", "Phone by Bluetooth"), ("en", "Cable"), ("eth", "Cable"))  # fmt: skip
_INNER = ("lo", "docker", "br-", "virbr", "vmnet", "tun", "tap", "zt")  # not a network a tablet can join


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """The switch while it is on: the network, the name, since when, when another device last and first asked."""

    network: Network
    called: SharedName
    since: datetime
    last_asked: datetime
    first_asked: datetime | None = None
    plain: Plain = Plain.CLOSED
    plain_since: datetime | None = None

    @property
    def ends_at(self) -> datetime:
        """When sharing ends if no other device asks any more."""
        return self.last_asked + IDLE

    def hosts(self, over: Over) -> frozenset[str]:
        """The Host headers that are ours over a network, exactly; none of this machine's own."""
        ports = {Over.SECURE: self.called.secure_port, Over.PLAIN: self.called.plain_port}
        names = (self.called.name, self.network.address)
        return frozenset(f"{name}:{ports[over]}" for name in names) if over in ports else frozenset()

    def link(self, over: Over, *, by_name: bool = True) -> str:
        """The address to open on the other device."""
        return self.called.link(over, self.called.name if by_name else self.network.address)


def is_idle(share: Share, now: datetime) -> bool:
    """Whether nobody has asked for so long that sharing ends."""
    return now >= share.ends_at


def is_unheard(share: Share, now: datetime) -> bool:
    """Whether no other device has come through at all, for so long that something may keep devices apart."""
    return share.first_asked is None and now >= share.since + PATIENCE


def trust_step_is_over(share: Share, now: datetime) -> bool:
    """Whether plain HTTP for the trust step has been open long enough."""
    return share.plain is Plain.TRUST and share.plain_since is not None and now >= share.plain_since + TRUST_STEP


def label_of(firm_name: str) -> str:
    """The first word of a firm's name as a label of a host name; `outlay` where nothing is left of it.

    Source: letters, digits and hyphens of a host label, RFC 1123 2.1.

    >>> label_of("Brackenfold Yards"), label_of("  Ødegård & Søn "), label_of("庭")
    ('brackenfold', 'degard', 'outlay')
    """
    plain = unicodedata.normalize("NFKD", firm_name).encode("ascii", "ignore").decode().lower()
    words = re.findall(r"[a-z0-9]+", plain)
    return next((word[:LONGEST_LABEL] for word in words if len(word) > 1), "outlay")


def can_be_shared_on(network: Network) -> bool:
    """Whether a tablet may join this network: a local address, on no inner interface.

    >>> can_be_shared_on(Network(interface="wlan0", address="192.168.43.7"))
    True
    >>> can_be_shared_on(Network(interface="docker0", address="172.17.0.1"))
    False
    """
    if network.interface.startswith(_INNER):
        return False
    return any(IPv4Address(network.address) in net for net in LOCAL_NETWORKS)


def in_groups(fingerprint: str) -> str:
    """A fingerprint (hex) as people compare it: groups of four, in capitals.

    >>> in_groups("ab12cd34ef")
    'AB12 CD34 EF'
    """
    return " ".join(fingerprint[at : at + 4] for at in range(0, len(fingerprint), 4)).upper()
