"""The tests of the web with a fault at every commit: `python -m pytest -p bars.faulting tests/web`.

Before a change is sent as the test sends it, it is sent once with a database that cannot commit. An answer of success
would be one given before the commit. What the test does then goes on from there, so whatever a failed save left behind
in memory or on disk would fail the test. What was seen is written to the file that OUTLAY_FAULTS names, a line each.
"""

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, event
from sqlalchemy.exc import OperationalError
from starlette.testclient import TestClient

from app.services.office import Office

SAFE = {"GET", "HEAD", "OPTIONS"}
_request = TestClient.request


@contextmanager
def no_commit(office: Office) -> Iterator[list[int]]:
    """Until the block ends no transaction that writes can be committed; the list tells how many tried."""
    tried: list[int] = []

    def refuse(connection: Connection) -> None:
        if connection.info.get("immediate"):
            tried.append(1)
            wrong = sqlite3.OperationalError("disk I/O error")
            wrong.sqlite_errorname = "SQLITE_IOERR_FSYNC"  # as the library names it where the disk fails at a commit
            raise OperationalError("COMMIT", None, wrong)

    engine = office.database._engine  # noqa: SLF001 - a fault is put into it
    event.listen(engine, "commit", refuse)
    try:
        yield tried
    finally:
        event.remove(engine, "commit", refuse)


def entries(office: Office) -> int:
    """How much is in the record, by which anything saved is seen."""
    with office.database.read() as connection:
        counted = connection.exec_driver_sql(
            "SELECT (SELECT count(*) FROM record) + (SELECT count(*) FROM revision)"
        ).scalar_one()
    return int(counted)


def all_routes(app: Any) -> list[Any]:
    """Every route, found by asking the application, in the order in which they are tried."""
    routers = [one for one in app.routes if hasattr(one, "effective_candidates")]
    return [one for router in routers for one in router.effective_candidates()]


def changing_routes(app: Any) -> list[Any]:
    """Every route that changes something."""
    return [one for one in all_routes(app) if set(one.methods or ()) - SAFE]


def route_of(app: Any, method: str, path: str) -> str:
    """The address, as declared, that a request goes to."""
    fits = (one for one in changing_routes(app) if method in one.methods and one.path_regex.match(path))
    return next((str(one.path) for one in fits), "")


def inside(app: Any) -> Any:
    """The application itself, inside of what stands around it; None where there is none."""
    while app is not None and not hasattr(app, "state"):
        app = getattr(app, "app", None)
    return app


def request_with_fault(client: TestClient, method: str, url: Any, **given: Any) -> Any:
    """Send a change with a fault first, then as it was meant."""
    app = inside(client.app)
    office = getattr(app.state, "office", None) if app else None
    once = isinstance(given.get("content"), Iterator)  # what can be sent once only
    if method.upper() in SAFE or office is None or once:
        return _request(client, method, url, **given)
    cookies, before = dict(client.cookies), entries(office)
    with no_commit(office) as tried:
        answer = _request(client, method, url, **{**given, "follow_redirects": False})
    path = str(url).partition("?")[0]
    saved = entries(office) - before
    route = route_of(app, method.upper(), path)
    write_down(route=route, status=answer.status_code, commits=len(tried), saved=saved)
    client.cookies.clear()
    client.cookies.update(cookies)
    return _request(client, method, url, **given)


def write_down(**seen: Any) -> None:
    """Add a line to the file of what was seen."""
    with Path(os.environ["OUTLAY_FAULTS"]).open("a", encoding="utf-8") as file:
        file.write(json.dumps(seen) + "\n")


@pytest.hookimpl
def pytest_configure(config: pytest.Config) -> None:  # noqa: ARG001
    """From here on every change of every test meets a fault first."""
    TestClient.request = request_with_fault  # type: ignore[method-assign]
