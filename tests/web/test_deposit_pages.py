"""A deposit above the state's cap, from where it is typed to the signature: said, refused, gone on with by name."""

from collections.abc import Iterator
from decimal import Decimal
from uuid import UUID, uuid4

import pytest

from app.domain.job import Payment
from app.services.jobs import changed, made, open_job, save
from app.services.office import Office
from app.services.revisions import of_job
from app.services.sheets import sheet
from tests.offering import order
from tests.web.conftest import Browser
from tests.web.yard import text_of


@pytest.fixture
def web(stocked: Office, ready: UUID) -> Iterator[Browser]:
    opened = open_job(stocked, ready)
    paid = (
        Payment(id=uuid4(), event="At signing", share=Decimal("0.40")),
        Payment(id=uuid4(), event="End", position=1),
    )
    state = changed("job", ready, opened.version("job", ready), {"state": "PA"})
    save(stocked, ready, (*(made("payment", one) for one in paid), state), order())
    browser = Browser(stocked)
    with browser.client:
        yield browser


def test_it_is_said_beside_the_payments_and_on_checks(web: Browser, ready: UUID) -> None:
    for place in ("phases", "checks"):
        said = text_of(web.get(f"/jobs/{ready}/{place}").text)
        assert "is asked for at signing; by the rule for Pennsylvania it may be" in said


def test_it_cannot_be_offered_until_somebody_goes_on_with_name_and_reason(
    web: Browser, stocked: Office, ready: UUID
) -> None:
    refused = web.post(f"/jobs/{ready}/proposal/offer", {"change_id": str(uuid4())})
    assert refused.status_code == 422
    assert "One open point keeps it from being signed: " in text_of(refused.text)
    assert of_job(stocked, ready) == []
    (point,) = sheet(stocked, ready).readiness.signing_stops
    sent = {"finding": point.key, "by": "Maren Oduya", "reason": "Special-order stone, by our lawyer"}
    web.post(f"/jobs/{ready}/checks/settle", {**sent, "change_id": str(uuid4())})
    assert sheet(stocked, ready).readiness.ready


def test_payments_beyond_the_sum_stop_it_whatever_name_is_given(web: Browser, stocked: Office, ready: UUID) -> None:
    first = sheet(stocked, ready).job.payments[0]
    save(stocked, ready, (changed("payment", first.id, 1, {"cents": 900_000_000, "share": None}),), order())
    assert "They do not add up" in text_of(web.get(f"/jobs/{ready}/proposal").text)
    (point,) = sheet(stocked, ready).readiness.signing_stops
    sent = {"finding": point.key, "by": "Maren Oduya", "reason": "It will do", "change_id": str(uuid4())}
    web.post(f"/jobs/{ready}/checks/settle", sent)
    assert not sheet(stocked, ready).readiness.ready
    assert web.post(f"/jobs/{ready}/proposal/offer", {"change_id": str(uuid4())}).status_code == 422
