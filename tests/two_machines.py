"""Two machines on a wire, as network namespaces made here and taken down again: the laptop, and a tablet beside it.

There is no way out of either: no other route, no name service.
"""

import ctypes
import os
import re
import shutil
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from itertools import count
from pathlib import Path
from typing import NoReturn, TypeVar
from urllib.parse import urlencode

import pytest

from tests.served import ROOT

T = TypeVar("T")
_MADE = count()
LAPTOP, TABLET = "10.77.0.1", "10.77.0.2"
HERE = 8137  # the laptop's own port, in a namespace where nothing else runs


@dataclass
class Machine:
    """A namespace by its name, with its one address."""

    name: str
    address: str

    def do(self, what: Callable[[], T]) -> T:
        """Do something on this machine: in a thread that entered its namespace, so that its sockets are there."""
        answer: list[T] = []
        wrong: list[BaseException] = []

        def enter() -> None:
            handle = os.open(f"/run/netns/{self.name}", os.O_RDONLY)
            try:
                assert ctypes.CDLL(None).setns(handle, 0x40000000) == 0, "the namespace was not entered"
                answer.append(what())
            except BaseException as raised:  # noqa: BLE001 - raised again where it was asked for
                wrong.append(raised)
            finally:
                os.close(handle)

        thread = threading.Thread(target=enter)
        thread.start()
        thread.join()
        if wrong:
            raise wrong[0]
        return answer[0]

    def program(self, folder: Path, program: str) -> str:
        """A program that starts on this machine, as a file to be run."""
        script = folder / f"{self.name}-{Path(program).name}"
        script.write_text(f'#!/bin/sh\nexec ip netns exec {self.name} {program} "$@"\n')
        script.chmod(0o755)
        return str(script)


@dataclass
class Wire:
    """Both machines, and the laptop's own pages as its owner uses them."""

    laptop: Machine
    tablet: Machine
    data: Path

    def ask(self, method: str, path: str, form: dict[str, str] | None = None) -> tuple[int, str]:
        """Ask the laptop's own pages, as its browser would."""
        return self.laptop.do(lambda: self._ask(method, path, form or {}))

    def _ask(self, method: str, path: str, form: dict[str, str]) -> tuple[int, str]:
        connection = HTTPConnection("127.0.0.1", HERE, timeout=60)
        connection.request("GET", "/firm")
        begun = connection.getresponse()
        token = re.search(r'name="token" content="([^"]+)"', begun.read().decode())
        cookie = (begun.getheader("set-cookie") or "").partition(";")[0]
        headers = {
            "cookie": cookie,
            "origin": f"http://127.0.0.1:{HERE}",
            "content-type": "application/x-www-form-urlencoded",
        }
        connection.request(method, path, urlencode({"token": token[1] if token else "", **form}), headers)
        answer = connection.getresponse()
        body = answer.read().decode("utf-8", "replace")
        connection.close()
        return answer.status, body


def open_ports() -> list[int]:
    """Every TCP port that answers on the laptop, tried one after the other; asked from the tablet."""
    found = []
    for port in range(1, 65536):
        with socket.socket() as one:
            one.settimeout(2)
            if one.connect_ex((LAPTOP, port)) == 0:
                found.append(port)
    return found


def heard_on_udp() -> list[str]:
    """UDP sockets of a machine that others may send to: their local addresses, hex as the kernel lists them."""
    rows = Path("/proc/thread-self/net/udp").read_text().splitlines()[1:]
    return [row.split()[1] for row in rows if not row.split()[1].startswith("0100007F")]


def _ip(*words: str) -> bool:
    return subprocess.run(["ip", *words], capture_output=True, check=False).returncode == 0


def _give_up(why: str) -> NoReturn:
    """A test is skipped; whatever else wants the wire breaks, and says why."""
    if "PYTEST_CURRENT_TEST" in os.environ:
        pytest.skip(why)
    raise RuntimeError(why)


@contextmanager
def two_machines(data: Path) -> Iterator[Wire]:
    """The wire; skips where this machine does not allow namespaces."""
    tag = f"outlay{os.getpid() % 100_000}-{next(_MADE)}"
    laptop, tablet = Machine(f"{tag}-l", LAPTOP), Machine(f"{tag}-t", TABLET)
    if not shutil.which("ip") or not _ip("netns", "add", laptop.name):
        _give_up("network namespaces are not allowed here (they want root and iproute2)")
    try:
        made = _ip("netns", "add", tablet.name) and _ip(
            "-n", laptop.name, "link", "add", "eth0", "type", "veth", "peer", "name", "eth0", "netns", tablet.name
        )
        if not made:
            _give_up("no wire between network namespaces can be made here")
        for one in (laptop, tablet):
            _ip("-n", one.name, "link", "set", "lo", "up")
            _ip("-n", one.name, "addr", "add", f"{one.address}/24", "dev", "eth0")
            _ip("-n", one.name, "link", "set", "eth0", "up")
        yield Wire(laptop, tablet, data)
    finally:
        _ip("netns", "del", laptop.name)
        _ip("netns", "del", tablet.name)


@contextmanager
def laptop_serving(data: Path, *words: str) -> Iterator[Wire]:
    """The wire, with Outlay running on the laptop."""
    with two_machines(data) as wire:
        command = ["ip", "netns", "exec", wire.laptop.name, sys.executable, "-m", "app", "--data", str(data), "serve"]
        log = data.parent / "laptop.log"
        with log.open("wb") as out:
            process = subprocess.Popen(
                [*command, *words], stdout=out, stderr=out, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}
            )
        try:
            _wait(wire, process, log)
            yield wire
        finally:
            process.terminate()
            process.wait(60)


def _wait(wire: Wire, process: subprocess.Popen, log: Path) -> None:
    deadline = time.monotonic() + 300
    while process.poll() is None and time.monotonic() < deadline:
        try:
            wire.ask("GET", "/firm")
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise RuntimeError(log.read_text())
