"""Two programs serve one database: each shows what the other saved, and nothing of either is lost.

Results are kept in each program's memory from edit to edit; what they rest on is looked up for every request.
"""

import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from uuid import UUID

import pytest

from app.config import Settings
from app.db.repositories import record_check
from app.domain.basis import Basis
from app.domain.plan.shapes import rectangle
from app.services.jobs import NewJob, begin_job, open_job
from app.services.office import Office, open_office
from app.services.sheets import sheet
from app.services.zones import NewZone, add_zone
from bars.bar_01_lost_updates import count_up
from bars.saving import Page
from tests import postgres_server
from tests.conftest import copied
from tests.served import serving
from tests.services.yard_of_ours import told

pytestmark = pytest.mark.skipif(
    not postgres_server.running(), reason="no PostgreSQL server is running: `make test-postgres` starts one"
)
EDITS = 10


@dataclass(frozen=True)
class Twice:
    """A data folder and the two programs that serve it."""

    settings: Settings
    shipped: Basis
    addresses: tuple[str, str]

    @contextmanager
    def office(self) -> Iterator[Office]:
        """A third program, for a moment."""
        opened = open_office(self.settings, self.shipped)
        yield opened
        opened.database.close()


@pytest.fixture(scope="module")
def twice(tmp_path_factory: pytest.TempPathFactory, _stocked_once, databases) -> Iterator[Twice]:
    data = tmp_path_factory.mktemp("twice") / "data"
    copied(_stocked_once[0], data, databases)
    with serving(data) as one, serving(data) as other:
        yield Twice(Settings(data=data), _stocked_once[0].shipped, (one.address, other.address))


@pytest.fixture
def job_id(twice: Twice) -> UUID:
    terrace = NewZone(
        title="Terrace", kind="dining", outline=rectangle(18, 16), measured="taped", assembly="unit-pavers"
    )
    with twice.office() as office:
        made = begin_job(office, NewJob(name="Linnea Whitlock", town="Alder Ferry"), told())
        add_zone(office, made, terrace, told())
    return made


@pytest.fixture
def pages(twice: Twice, job_id: UUID) -> Iterator[tuple[Page, Page]]:
    one, other = twice.addresses
    with Page.of(one, job_id) as left, Page.of(other, job_id) as right:
        yield left, right


def version_of(page: Page, path: str) -> str:
    form = re.search(
        rf'action="{re.escape(path)}".*?name="version" value="(\d+)"', page.client.get(_sheet(path)).text, re.DOTALL
    )
    assert form, path
    return form[1]


def _sheet(path: str) -> str:
    return "/".join(path.split("/")[:4])


def figures(page: Page, job_id: UUID) -> list[str]:
    """Every money figure of the estimate, as it is shown."""
    text = page.client.get(f"/jobs/{job_id}/estimate").text
    found = re.findall(r"\$[\d,]+(?:\.\d\d)?", text)
    assert found
    return found


def test_two_programs_edit_one_job_alternately(twice: Twice, job_id: UUID, pages: tuple[Page, Page]) -> None:
    left, right = pages
    path = f"/jobs/{job_id}/client/client/{left.client_id}"
    for turn in range(EDITS):
        writes, reads = (left, right) if turn % 2 == 0 else (right, left)
        version = version_of(writes, path)  # a form that was opened now knows all that the other saved
        assert writes.post(path, {"version": version, "phone": f"570 {turn:03}"}) == 200
        assert f"570 {turn:03}" in reads.client.get(f"/jobs/{job_id}/client").text
    stale = left.sent(path, {"version": "1", "phone": "570 999"})
    assert stale.status_code == 409
    assert f"570 {EDITS - 1:03}" in stale.text
    with twice.office() as office, office.database.read() as connection:
        assert open_job(office, job_id).job.client.phone == f"570 {EDITS - 1:03}"
        assert record_check.verify(connection) is None


def test_price_of_one_is_in_the_estimate_of_the_other(twice: Twice, job_id: UUID, pages: tuple[Page, Page]) -> None:
    with twice.office() as office:
        paver = next(one.key for one in sheet(office, job_id).estimate.requirements if one.role == "finish")
    left, right = pages
    seen = [figures(left, job_id)]
    assert figures(right, job_id) == seen[0]
    for turn in range(4):  # what was kept in memory of either is worked out anew
        writes, reads = (left, right) if turn % 2 == 0 else (right, left)
        sent = {"version": f"{1 + turn}", "unit_price": f"{9 + turn}"}
        assert writes.post(f"/prices/price/{paver}", sent) < 400
        now = figures(reads, job_id)
        assert now not in seen
        assert figures(writes, job_id) == now
        seen.append(now)


def test_nothing_is_lost_of_six_who_count_up_through_two_programs(twice: Twice, job_id: UUID) -> None:
    with ThreadPoolExecutor(6) as people:
        asked = [people.submit(count_up, twice.addresses[who % 2], job_id, EDITS, who) for who in range(6)]
        assert sum(one.result() for one in asked) > 0  # some were behind, and were told
    with twice.office() as office:
        assert int(open_job(office, job_id).job.client.phone.split()[0]) == 6 * EDITS


def test_jobs_begun_at_once_have_numbers_of_their_own(twice: Twice, pages: tuple[Page, Page]) -> None:
    def begin(page: Page) -> None:
        for number in range(8):
            while not page.begin(number):  # the other one was writing
                pass

    with ThreadPoolExecutor(2) as people:
        list(people.map(begin, pages))
    with twice.office() as office, office.database.read() as connection:
        numbers = connection.exec_driver_sql("SELECT number FROM job ORDER BY number").scalars().all()
    assert len(numbers) > 16
    assert list(numbers) == list(range(1, len(numbers) + 1))
