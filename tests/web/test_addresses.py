"""An address is answered by the route that trying one after the other would find."""

from itertools import product

import pytest
from starlette.routing import BaseRoute, Match

from app.main import create_app
from app.services.office import Office
from app.web.addresses import AddressBook

WORDS = ("", "jobs", "prices", "new", "zone", "plan", "0b6ec3c2-9c1d-4c5e-8c07-3b8a1f2f6f11", "7", "x.pdf", "days.ics")


@pytest.fixture
def book(office: Office) -> AddressBook:
    return next(route for route in create_app(office).routes if isinstance(route, AddressBook))


def one_after_the_other(routes: tuple[BaseRoute, ...], scope: dict) -> tuple[Match, dict]:
    other = (Match.NONE, {})
    for route in routes:
        match, found = route.matches(scope)
        if match is Match.FULL:
            return match, found
        if match is Match.PARTIAL and other[0] is Match.NONE:
            other = match, found
    return other


def scope_of(path: str, method: str) -> dict:
    return {"type": "http", "path": path, "method": method, "root_path": "", "headers": []}


def addresses_like(path: str) -> list[str]:
    """An address of a route as it might be typed: its own words, others in the place of each, too short, too long."""
    words = path.split("/")
    filled = ["7" if "{" in word else word for word in words]
    named = [WORDS[6] if "{" in word else word for word in words]
    others = [[*named[:at], word, *named[at + 1 :]] for at, word in product(range(1, len(words)), WORDS)]
    return ["/".join(one) for one in (filled, named, *others, named[:-1], [*named, ""], [*named, "more"])]


def test_each_address_is_answered_as_if_all_were_tried_in_order(book: AddressBook) -> None:
    addresses = sorted({address for route in book.routes[::3] for address in addresses_like(route.path)})
    for path in addresses[::5]:
        for method in ("GET", "POST"):
            scope = scope_of(path, method)
            assert book.matches(scope) == one_after_the_other(book.routes, scope), (path, method)


def test_few_routes_are_looked_at_for_an_address(book: AddressBook) -> None:
    looked_at = [len(list(book.fitting(path))) for route in book.routes for path in addresses_like(route.path)[:2]]
    assert max(looked_at) < 12
    assert sum(looked_at) / len(looked_at) < 4


def test_address_with_another_method_says_so(book: AddressBook) -> None:
    match, found = book.matches(scope_of("/jobs", "DELETE"))
    assert match is Match.PARTIAL
    assert found["route"].path == "/jobs"
