"""Every changing route refuses another page and whoever has no token: what bar 6 measures, on an office with a job."""

from collections.abc import Iterator
from uuid import UUID

import pytest

from app.services.office import Office
from bars.bar_06_ways_in import NEEDS_NO_VERSION, Asker, without_version
from tests.every_change.table import CHANGES
from tests.web.conftest import Browser
from tests.web.test_every_page import known_words


@pytest.fixture
def asker(stocked: Office, ready: UUID) -> Iterator[Asker]:
    web = Browser(stocked)
    with web.client:
        yield Asker(web, known_words(stocked, ready))


def test_change_from_a_foreign_origin_is_refused_everywhere(asker: Asker) -> None:
    assert len(asker.paths) > 100
    assert asker.from_elsewhere() == []


def test_change_without_token_is_refused_everywhere(asker: Asker) -> None:
    assert asker.without_token() == []


def test_what_is_asked_properly_is_refused_nowhere(asker: Asker) -> None:
    assert asker.refusing_all() == []


@pytest.mark.slow
def test_no_field_of_a_job_is_typed_over_by_who_did_not_say_what_was_read() -> None:
    taken, refused = without_version(few=False)
    assert taken == []
    assert len(refused) > 20
    assert set(NEEDS_NO_VERSION) <= {change.route for change in CHANGES}
