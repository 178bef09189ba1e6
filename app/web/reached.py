"""What a request came in over, and the cookies that go with it: one of HTTPS is never sent over plain HTTP."""

from starlette.requests import HTTPConnection
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from app.domain.sharing import Over

_KEY = "outlay.over"


class Reached:
    """The application as it is reached over a network: every request is marked with what it came in over."""

    def __init__(self, app: ASGIApp, over: Over) -> None:
        self.app, self.over = app, over

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Mark a request and hand it on."""
        await self.app({**scope, _KEY: self.over}, receive, send)


def over_of(scope: Scope) -> Over:
    """What a request came in over; not marked, it came in over this machine's loopback."""
    return Over(scope.get(_KEY, Over.HERE))


def cookie_name(scope: Scope, name: str) -> str:
    """The name a cookie goes by: over HTTPS one that a browser keeps to this host and to HTTPS (RFC 6265bis)."""
    return f"__Host-{name}" if over_of(scope) is Over.SECURE else name


def read_cookie(request: HTTPConnection, name: str) -> str:
    """A cookie of ours; empty when it was not sent."""
    return request.cookies.get(cookie_name(request.scope, name), "")


def keep_cookie(
    request: HTTPConnection, response: Response, name: str, value: str, *, seconds: int | None = None
) -> None:
    """Give the browser a cookie that scripts cannot read and other sites cannot send, until it closes or for a time."""
    response.set_cookie(
        cookie_name(request.scope, name),
        value,
        max_age=seconds,
        httponly=True,
        samesite="strict",
        secure=over_of(request.scope) is Over.SECURE,
        path="/",
    )


def drop_cookie(request: HTTPConnection, response: Response, name: str) -> None:
    """Take a cookie of ours back."""
    secure = over_of(request.scope) is Over.SECURE
    response.delete_cookie(cookie_name(request.scope, name), path="/", secure=secure, httponly=True, samesite="strict")
