"""The crew's day: weather, delays, visits and receipts written down once, read at the office, no amount on the phone."""

from dataclasses import replace
from decimal import Decimal
from html import unescape
from uuid import UUID, uuid4

import pytest
from starlette.testclient import TestClient

from app.domain.devices import Face
from app.domain.looking_back.lies import batches_of
from app.domain.sharing import Over
from app.services.happenings import delay_days, materials_of
from app.services.jobs import Order, changed, open_job, save
from app.services.office import Office
from app.services.sheets import sheet
from tests.web.conftest import Browser
from tests.web.reaching import paired, sent
from tests.web.test_field import MONEY, PNG
from tests.web.yard import text_of


@pytest.fixture
def phone(stocked: Office, ready: UUID) -> TestClient:
    """A field device, and a job that is being built."""
    save(stocked, ready, (changed("job", ready, 1, {"stage": "building"}),), Order(change_id=uuid4()))
    return paired(stocked, Over.SECURE, face=Face.FIELD)


def day_of(office: Office, job_id: UUID) -> str:
    return sheet(office, job_id).today.isoformat()


def test_each_is_written_once_and_read_at_the_office(stocked: Office, phone: TestClient, ready: UUID) -> None:
    day = day_of(stocked, ready)
    told = {
        "weather": {"sky": "rain", "degrees": "-4", "words": "Since six"},
        "delay": {"cause": "weather", "half_days": "1/2", "quarters": "4.5"},
        "visit": {"who": "Town inspector", "what": "Footing", "inspection": "1", "result": "passed"},
        "receipt": {"amount": "86.40", "merchant": "Alder Stone Yard", "zone": "job"},
    }
    for what, values in told.items():
        same = {"day": day, "change_id": str(uuid4()), **values}
        for _ in range(2):
            answer = sent(phone, stocked, f"/field/{ready}/day/{what}", same)
            assert answer.status_code == 303, answer.text
    job = open_job(stocked, ready).job
    assert [(one.sky, one.degrees) for one in job.logged_weather] == [("rain", -4)]
    assert [(one.cause, one.whose, one.half_days, one.quarters) for one in job.logged_delays] == [
        ("weather", "nobody", 1, 18)
    ]
    assert [(one.inspection, one.result) for one in job.logged_visits] == [(True, "passed")]
    assert [(one.cents, one.photo_id) for one in job.logged_receipts] == [(8640, None)]
    assert [(one.cause.key, one.days) for one in delay_days(stocked, sheet(stocked, ready))] == [
        ("weather", Decimal("0.5"))
    ]
    seen = phone.get(f"/field/{ready}/day").text
    assert "Alder Stone Yard" in seen
    assert "86.4" not in seen
    assert MONEY.findall(seen) == []
    browser = Browser(stocked)
    page = browser.get(f"/jobs/{ready}/log").text
    for words in ("Rain", "Since six", "Town inspector", "may be asked for", "$86.40"):
        assert words in page
    for figure in ("receipts:all", "receipts:job", f"receipt:{job.logged_receipts[0].id}"):
        assert f"/why/log:{figure}" in page
        assert browser.get(f"/jobs/{ready}/why/log:{figure}").status_code == 200
    assert browser.get(f"/jobs/{ready}/why/log:receipt:x").status_code == 404


def test_receipt_says_what_was_bought_and_of_which_batch(stocked: Office, phone: TestClient, ready: UUID) -> None:
    key, title = materials_of(sheet(stocked, ready))[0]
    page = phone.get(f"/field/{ready}/day").text
    assert f'value="{key}"' in page
    values = {"day": day_of(stocked, ready), "amount": "12", "merchant": "Mill Yard", "zone": "job"}
    wrong = sent(phone, stocked, f"/field/{ready}/day/receipt", {**values, "material": "moon-rock"})
    assert wrong.status_code == 422
    told = {**values, "material": key, "batch": "K 4473"}
    assert sent(phone, stocked, f"/field/{ready}/day/receipt", told).status_code == 303
    job = open_job(stocked, ready).job
    assert [(one.material, one.batch) for one in job.logged_receipts] == [(key, "K 4473")]
    assert f"{title}, batch K 4473" in text_of(phone.get(f"/field/{ready}/day").text)
    assert batches_of(job)[("", key)] == ("K 4473",)
    unnamed = replace(job.logged_receipts[0], batch="")
    assert batches_of(replace(job, logged_receipts=(unnamed,)))[("", key)] == ("bought at Mill Yard",)


