"""What tests share: an office on a real database made by the migrations."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.config import Settings
from app.domain.basis import Basis
from app.services.jobs import NewJob, Order, begin_job
from app.services.office import Office, open_office


class TestClock:
    """Steps a second at each look, from a fixed day."""

    __test__ = False

    def __init__(self) -> None:
        self.now = datetime(2027, 3, 9, 15, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = open_office(Settings(data=tmp_path / "data"), Basis(), TestClock())
    yield opened
    opened.database.close()


@pytest.fixture
def job_id(office: Office) -> UUID:
    return begin_job(office, NewJob(name="Linnea Whitlock", town="Alder Ferry"), Order(change_id=uuid4()))
