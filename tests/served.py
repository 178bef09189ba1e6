"""A real server in a process of its own, for tests that need one."""

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests import postgres_server
from tests.demo_made import demo_copied

ROOT = Path(__file__).parents[1]


@dataclass
class Server:
    """A running server: its address, its data folder, its process."""

    address: str
    data: Path
    process: subprocess.Popen

    @property
    def alive(self) -> bool:
        return self.process.poll() is None


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def serving(
    data: Path, *, demo: bool = False, python: str | Path = sys.executable, cwd: Path = ROOT, path: str = ""
) -> Iterator[Server]:
    """Serve until the block ends. From another folder only an installed package is found, not this checkout."""
    postgres_server.begin(data)
    if demo and cwd == ROOT and not postgres_server.running():
        demo_copied(data)
    port = free_port()
    words = [str(python), "-m", "app", "--data", str(data), "serve", "--port", str(port), *(["--demo"] if demo else [])]
    environment = {**os.environ, "PYTHONFAULTHANDLER": "1", "PYTHONPATH": str(ROOT) if cwd == ROOT else ""}
    environment |= {"PATH": path} if path else {}
    log = data.parent / "server.log"
    with log.open("wb") as out:
        process = subprocess.Popen(words, stdout=out, stderr=out, cwd=cwd, env=environment)
    server = Server(f"http://127.0.0.1:{port}", data, process)
    try:
        _wait(server, log)
        yield server
    finally:
        process.terminate()
        process.wait(60)


def _wait(server: Server, log: Path) -> None:
    deadline = time.monotonic() + 300  # a busy machine is slow, not broken
    while time.monotonic() < deadline:
        if not server.alive:
            raise RuntimeError(log.read_text())
        try:
            urllib.request.urlopen(server.address, timeout=2).read()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise RuntimeError("the server did not answer: " + log.read_text())
