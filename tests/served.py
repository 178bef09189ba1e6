"""A real server in a process of its own, for tests that need one.

It is forked from a process that has the application's modules loaded, for loading them is most of a start; one that is
served from another folder, by another interpreter, is started as a user does.
"""

import faulthandler
import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Protocol

from app.__main__ import main
from tests import postgres_server
from tests.demo_made import demo_copied

ROOT = Path(__file__).parents[1]


NO_COMPILER = "/usr/bin-without-compiler"  # it would be started, several times a worker, to look for libraries of print
FORKING = get_context("forkserver")
FORKING.set_forkserver_preload(["app.main", "app.commands.serve", __name__])


class Process(Protocol):
    """What is asked of the process of a server: that of `subprocess.Popen`."""

    pid: int

    def poll(self) -> int | None:
        """How it ended; None while it runs."""

    def terminate(self) -> None:
        """Ask it to end."""

    def kill(self) -> None:
        """End it as a loss of power would."""

    def wait(self, seconds: float) -> object:
        """Wait until it ended."""


class Forked:
    """A server that was forked."""

    def __init__(self, process: BaseProcess) -> None:
        process.start()
        self.pid, self.terminate, self.kill, self.wait = process.pid, process.terminate, process.kill, process.join
        self._process = process

    def poll(self) -> int | None:
        """How it ended; None while it runs."""
        return self._process.exitcode


@dataclass
class Server:
    """A running server: its address, its data folder, its process."""

    address: str
    data: Path
    process: Process

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
    words = ["--data", str(data), "serve", "--port", str(port), *(["--demo"] if demo else [])]
    environment = {**os.environ, "PYTHONPATH": str(ROOT) if cwd == ROOT else "", "PATH": path or NO_COMPILER}
    log = data.parent / "server.log"
    log.touch()
    if cwd == ROOT:
        process: Process = Forked(FORKING.Process(target=_serve, args=(words, environment, log)))
    else:
        with log.open("wb") as out:
            process = subprocess.Popen(
                [str(python), "-m", "app", *words], stdout=out, stderr=out, cwd=cwd, env=environment
            )
    server = Server(f"http://127.0.0.1:{port}", data, process)
    try:
        _wait(server, log)
        yield server
    finally:
        process.terminate()
        process.wait(60)


def _serve(words: list[str], environment: dict[str, str], log: Path) -> None:
    os.environ.clear()
    os.environ.update(environment)
    with log.open("wb") as out:
        os.dup2(out.fileno(), 1)
        os.dup2(out.fileno(), 2)
    faulthandler.enable()
    raise SystemExit(main(words))


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
