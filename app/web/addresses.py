"""Which route an address belongs to: found by its words, not by trying one route after the other."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from fastapi import APIRouter, params
from fastapi.routing import APIRoute
from starlette.routing import BaseRoute, Match
from starlette.types import Receive, Scope, Send


@dataclass(slots=True)
class _Place:
    """Where the words of an address led so far, and which routes end here or take all that follows."""

    words: dict[str, "_Place"] = field(default_factory=dict)
    anything: "_Place | None" = None
    ends: list[int] = field(default_factory=list)
    tails: list[int] = field(default_factory=list)


class AddressBook(BaseRoute):
    """Many routes as one. Which of them may fit is read off the address; each says itself whether it does, in order."""

    def __init__(self, routes: Iterable[APIRoute]) -> None:
        self.routes = tuple(routes)
        self._root = _Place()
        for order, route in enumerate(self.routes):
            self._enter(order, route.path)

    def _enter(self, order: int, path: str) -> None:
        place = self._root
        for word in path.split("/"):
            if ":path}" in word:
                place.tails.append(order)
                return
            if "{" in word:
                place.anything = place.anything or _Place()
                place = place.anything
            else:
                place = place.words.setdefault(word, _Place())
        place.ends.append(order)

    def fitting(self, path: str) -> Iterator[APIRoute]:
        """The routes whose words are those of an address, in the order in which they were given."""
        found: list[int] = []
        places = [self._root]
        for word in path.split("/"):
            reached = []
            for place in places:
                found += place.tails
                if (named := place.words.get(word)) is not None:
                    reached.append(named)
                if place.anything is not None:
                    reached.append(place.anything)
            places = reached
        found += [order for place in places for order in place.ends]
        return (self.routes[order] for order in sorted(found))

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """The first route that takes the request; else the first that takes its address, not its method."""
        other_method: tuple[Match, Scope] = (Match.NONE, {})
        for route in self.fitting(scope["path"]) if scope["type"] == "http" else ():
            match, found = route.matches(scope)
            if match is Match.FULL:
                return match, found
            if match is Match.PARTIAL and other_method[0] is Match.NONE:
                other_method = match, found
        return other_method

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer by the route that was found."""
        route: APIRoute = scope["route"]
        await route.handle(scope, receive, send)


def book_of(routers: Sequence[APIRouter], first: params.Depends) -> AddressBook:
    """The routes of several routers, in their order; each passes a dependency before all of its own."""
    gathered = APIRouter()
    for router in routers:
        for route in router.routes:
            assert isinstance(route, APIRoute)  # we have no others
            gathered.add_api_route(
                route.path,
                route.endpoint,
                methods=route.methods,
                dependencies=[first, *route.dependencies],
                response_class=route.response_class,
                response_model=None,
                include_in_schema=route.include_in_schema,
            )
    return AddressBook(route for route in gathered.routes if isinstance(route, APIRoute))
