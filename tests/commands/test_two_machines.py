"""What a tablet on the wire reaches of the laptop: nothing at a fresh start, one door while shared, nothing after."""

import re
import socket
import ssl
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from zeroconf import AddressResolverIPv4, IPVersion, ServiceInfo, Zeroconf

from tests.two_machines import LAPTOP, TABLET, Wire, heard_on_udp, laptop_serving, open_ports

SECURE, PLAIN = 8138, 8139


@pytest.fixture(scope="module")
def wire(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Wire]:
    with laptop_serving(tmp_path_factory.mktemp("wire") / "data") as made:
        yield made


def answer(path: str, host: str, trusting: ssl.SSLContext | None, name: str = "", port: int = SECURE) -> str:
    """What comes back for a GET, raw; `name` is what the certificate is held against."""
    with socket.create_connection((LAPTOP, port), timeout=10) as plain:
        over = trusting.wrap_socket(plain, server_hostname=name) if trusting else plain
        over.sendall(f"GET {path} HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n".encode())
        said = b""
        while got := over.recv(65536):
            said += got
        over.close()
    return said.decode("utf-8", "replace")


def status(said: str) -> int:
    return int(said.split(" ")[1])


def switch(wire: Wire, way: str, **form: str) -> None:
    code, body = wire.ask("POST", f"/firm/share/{way}", form)
    assert code == 303, re.findall(r'class="wrong"[^>]*>([^<]+)', body)


def trusting(wire: Wire) -> ssl.SSLContext:
    """A tablet that took the certificate from the page of the trust step, and nothing else."""
    switch(wire, "plain", use="trust")
    taken = wire.tablet.do(lambda: answer_bytes("/trust/authority.crt", f"{LAPTOP}:{PLAIN}"))
    made = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    made.load_verify_locations(cadata=taken)
    made.verify_flags |= ssl.VERIFY_X509_STRICT
    switch(wire, "plain", use="closed")
    return made


def answer_bytes(path: str, host: str) -> bytes:
    with socket.create_connection((LAPTOP, PLAIN), timeout=10) as plain:
        plain.sendall(f"GET {path} HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n".encode())
        said = b""
        while got := plain.recv(65536):
            said += got
    return said.partition(b"\r\n\r\n")[2]


def resolved(name: str) -> list[str]:
    """The addresses that answer to a name on the wire (multicast DNS), asked from the tablet."""
    asking = Zeroconf(interfaces=[TABLET], ip_version=IPVersion.V4Only)
    try:
        asked = AddressResolverIPv4(f"{name}.")
        asked.request(asking, 3000)
        return asked.parsed_addresses()
    finally:
        asking.close()


@pytest.mark.slow
def test_ports_open_to_another_machine_none_then_one_then_none(wire: Wire) -> None:
    assert wire.tablet.do(open_ports) == []
    assert wire.laptop.do(heard_on_udp) == []
    switch(wire, "on", interface="eth0")
    try:
        assert wire.tablet.do(open_ports) == [SECURE]
        switch(wire, "plain", use="trust")
        assert wire.tablet.do(open_ports) == [SECURE, PLAIN]
    finally:
        switch(wire, "off")
    assert wire.tablet.do(open_ports) == []
    assert wire.laptop.do(heard_on_udp) == []
    assert "switched off at" in wire.ask("GET", "/firm/share")[1]


def test_a_tablet_that_trusts_the_authority_opens_the_door_by_name_and_by_address(wire: Wire) -> None:
    switch(wire, "on", interface="eth0")
    page = wire.ask("GET", "/firm/share")[1]
    name = re.search(r"https://([a-z0-9]+\.local):8138", page)[1]
    assert "No other device has come through yet" in page
    device = trusting(wire)
    for called in (name, LAPTOP):
        said = wire.tablet.do(lambda called=called: answer("/trust", f"{called}:{SECURE}", device, called))
        assert status(said) == 200
    assert "lets devices see one another" in wire.ask("GET", "/firm/share")[1]
    first = wire.tablet.do(lambda: answer("/", f"{name}:{SECURE}", device, name))
    assert status(first) == 303
    assert status(wire.tablet.do(lambda: answer("/firm", f"{name}:{SECURE}", device, name))) == 403
    for foreign in ("evil.example:8138", f"127.0.0.1:{SECURE}", f"{name}:9999"):
        assert status(wire.tablet.do(lambda foreign=foreign: answer("/trust", foreign, device, name))) == 421
    with pytest.raises(ssl.SSLCertVerificationError):
        wire.tablet.do(lambda: answer("/trust", f"{name}:{SECURE}", ssl.create_default_context(), name))
    with pytest.raises(ssl.SSLCertVerificationError):
        wire.tablet.do(lambda: answer("/trust", f"{name}:{SECURE}", device, "bank.example"))
    switch(wire, "off")
    with pytest.raises(ConnectionRefusedError):
        wire.tablet.do(lambda: answer("/trust", f"{name}:{SECURE}", device, name))


def test_the_name_finds_the_laptop_while_it_is_shared_and_no_longer(wire: Wire) -> None:
    assert wire.tablet.do(lambda: resolved("outlay.local")) == []
    switch(wire, "on", interface="eth0")
    assert wire.tablet.do(lambda: resolved("outlay.local")) == [LAPTOP]
    assert "The name does not work here" not in wire.ask("GET", "/firm/share")[1]
    switch(wire, "off")
    assert wire.tablet.do(lambda: resolved("outlay.local")) == []


def test_a_name_that_another_machine_answers_to_is_said(wire: Wire) -> None:
    def take() -> Zeroconf:
        other = Zeroconf(interfaces=[TABLET], ip_version=IPVersion.V4Only)
        own = {"addresses": [socket.inet_aton(TABLET)], "port": 443, "server": "outlay.local."}
        other.register_service(ServiceInfo("_https._tcp.local.", "other._https._tcp.local.", **own))
        return other

    other = wire.tablet.do(take)
    try:
        switch(wire, "on", interface="eth0")
        deadline = time.monotonic() + 20
        while time.monotonic() < deadline and TABLET not in wire.ask("GET", "/firm/share")[1]:
            time.sleep(0.3)
        assert (
            f"Another machine on this network ({TABLET}) answers to outlay.local" in wire.ask("GET", "/firm/share")[1]
        )
    finally:
        switch(wire, "off")
        other.close()


def test_the_key_of_the_authority_stays_and_the_port_is_the_same_the_next_time(wire: Wire) -> None:
    for _ in range(2):
        switch(wire, "on", interface="eth0")
        assert f":{SECURE}" in wire.ask("GET", "/firm/share")[1]
        switch(wire, "off")
    assert (wire.data / "keys" / "authority.key").stat().st_mode & 0o777 == 0o600


def test_a_network_that_is_not_there_is_said_and_nothing_is_shared(wire: Wire) -> None:
    code, body = wire.ask("POST", "/firm/share/on", {"interface": "wlan9"})
    assert code == 422
    assert "That network is gone" in body
    assert wire.ask("POST", "/firm/share/plain", {"use": "trust"})[0] == 422


def test_started_with_lan_it_is_the_same_switch(tmp_path: Path) -> None:
    with laptop_serving(tmp_path / "data", "--lan") as made:
        assert "Stop sharing" in made.ask("GET", "/firm/share")[1]
        switch(made, "off")
        assert "Not shared any more" in made.ask("GET", "/firm/share")[1]
