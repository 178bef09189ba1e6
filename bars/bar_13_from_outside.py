"""Nobody gets in from another machine: no port is open at a fresh start, and no guess pairs while a code is waiting.

The laptop and the tablet are two network namespaces on one wire, made here and taken down again
(`tests/two_machines.py`). The guesser sits on the tablet, comes over HTTPS and follows every rule of a browser; the
owner has a fresh code waiting after every fifth guess, as nobody would.
"""

import random
import re
import ssl
import tempfile
from collections import Counter
from http.client import HTTPSConnection
from pathlib import Path
from urllib.parse import urlencode

from app.domain.pairing import ALPHABET, WRONG_BURN
from bars import Figure
from tests.two_machines import LAPTOP, Wire, heard_on_udp, laptop_serving, open_ports

GUESSES, FEW = 1000, 60
PORT = 8138  # the first that is tried, and free in a namespace where nothing else runs
ORIGIN = f"https://{LAPTOP}:{PORT}"


def measure(few: bool) -> tuple[Figure, ...]:
    """Ports that answer another machine at a fresh start; devices that guessing let as far as the owner's question."""
    with tempfile.TemporaryDirectory() as folder, laptop_serving(Path(folder) / "data") as wire:
        answering = wire.tablet.do(open_ports)
        heard = wire.laptop.do(heard_on_udp)
        said = guessed(wire, FEW if few else GUESSES)
    what = "ports open from another machine at a fresh start"
    ports = "all 65,535 TCP ports tried from another namespace; UDP as the kernel lists it"
    tries = f"of {said.total():,} guesses {said['wrong']} were looked at, {said['stopped']} stopped by the limits"
    return (
        Figure(what=what, value=len(answering + heard), limit=0, note=ports),
        Figure(what="guesses that paired or asked to be", value=said["asked"], limit=0, note=tries),
    )


def guessed(wire: Wire, count: int) -> Counter[str]:
    """What became of so many guesses, with a code waiting at each of them."""
    _owner(wire, "/firm/share/on", {"interface": "eth0"})
    authority = (wire.data / "keys" / "authority.crt").read_text()
    chance, said = random.Random(13), Counter[str]()
    for begin in range(0, count, WRONG_BURN):
        _owner(wire, "/firm/devices/pair", {"face": "ours"})
        codes = ["".join(chance.choices(ALPHABET, k=8)) for _ in range(min(WRONG_BURN, count - begin))]
        said.update(wire.tablet.do(lambda codes=codes: _guess(codes, authority)))
    return said


def _owner(wire: Wire, path: str, form: dict[str, str]) -> None:
    status, _ = wire.ask("POST", path, form)
    if status >= 400:
        raise RuntimeError(f"{path} was refused ({status})")


def _guess(codes: list[str], authority: str) -> Counter[str]:
    """Each code typed on the page of pairing, with the page's session, token and Origin."""
    trusting = ssl.create_default_context(cadata=authority)
    connection = HTTPSConnection(LAPTOP, PORT, context=trusting, timeout=30)
    connection.request("GET", "/pair")
    begun = connection.getresponse()
    token = re.search(r'name="token" content="([^"]+)"', begun.read().decode())
    headers = {"cookie": (begun.getheader("set-cookie") or "").partition(";")[0], "origin": ORIGIN}
    headers["content-type"] = "application/x-www-form-urlencoded"
    said = Counter[str]()
    for code in codes:
        form = {"token": token[1] if token else "", "code": code, "name": "A guesser"}
        connection.request("POST", "/pair", urlencode(form), headers)
        answer = connection.getresponse()
        words = answer.read().decode()
        if answer.status < 400:
            said["asked"] += 1
        elif "Too many wrong tries" in words:
            said["stopped"] += 1
        elif "is not the code" in words:
            said["wrong"] += 1
        else:
            raise RuntimeError(f"a guess was answered with {answer.status}: {words[:200]}")
    connection.close()
    return said
