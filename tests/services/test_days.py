"""Days are those of the firm: in the evening of New York the record's clock says tomorrow already."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import uuid4

import app
from app.services import estimates, jobs
from app.services.jobs import Order
from tests.stocked import stocked_basis, stocked_office

EVENING = datetime(2027, 3, 10, 1, 30, tzinfo=UTC)  # half past eight of March 9 in New York (UTC-5)
TODAY = date(2027, 3, 9)


def test_call_and_price_of_an_evening_are_of_that_day(tmp_path: Path) -> None:
    basis = stocked_basis()
    prices = {key: one for key, one in basis.prices.items() if key != "bedding-sand"}
    office = stocked_office(tmp_path / "data", replace(basis, prices=prices))
    office.clock = lambda: EVENING
    assert office.firm().time_zone == "America/New_York"
    assert office.today() == TODAY
    job_id = jobs.begin_job(office, jobs.NewJob(name="Priya Lindqvist"), Order(change_id=uuid4()))
    assert jobs.open_job(office, job_id).job.head.first_call == TODAY
    estimates.price_material(office, "bedding-sand", prices["mulch-bark"].unit_price, Order(change_id=uuid4()))
    assert office.basis().prices["bedding-sand"].priced_on == TODAY
    office.database.close()


def test_no_day_is_read_off_the_clock_of_the_record() -> None:
    """But for the certificate of this machine, which holds by UTC."""
    asks = re.compile(r"clock\(\)\.date\(\)")
    found = {path.name for path in Path(app.__file__).parent.rglob("*.py") if asks.search(path.read_text())}
    assert found == {"sharing.py"}
