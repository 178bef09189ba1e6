"""A browser of our own for web tests: keeps its cookie, sends Origin and token as a page would."""

from collections.abc import Iterator
from uuid import UUID

import httpx2 as httpx
import pytest

from app.main import create_app
from app.services.office import Office
from app.web.access import SESSION, token_for
from app.worker.running import Worker
from tests.offering import offer, sign
from tests.working_here import blank_here

ORIGIN = "http://127.0.0.1:8137"


class Browser:
    """Synchronous face over the application, for tests that read like a person's steps."""

    def __init__(self, office: Office) -> None:
        from starlette.testclient import TestClient

        self.office = office
        self.client = TestClient(create_app(office), base_url=ORIGIN, raise_server_exceptions=False)
        self.client.get("/")

    @property
    def token(self) -> str:
        return token_for(self.office, self.client.cookies.get(SESSION) or "")

    def get(self, path: str, **kwargs) -> httpx.Response:
        return self.client.get(path, **kwargs)

    def part(self, path: str) -> httpx.Response:
        """A part of a page as htmx asks for it, again while work that it waits for goes on."""
        for _ in range(100):
            answer = self.get(path, headers={"hx-request": "true"})
            if "<progress" not in answer.text:
                return answer
        raise AssertionError("the work was never done")

    def post(self, path: str, data: dict | None = None, *, htmx: bool = False, **kwargs) -> httpx.Response:
        headers = {"origin": ORIGIN, "x-outlay-token": self.token, **({"hx-request": "true"} if htmx else {})}
        headers |= kwargs.pop("headers", {})
        return self.client.post(
            path,
            **({"data": data or {}} if "content" not in kwargs else {}),
            headers=headers,
            follow_redirects=kwargs.pop("follow", False),
            **kwargs,
        )


@pytest.fixture
def web(office: Office) -> Iterator[Browser]:
    opened = Browser(office)
    with opened.client:
        yield opened


@pytest.fixture
def sold(stocked: Office, ready: UUID, monkeypatch: pytest.MonkeyPatch) -> UUID:
    """A job whose proposal both signed, its pages left blank."""
    as_asked = Worker._do
    monkeypatch.setattr(Worker, "_do", blank_here)
    sell(stocked, ready)
    monkeypatch.setattr(Worker, "_do", as_asked)
    return ready


def sell(office: Office, job_id: UUID) -> None:
    """Offer a job, and have it signed by all."""
    one = offer(office, job_id)
    for signer in one.signers:
        sign(office, job_id, one.id, signer.name)
