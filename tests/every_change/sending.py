"""Sends what the tables say, as a page would: from this machine, from a device over HTTPS, from the command line."""

import asyncio
import re
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from typing import Any, Self
from uuid import uuid4

import httpx2 as httpx
import pytest
from starlette.testclient import TestClient

from app import main
from app.domain.job import JOB_THINGS
from app.domain.sharing import Network, Over
from app.services import networks
from app.web import sharing as switch
from app.web.access import SESSION, command_mark, token_for
from app.web.device import DEVICE
from tests.every_change.change import Change, Value, Version
from tests.every_change.stock import Stock
from tests.web.conftest import ORIGIN
from tests.web.reaching import cookie, shared


@dataclass(kw_only=True)
class Request:
    """A request of the table as it is sent, to be altered before."""

    client: TestClient
    path: str
    form: dict[str, str | list[str]]
    file: bytes
    headers: dict[str, str]
    body: bytes = b""

    def sent(self, **instead: Any) -> httpx.Response:
        """Send it; `form`, `headers` … instead of its own."""
        given = {"form": self.form, "headers": self.headers, **instead}
        form = {name: one for name, one in given.pop("form").items() if one != []}
        files = {"file": ("sent", self.file)} if self.file else None
        content = {"content": self.body} if self.body else {"data": form, "files": files}
        return self.client.post(self.path, **content, follow_redirects=False, **given)


@dataclass
class Sending:
    """The office of a stock, served: requests of the table made out, each for the one who sends it."""

    stock: Stock
    _clients: dict[str, TestClient] = field(default_factory=dict)
    _open: ExitStack = field(default_factory=ExitStack)

    def __enter__(self) -> Self:
        self._open.enter_context(_one_network())
        self._open.enter_context(_nothing_beside())
        here = TestClient(main.create_app(self.stock.office), base_url=ORIGIN, raise_server_exceptions=False)
        self._clients["here"] = self._clients["command"] = self._open.enter_context(here)
        here.get("/")
        return self

    def __exit__(self, *_wrong: object) -> None:
        self._open.close()
        self.stock.office.database.close()

    @property
    def app(self) -> Any:
        """The application, to be asked for its routes."""
        return self._clients["here"].app

    def of(self, change: Change) -> Request:
        """The request of a line of the table, with a change id of its own."""
        if change.before:
            change.before(self.stock)
        at = {name: self._filled(one) for name, one in change.at.items()}
        words = {**self.stock.words, **at}
        path = re.sub(r"\{(\w+)\}", lambda found: words[found[1]], change.route)
        form = {name: self._value(one, words.get("job_id", "")) for name, one in change.form.items()}
        client = self.client(change.by)
        headers = self.headers(client) if change.by != "command" else self._marked()
        file = change.file(self.stock) if callable(change.file) else change.file
        form = {"change_id": str(uuid4()), **form}
        body = file if change.by == "command" else b""
        return Request(client=client, path=path, form=form, file=file, headers=headers, body=body)

    def headers(self, client: TestClient) -> dict[str, str]:
        """Origin and token, as a page of this client sends them."""
        over = getattr(client.app, "over", Over.HERE)
        session = client.cookies.get(cookie(over, SESSION)) or ""
        return {
            "origin": str(client.base_url).rstrip("/"),
            "x-outlay-token": token_for(self.stock.office, session),
        }

    def _marked(self) -> dict[str, str]:
        return {"origin": ORIGIN, "x-outlay-command": command_mark(self.stock.office.settings, uuid4())}

    def client(self, name: str) -> TestClient:
        if name not in self._clients:
            self._clients[name] = device = shared(self.stock.office, Over.SECURE)
            if name in self.stock.tokens:
                device.cookies.set(cookie(Over.SECURE, DEVICE), self.stock.tokens[name])
            device.get("/pair")
        return self._clients[name]

    def _filled(self, text: str) -> str:
        return re.sub(r"\{(\w+)\}", lambda found: self.stock.words[found[1]], text)

    def _value(self, value: Value, job_id: str) -> str | list[str]:
        if isinstance(value, Version):
            job = job_id if value.kind in JOB_THINGS else ""
            return str(self.stock.version(value.kind, self._filled(value.key), job))
        return [self._filled(one) for one in value] if isinstance(value, list) else self._filled(value)


@contextmanager
def _one_network() -> Iterator[None]:
    """This machine is on one network, its own, where nothing is announced."""

    async def unannounced(_share: object) -> tuple[None, str]:
        return None, ""

    async def answers(_sharing: object, _share: object) -> str:
        return ""  # not tried: by the clock of the stock the certificate begins only next year

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(networks, "networks", lambda: (Network(interface="test0", address="127.0.0.1"),))
        patch.setattr(switch, "announce", unannounced)
        patch.setattr(switch.Sharing, "_try_own_address", answers)
        yield


@contextmanager
def _nothing_beside() -> Iterator[None]:
    """No letter is sent and no backup makes itself meanwhile: what is seen, or fails, is the request's own."""

    async def sleeping(_office: object) -> None:
        await asyncio.Event().wait()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(main, "keep_making", sleeping)
        patch.setattr(main, "keep_sending", sleeping)
        yield


def is_taken(answer: httpx.Response) -> bool:
    """Whether the answer is one of success."""
    return answer.status_code < 400
