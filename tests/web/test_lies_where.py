"""What we know: the hub, and the address search that says which brick and where the valve is."""

from collections.abc import Iterator
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.domain.job import CameLine, Delivery, Feature, Run, RunKind, SentLine, SupplyOrder
from app.domain.plan.shapes import rectangle
from app.domain.takeoff.requirements import requirements
from app.services import jobs
from app.services.jobs import changed, made
from app.services.office import Office
from tests.signed_cheaply import signed
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of

HERE = "/firm/known"


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def web(office: Office) -> Browser:
    return Browser(office)


@pytest.fixture
def yard(office: Office) -> UUID:
    """A job with a house, a valve and a pipe."""
    job_id = begun_job(office)
    opened = jobs.open_job(office, job_id)
    zone = opened.job.zones[0].id
    valve = Feature(id=uuid4(), title="Valve box", zone_id=zone, x=3.0, y=4.0)
    pipe = Run(id=uuid4(), title="Line to the bed", kind=RunKind.PIPE, points=((3.0, 4.0), (40.0, 6.0)))
    house = changed("site", opened.job.site.id, 1, {"house": rectangle(30, 20, at=(0, -20))})
    jobs.save(office, job_id, (house, made("feature", valve), made("run", pipe)), order())
    return job_id


def test_hub_leads_to_every_page_that_there_is(web: Browser) -> None:
    page = web.get(HERE).text
    for path in ("/firm/taught", f"{HERE}/addresses"):
        assert f'href="{path}"' in page
        assert web.get(path).status_code == 200


def test_address_search_says_which_brick_and_where_the_valve_is(web: Browser, office: Office, yard: UUID) -> None:
    opened = jobs.open_job(office, yard)
    version = opened.version("job", yard)
    jobs.save(office, yard, (changed("job", yard, version, {"street": "27 Quarry Bend"}),), order())
    page = text_of(web.get(f"{HERE}/addresses?search=quarr+27").text)
    assert "27 Quarry Bend" in page
    assert "As drawn; nothing is signed" in page
    signed(office, yard)
    page = text_of(web.get(f"{HERE}/addresses?search=quarr+27").text)
    assert "As signed" in page
    finish = next(one for one in office.basis().materials.values() if one.finish and one.title in page)
    assert finish.role
    assert "Dining terrace" in page
    # the valve lies 3 ft along and 4 ft off the wall: tapes of 5 ft from the corner at 0, 0 and √(27² + 4²) from 30, 0
    assert "Valve box" in page
    assert "5 ft" in page.split("Valve box")[1][:80] or "5'" in page.split("Valve box")[1][:80]
    assert "Line to the bed" in page
    assert "have the lines located and marked" in page


def test_several_hits_are_listed_and_one_is_opened(web: Browser, office: Office) -> None:
    first, second = begun_job(office), begun_job(office)
    page = web.get(f"{HERE}/addresses?search=whitl").text
    assert page.count("/firm/known/addresses?search=whitl&amp;job=") == 2
    assert "As drawn" not in text_of(page)
    assert "As drawn" in text_of(web.get(f"{HERE}/addresses?search=whitl&job={second}").text)
    assert "As drawn" not in text_of(web.get(f"{HERE}/addresses?search=whitl&job={uuid4()}").text)
    assert "No yard has these words" in text_of(web.get(f"{HERE}/addresses?search=moon").text)
    assert first != second


def test_batches_are_those_read_off_the_labels(web: Browser, office: Office, yard: UUID) -> None:
    opened = jobs.open_job(office, yard)
    needed = requirements(opened.job, opened.basis)[0]
    laid = next(one for one in needed if one.kind == "material" and opened.basis.materials[one.key].finish)
    paver, letter = laid.key, next(zone.letter for zone in opened.job.zones if str(zone.id) == laid.zone)
    sent = (SentLine(material=paver, title="Pavers", unit="foot**2", amount=280, letters=(letter,)),)
    order_of = SupplyOrder(id=uuid4(), supplier="alder-stone", lines=sent, sent_on=office.clock().date())
    came = tuple(CameLine(material=paver, came=140, batch=batch) for batch in ("K 4471", "K 4472"))
    deliveries = [Delivery(id=uuid4(), order_id=order_of.id, day=office.clock().date(), lines=(one,)) for one in came]
    things = (made("supply_order", order_of), *(made("delivery", one) for one in deliveries))
    assert "No batch is written down" in text_of(web.get(f"{HERE}/addresses?search=whitlock").text)
    jobs.save(office, yard, things, order())
    page = text_of(web.get(f"{HERE}/addresses?search=whitlock").text)
    assert {"K 4471, K 4472", "K 4472, K 4471"} & {page[at : at + 14] for at in range(len(page))}, (
        "of one day, in any order"
    )
    assert "No batch is written down" not in page
