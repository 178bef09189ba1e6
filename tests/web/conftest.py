"""A browser of our own for web tests: keeps its cookie, sends Origin and token as a page would."""

from collections.abc import Iterator
from uuid import UUID

import httpx2 as httpx
import pytest

from app.main import create_app
from app.services.office import Office
from app.web.access import SESSION, token_for
from tests.offering import offer, sign

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
def sold(stocked: Office, ready: UUID) -> UUID:
    """A job whose proposal both signed."""
    one = offer(stocked, ready)
    for signer in one.signers:
        sign(stocked, ready, one.id, signer.name)
    return ready
