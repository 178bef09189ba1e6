"""Every changing route has a valid request in the tables of `tests/every_change`, and takes it."""

from pathlib import Path

import pytest

from app.db.repositories import record
from app.db.session import Database
from app.documents.pdf import pdf_available
from app.services.office import Office
from tests.every_change.change import Change
from tests.every_change.sending import Sending, is_taken
from tests.every_change.stock import Stock
from tests.every_change.table import CHANGES
from tests.web.test_access import routes


def test_every_changing_route_has_one_request(office: Office) -> None:
    changing = sorted(route.path for route in routes(office) if route.methods - {"GET", "HEAD"})
    assert len(changing) > 150
    assert sorted(change.route for change in CHANGES) == changing


def head_of(database: Database) -> str:
    with database.read() as connection:
        return record.head(connection)


def taken(folder: Path, changes: list[Change]) -> None:
    refused, unsaved, saved = {}, [], []
    with Sending(Stock(folder)) as sending:
        database = sending.stock.office.database
        for change in changes:
            request, before, head = sending.of(change), database.written, head_of(database)
            answer = request.sent()
            if not is_taken(answer):
                refused[change.route] = answer.status_code
            if change.keeps_nothing:
                saved += [change.route] if head_of(database) != head else []
            elif database.written == before:
                unsaved.append(change.route)
    assert refused == {}
    assert unsaved == []
    assert saved == []


def test_every_request_is_taken_and_saved_unless_it_says_why_not(tmp_path: Path) -> None:
    taken(tmp_path, [change for change in CHANGES if not change.slow])


@pytest.mark.slow
@pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
def test_those_that_wait_for_a_worker_too(tmp_path: Path) -> None:
    taken(tmp_path, list(CHANGES))