def test_receipt_goes_in_and_out_with_its_picture(stocked: Office, phone: TestClient, ready: UUID) -> None:
    values = {"day": day_of(stocked, ready), "amount": "12", "merchant": "Mill Yard Supply", "zone": ""}
    answer = sent(phone, stocked, f"/field/{ready}/day/receipt", values, files={"file": ("a.png", PNG)})
    assert answer.status_code == 303, answer.text
    job = open_job(stocked, ready).job
    [one], [photo] = job.logged_receipts, job.photos
    assert (one.photo_id, one.zone, photo.when) == (photo.id, "job", "receipt")
    assert Browser(stocked).get(f"/jobs/{ready}/photos/{photo.id}").status_code == 200
    assert sent(phone, stocked, f"/field/{ready}/day/logged_receipt/{one.id}/remove", {}).status_code == 303
    job = open_job(stocked, ready).job
    assert (job.logged_receipts, job.photos) == ((), ())
    bad = sent(phone, stocked, f"/field/{ready}/day/receipt", values, files={"file": ("a.png", b"no picture")})
    assert bad.status_code == 422
    assert 'value="Mill Yard Supply"' in bad.text


@pytest.mark.parametrize(
    ("what", "values", "sentence"),
    [
        ("weather", {"degrees": "warm"}, "no temperature"),
        ("weather", {}, "Tap the weather"),
        ("delay", {"cause": "", "half_days": "1"}, "Tap what held the work up"),
        ("delay", {"cause": "crew", "half_days": "1/3"}, "no number of days"),
        ("delay", {"cause": "crew"}, "Say how long"),
        ("visit", {"who": ""}, "Who came is empty"),
        ("visit", {"who": "Inspector", "inspection": "1"}, "Tap what came of the inspection"),
        ("receipt", {"amount": "0"}, "The amount is nothing"),
        ("receipt", {"amount": "12.345"}, "finer than a cent"),
        ("weather", {"sky": "rain", "day": "2040-01-01"}, "has not been yet"),
        ("delay", {"cause": "crew", "half_days": "1", "day": ""}, "Day is empty"),
    ],
)  # fmt: skip
def test_what_tells_nothing_is_said_and_changes_nothing(
    stocked: Office, phone: TestClient, ready: UUID, what: str, values: dict, sentence: str
) -> None:
    before = open_job(stocked, ready).counter
    answer = sent(phone, stocked, f"/field/{ready}/day/{what}", {"day": day_of(stocked, ready), **values})
    assert answer.status_code == 422
    assert sentence in unescape(answer.text)
    assert open_job(stocked, ready).counter == before


def test_nothing_else_is_written_or_taken_out(stocked: Office, phone: TestClient, ready: UUID) -> None:
    zone = open_job(stocked, ready).job.zones[0].id
    assert sent(phone, stocked, f"/field/{ready}/day/zone", {}).status_code == 404
    assert sent(phone, stocked, f"/field/{ready}/day/zone/{zone}/remove", {}).status_code == 404
    assert open_job(stocked, ready).job.zones


def test_office_says_whose_a_delay_is_and_takes_out_what_is_wrong(
    stocked: Office, phone: TestClient, ready: UUID
) -> None:
    day = day_of(stocked, ready)
    sent(phone, stocked, f"/field/{ready}/day/delay", {"day": day, "cause": "official", "half_days": "2"})
    browser, [one] = Browser(stocked), open_job(stocked, ready).job.logged_delays
    assert 'name="whose"' in browser.get(f"/jobs/{ready}/log?focus=logged_delay:{one.id}").text
    edit = {"day": day, "cause": "official", "whose": "firm", "half_days": "1.5", "words": "", "version": "1"}
    assert browser.post(f"/jobs/{ready}/log/logged_delay/{one.id}", edit, htmx=True).status_code == 200
    assert open_job(stocked, ready).job.logged_delays[0].half_days == 3
    assert delay_days(stocked, sheet(stocked, ready)) == ()
    assert browser.post(f"/jobs/{ready}/log/logged_delay/{one.id}/remove", {}, htmx=True).status_code == 200
    assert open_job(stocked, ready).job.logged_delays == ()


def test_inspection_that_did_not_pass_is_said_until_it_does(stocked: Office, phone: TestClient, ready: UUID) -> None:
    visit = {"day": day_of(stocked, ready), "who": "Town inspector", "what": "Gas line", "inspection": "1"}
    for result, said in (("not passed", True), ("passed", False)):
        sent(phone, stocked, f"/field/{ready}/day/visit", {**visit, "result": result})
        for page in (phone.get(f"/field/{ready}"), Browser(stocked).get(f"/jobs/{ready}/build")):
            assert ("Inspection not passed" in page.text) is said


def test_picture_says_what_will_be_covered(stocked: Office, phone: TestClient, ready: UUID) -> None:
    values = {"caption": "Trench", "hides": "Gas line, 24 in deep"}
    assert sent(phone, stocked, f"/field/{ready}/photo", values, files={"file": ("a.png", PNG)}).status_code == 303
    assert open_job(stocked, ready).job.photos[-1].hides == "Gas line, 24 in deep"
    assert "Gas line, 24 in deep" in Browser(stocked).get(f"/jobs/{ready}/build").text
