"""A packet given away: papers stop its release and its payments, lien releases stand between one payment and the next."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.domain.job import PlaceKind
from app.services import book, jobs, subs, zones
from app.services.office import Office
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.test_subs_sheet import in_the_book, packet, quote

LATER = date(2028, 1, 31)
GOOD = {"license": "PA 1", "license_until": LATER, "comp_until": LATER, "insured_until": LATER, "tax_form_on": LATER}
PDF = b"%PDF-1.4\n% signed by hand\n%%EOF\n"


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def web(office: Office) -> Browser:
    return Browser(office)


@pytest.fixture
def given(office: Office, web: Browser) -> tuple[UUID, UUID]:
    """A job with a packet given to a surveyor of whom nothing is on file."""
    yard = begun_job(office)
    zones.add_work(office, yard, PlaceKind.JOB, None, "stake-lot-lines", order())
    in_the_book(web, "Ridge Survey")
    one = packet(web, office, yard)
    quoted = quote(web, office, yard, one, "ridge-survey", "1,200")
    subs.accept(office, yard, quoted, order(), on=True)
    return yard, one


def papers(office: Office, **fields: object) -> None:
    version = book.own(office, "subcontractor").version("subcontractor", "ridge-survey")
    book.set_fields(office, "subcontractor", "ridge-survey", version, fields, order())


def send(web: Browser, yard: UUID, path: str, **typed: object):
    return web.post(f"/jobs/{yard}/sub-packets/{path}", {"change_id": str(uuid4()), **typed})


def job(office: Office, yard: UUID):
    return jobs.open_job(office, yard).job


def test_law_stops_release_and_payment_and_no_reason_helps(office: Office, web: Browser, given) -> None:
    yard, one = given
    papers(office, **{**GOOD, "comp_until": None})
    reason = {"by": "Maren Oduya", "reason": "He promised it for Monday"}
    for path, more in (("release", {}), ("paid", {"cents": "400", "day": "2027-03-09"})):
        answer = send(web, yard, f"{one}/{path}", **reason, **more)
        assert answer.status_code >= 400
        assert "workers&#39; compensation is not in hand" in answer.text
    assert job(office, yard).released_packets == job(office, yard).paid_out == ()
    page = web.get(f"/jobs/{yard}/sub-packets").text
    assert "No way round" in page
    assert "Not legal advice" in page
    assert "Release it: they may begin" not in page


def test_money_goes_on_with_name_and_reason_that_stay(office: Office, web: Browser, given) -> None:
    yard, one = given
    papers(office, **{**GOOD, "insured_until": date(2027, 1, 2)})
    refused = send(web, yard, f"{one}/release")
    assert refused.status_code == 422
    assert "ran out on Jan 2, 2027" in refused.text
    assert (
        send(web, yard, f"{one}/release", by="Maren Oduya", reason="New certificate is in the mail").status_code == 303
    )
    (released,) = job(office, yard).released_packets
    assert released.subcontractor == "ridge-survey"
    assert [one.reason for one in job(office, yard).settlements][-1:] == ["New certificate is in the mail"]
    assert "New certificate is in the mail" in web.get(f"/jobs/{yard}/sub-packets").text


def test_next_payment_waits_for_the_release_of_the_one_before(office: Office, web: Browser, given) -> None:
    yard, one = given
    papers(office, **GOOD)
    assert send(web, yard, f"{one}/paid", cents="400", day="2027-03-02").status_code == 303
    paid = job(office, yard).paid_out[0]
    assert (paid.cents, paid.packet, paid.to, paid.final) == (400_00, str(one), "Ridge Survey", False)
    again = send(web, yard, f"{one}/paid", cents="800", day="2027-03-02", final="1")
    assert again.status_code == 422
    assert "unconditional lien release" in again.text
    assert 'value="800"' in again.text, "what was typed stays"
    wrong = send(web, yard, f"payment/{paid.id}/lien-release", kind="unconditional final", day="2027-03-02")
    assert wrong.status_code == 422
    form = {"kind": "unconditional progress", "day": "2027-03-02", "through": "2027-02-28", "release_cents": "400"}
    answer = web.post(
        f"/jobs/{yard}/sub-packets/payment/{paid.id}/lien-release",
        form,
        files={"file": ("a.pdf", PDF, "application/pdf")},
    )
    assert answer.status_code == 303, answer.text
    (held,) = job(office, yard).lien_releases
    assert web.get(f"/jobs/{yard}/sub-packets/lien-release/{held.id}/paper").content == PDF
    assert send(web, yard, f"{one}/paid", cents="800", day="2027-03-02", final="1").status_code == 303
    page = web.get(f"/jobs/{yard}/sub-packets").text
    assert "Unconditional, for the final payment" in page
    assert "Write down a payment" not in page, "the final payment is made"


def test_payment_taken_out_takes_its_releases_along(office: Office, web: Browser, given) -> None:
    yard, one = given
    papers(office, **GOOD)
    send(web, yard, f"{one}/paid", cents="400", day="2027-03-02")
    paid = job(office, yard).paid_out[0]
    send(web, yard, f"payment/{paid.id}/lien-release", kind="conditional progress", day="2027-03-02")
    assert len(job(office, yard).lien_releases) == 1
    assert web.post(f"/jobs/{yard}/money/paid-out/{paid.id}/remove", {}).status_code == 303
    assert job(office, yard).paid_out == job(office, yard).lien_releases == ()


def test_packet_without_an_accepted_quote_is_not_found(web: Browser, given) -> None:
    yard, _ = given
    assert send(web, yard, f"{uuid4()}/release").status_code == 404
