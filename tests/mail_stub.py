"""A mail server of our own for tests: as much SMTP (RFC 5321, 3207, 4954) as one letter needs, on this machine only."""

import base64
import socket
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from app.interchange.certificates import new_authority, new_server

USER, SECRET = "maren", "quarry-bend-27"


@dataclass
class Stub:
    """What the server does and what it got."""

    port: int
    authority: Path
    tls: bool = True  # offers STARTTLS
    at_once: bool = False  # TLS from the first byte
    answers: dict[str, str] = field(default_factory=dict)  # command → answer instead of the usual
    letters: list[bytes] = field(default_factory=list)
    addressed: list[str] = field(default_factory=list)
    in_the_open: list[str] = field(default_factory=list)  # commands that came before TLS
    context: ssl.SSLContext | None = None

    def trusted(self) -> ssl.SSLContext:
        """A client's context that trusts this server alone."""
        return ssl.create_default_context(cafile=str(self.authority))


def _secured(folder: Path) -> tuple[Path, ssl.SSLContext]:
    now = datetime.now(UTC)
    authority = new_authority("Mail of the tests", "localhost", now)
    server = new_server(authority, "localhost", ("192.168.1.2",), now)
    (folder / "ca.pem").write_bytes(authority.certificate)
    (folder / "server.pem").write_bytes(server.certificate + server.key)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(folder / "server.pem")
    return folder / "ca.pem", context


@contextmanager
def mail_server(folder: Path, **more: object) -> Iterator[Stub]:
    """A server that listens as long as the block runs."""
    folder.mkdir(exist_ok=True)
    authority, context = _secured(folder)
    with socket.create_server(("localhost", 0)) as listening:
        stub = Stub(port=listening.getsockname()[1], authority=authority, context=context, **more)  # type: ignore[arg-type]
        thread = threading.Thread(target=_serve, args=(listening, stub), daemon=True)
        thread.start()
        yield stub
        listening.shutdown(socket.SHUT_RDWR)  # closing alone does not end a wait for the next client
    thread.join(5)


def _serve(listening: socket.socket, stub: Stub) -> None:
    while True:
        try:
            line, _ = listening.accept()
        except OSError:
            return
        line.settimeout(5)
        talk = _Talk(line, stub)
        with suppress(OSError, ssl.SSLError):
            _converse(talk)
        talk.close()


class _Talk:
    """One client and what it has said."""

    def __init__(self, line: socket.socket, stub: Stub) -> None:
        self.stub, self.secure = stub, False
        self.line, self.reader = line, line.makefile("rb")

    def close(self) -> None:
        """Reader and line; an SSL line closes what it was made of."""
        self.reader.close()
        self.line.close()

    def secured(self) -> None:
        assert self.stub.context
        self.reader.close()
        self.line = self.stub.context.wrap_socket(self.line, server_side=True)
        self.reader, self.secure = self.line.makefile("rb"), True

    def say(self, words: str) -> None:
        self.line.sendall(words.encode() + b"\r\n")

    def ehlo(self, _: str) -> None:
        offers = ["localhost", "AUTH PLAIN"] + (["STARTTLS"] if self.stub.tls and not self.secure else [])
        self.say("\r\n".join(f"250{'-' if one is not offers[-1] else ' '}{one}" for one in offers))

    def starttls(self, _: str) -> None:
        self.say("220 go on")
        self.secured()

    def auth(self, command: str) -> None:
        right = base64.b64decode(command.split()[2]) == f"\0{USER}\0{SECRET}".encode()
        self.say("235 welcome" if right else "535 wrong")

    def rcpt(self, command: str) -> None:
        self.stub.addressed.append(command)
        self.say("250 fine")

    def data(self, _: str) -> None:
        self.say("354 go on")
        body = b""
        while (row := self.reader.readline()) != b".\r\n":
            body += row
        self.stub.letters.append(body)
        self.say("250 taken")

    def other(self, _: str) -> None:
        self.say("250 fine")


def _converse(talk: _Talk) -> None:
    stub = talk.stub
    if stub.at_once:
        talk.secured()
    talk.say("220 localhost ready")
    while command := talk.reader.readline().decode().strip():
        verb = command.split()[0].upper()
        if not talk.secure:
            stub.in_the_open.append(verb)
        if verb == "QUIT":
            talk.say("221 bye")
            return
        if verb in stub.answers:
            talk.say(stub.answers[verb])
        else:
            getattr(talk, verb.lower(), talk.other)(command)
