"""Safety from the first route."""

import inspect

import pytest
from fastapi.dependencies.models import Dependant

from app.main import create_app
from app.services.office import Office
from app.web.access import guard
from app.web.addresses import AddressBook
from app.web.sizes import BODY_LIMIT
from tests.web.conftest import ORIGIN, Browser


def routes(office: Office) -> list:
    """Every route as the application answers it, with what was added where it was included."""
    return [route for book in create_app(office).routes if isinstance(book, AddressBook) for route in book.routes]


def calls(dependant: Dependant) -> list:
    own = [dependant.call] if dependant.call else []
    return own + [call for inner in dependant.dependencies for call in calls(inner)]


def test_every_route_and_dependency_is_async(office: Office) -> None:
    found = [call for route in routes(office) for call in calls(route.dependant)]
    assert len(found) > 5
    assert [call for call in found if not (inspect.iscoroutinefunction(call) or inspect.isasyncgenfunction(call))] == []


def test_every_route_passes_the_guard(office: Office) -> None:
    assert [route.path for route in routes(office) if guard not in calls(route.dependant)] == []


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "192.168.1.5:8137", ""])
def test_foreign_host_is_refused(web: Browser, host: str) -> None:
    assert web.get("/", headers={"host": host}).status_code == 421


def test_pages_carry_a_strict_policy_and_nothing_inline(web: Browser) -> None:
    answer = web.get("/")
    assert answer.status_code == 200
    assert "script-src 'self';" in answer.headers["content-security-policy"]
    assert "unsafe" not in answer.headers["content-security-policy"]
    assert "style=" not in answer.text
    assert " onclick" not in answer.text


def test_oversized_body_is_refused(web: Browser) -> None:
    headers = {"content-length": str(BODY_LIMIT + 1), "origin": ORIGIN}
    assert web.client.post("/jobs", content=b"x", headers=headers).status_code == 413


def test_oversized_chunked_body_is_refused(web: Browser) -> None:
    def chunks():
        for _ in range(BODY_LIMIT // 1_000_000 + 2):
            yield b"x" * 1_000_000

    answer = web.client.post(
        "/jobs",
        content=chunks(),
        headers={
            "origin": ORIGIN,
            "x-outlay-token": web.token,
            "content-type": "application/x-www-form-urlencoded",
        },
    )
    assert answer.status_code == 413
