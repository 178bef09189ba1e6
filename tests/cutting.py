"""A network that fails: a proxy before a real server, which cuts a request before it arrives or its answer afterwards."""

import http.client
import random
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import urlsplit

Cut = Callable[[str, str], str]  # method and path → "", "before" or "after"


class Line(ThreadingHTTPServer):
    """The line between a browser and a server. `down`: nothing passes."""

    daemon_threads = True
    target: tuple[str, int]
    cut: Cut
    down: bool
    passed: list[tuple[str, str, str]]  # method, path, how it was cut

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server_port}"

    def handle_error(self, request, client_address) -> None:
        """A connection that is cut is no error here."""


class _Passing(BaseHTTPRequestHandler):
    server: Line
    protocol_version = "HTTP/1.1"

    def log_message(self, *_words) -> None:
        pass

    def _pass_on(self) -> None:
        body = self.rfile.read(int(self.headers.get("content-length") or 0))
        how = "before" if self.server.down else self.server.cut(self.command, self.path)
        self.server.passed.append((self.command, self.path, how))
        if how == "before":
            self._hang_up()
            return
        upstream = http.client.HTTPConnection(*self.server.target, timeout=60)
        upstream.request(self.command, self.path, body=body, headers=dict(self.headers.items()))
        answer = upstream.getresponse()
        content = answer.read()
        upstream.close()
        if how == "after":
            self._hang_up()
            return
        self.send_response_only(answer.status)
        for name, value in answer.getheaders():
            if name.lower() not in {"content-length", "connection", "transfer-encoding"}:
                self.send_header(name, value)
        self.send_header("content-length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def _hang_up(self) -> None:
        self.close_connection = True
        self.connection.shutdown(socket.SHUT_RDWR)

    do_GET = do_POST = _pass_on  # noqa: N815 - the names that the library calls


@contextmanager
def line_to(address: str, cut: Cut = lambda _method, _path: "") -> Iterator[Line]:
    """A line to a server until the block ends."""
    parts = urlsplit(address)
    line = Line(("127.0.0.1", 0), _Passing)
    line.target, line.cut, line.down, line.passed = (str(parts.hostname), int(parts.port or 80)), cut, False, []
    threading.Thread(target=line.serve_forever, daemon=True).start()
    try:
        yield line
    finally:
        line.shutdown()
        line.server_close()


def now_and_then(share: float, seed: int = 1) -> Cut:
    """Cuts a share of what changes something: half of it before it arrives, half when it is done."""
    dice = random.Random(seed)

    def cut(method: str, _path: str) -> str:
        return dice.choice(("before", "after")) if method == "POST" and dice.random() < share else ""

    return cut
