"""Subcontractors: the book, a packet made by hand, quotes side by side, one accepted, its price in the estimate."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from uuid import UUID

import pypdf
import pytest

from app.documents.pdf import pdf_available
from app.domain.job import PlaceKind
from app.services import jobs, zones
from app.services.office import Office
from app.services.sheets import sheet
from app.services.subs import subs_page
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    job_id = begun_job(office)
    zones.add_work(office, job_id, PlaceKind.JOB, None, "stake-lot-lines", order())
    return job_id


def post(web: Browser, path: str, at: str, **typed: object):
    page = web.get(at).text
    change = page.split('name="change_id" value="')[1].split('"')[0]
    return web.post(path, {"change_id": change, **typed}, htmx=True)


def in_the_book(web: Browser, title: str, **more: str) -> None:
    answer = post(web, "/subcontractors/new", "/subcontractors", title=title, **more)
    assert answer.status_code == 200


def packet(web: Browser, office: Office, yard: UUID, **more: object) -> UUID:
    here = f"/jobs/{yard}/subs"
    fields = {"title": "Lot lines", "materials.sent": "1", "materials": ["surveyor"], **more}
    assert post(web, f"{here}/packet/new", here, **fields).status_code == 200
    return jobs.open_job(office, yard).job.packets[-1].id


def quote(web: Browser, office: Office, yard: UUID, packet_id: UUID, who: str, cents: str) -> UUID:
    here = f"/jobs/{yard}/subs"
    fields = {"packet_id": str(packet_id), "subcontractor": who, "cents": cents, "valid_until": "2027-06-01"}
    assert post(web, f"{here}/quote/new", here, **fields).status_code == 200
    return next(one.id for one in jobs.open_job(office, yard).job.quotes if one.subcontractor == who)


def direct(office: Office, yard: UUID, key: str) -> int:
    return sum(line.cents for line in sheet(office, yard).estimate.lines if line.key == key)


def test_book_holds_who_was_typed_and_refuses_nobody(web: Browser, office: Office) -> None:
    in_the_book(web, "Alder Pins", trade="surveyor", insured_until="2027-05-01")
    assert office.basis().subcontractors["alder-pins"].trade == "surveyor"
    refused = post(web, "/subcontractors/new", "/subcontractors", title="", trade="surveyor")
    assert refused.status_code == 422
    assert "is empty" in refused.text
    changed = post(web, "/subcontractors/alder-pins", "/subcontractors", version="1", license="PA-77")
    assert changed.status_code == 200
    assert office.basis().subcontractors["alder-pins"].license == "PA-77"


def test_accepted_quote_is_in_the_estimate_and_only_one_is_accepted(web: Browser, office: Office, yard: UUID) -> None:
    for name in ("Alder Pins", "Mill Survey"):
        in_the_book(web, name)
    packet_id = packet(web, office, yard)
    by_book = direct(office, yard, "surveyor")
    first = quote(web, office, yard, packet_id, "alder-pins", "612.34")
    second = quote(web, office, yard, packet_id, "mill-survey", "580")
    assert direct(office, yard, "surveyor") == by_book
    here = f"/jobs/{yard}/subs"
    assert post(web, f"{here}/quote/{first}/accept", here, accept="yes").status_code == 200
    assert direct(office, yard, "surveyor") == 612_34
    post(web, f"{here}/quote/{second}/accept", here, accept="yes")
    assert direct(office, yard, "surveyor") == 580_00
    assert [one.id for one in jobs.open_job(office, yard).job.quotes if one.accepted_on] == [second]
    page = web.get(here).text
    assert page.index("Mill Survey") < page.index("Alder Pins")  # the lowest first
    post(web, f"{here}/quote/{second}/accept", here, accept="no")
    assert direct(office, yard, "surveyor") == by_book


def test_scope_is_said_line_by_line_and_money_is_read_as_typed(web: Browser, office: Office, yard: UUID) -> None:
    in_the_book(web, "Alder Pins")
    packet_id = packet(web, office, yard, extras="A drawing of the pins")
    one = quote(web, office, yard, packet_id, "alder-pins", "600")
    here = f"/jobs/{yard}/subs"
    rows = subs_page(office, sheet(office, yard)).packets[0].rows
    assert [row.title for row in rows][-1] == "A drawing of the pins"
    said = {f"line-{at}": row.key for at, row in enumerate(rows)}
    said |= {"stands-0": "in", "stands-1": "out", "added-1": "ninety"}
    refused = post(web, f"{here}/quote/{one}/scope", here, **said)
    assert refused.status_code == 422
    post(web, f"{here}/quote/{one}/scope", here, **{**said, "added-1": "90"})
    kept = jobs.open_job(office, yard).job.quotes[0]
    assert [kept.scope[row.key].value for row in rows[:2]] == ["in", "out"]
    assert list(kept.added.values()) == [90_00]
    post(web, f"{here}/quote/{one}/accept", here, accept="yes")
    assert direct(office, yard, "surveyor") == 690_00


def test_quote_without_an_amount_cannot_be_accepted(web: Browser, office: Office, yard: UUID) -> None:
    in_the_book(web, "Alder Pins")
    one = quote(web, office, yard, packet(web, office, yard), "alder-pins", "")
    refused = post(web, f"/jobs/{yard}/subs/quote/{one}/accept", f"/jobs/{yard}/subs", accept="yes")
    assert refused.status_code == 422
    assert not jobs.open_job(office, yard).job.quotes[0].accepted_on


def test_paper_of_a_quote_is_kept_and_what_is_none_is_refused(web: Browser, office: Office, yard: UUID) -> None:
    in_the_book(web, "Alder Pins")
    one = quote(web, office, yard, packet(web, office, yard), "alder-pins", "600")
    here = f"/jobs/{yard}/subs/quote/{one}/paper"
    assert web.get(here).status_code == 404
    refused = web.post(here, {}, files={"file": ("q.exe", b"MZ\x90")}, htmx=True)
    assert refused.status_code == 422
    kept = web.post(here, {}, files={"file": ("q.pdf", b"%PDF-1.7 quote")}, htmx=True)
    assert kept.status_code == 200
    assert web.get(here).content == b"%PDF-1.7 quote"


def test_packet_taken_out_takes_its_quotes_and_undo_brings_them_back(web: Browser, office: Office, yard: UUID) -> None:
    in_the_book(web, "Alder Pins")
    packet_id = packet(web, office, yard)
    quote(web, office, yard, packet_id, "alder-pins", "600")
    post(web, f"/jobs/{yard}/subs/packet/{packet_id}/remove", f"/jobs/{yard}/subs", version="1")
    job = jobs.open_job(office, yard).job
    assert (job.packets, job.quotes) == ((), ())
    jobs.undo(office, yard, UUID(int=9))
    job = jobs.open_job(office, yard).job
    assert (len(job.packets), len(job.quotes)) == (1, 1)


def test_every_figure_of_the_page_opens(web: Browser, office: Office, yard: UUID) -> None:
    in_the_book(web, "Alder Pins")
    packet_id = packet(web, office, yard)
    one = quote(web, office, yard, packet_id, "alder-pins", "600")
    for figure in (f"quote:{one}", f"scope:{packet_id}"):
        assert f"/why/{figure}" in web.get(f"/jobs/{yard}/subs").text
        assert web.get(f"/jobs/{yard}/why/{figure}").status_code == 200


@pytest.mark.printed
@pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
def test_packet_on_paper_holds_the_scope_and_no_money(web: Browser, office: Office, yard: UUID) -> None:
    in_the_book(web, "Alder Pins")
    packet_id = packet(web, office, yard, extras="A drawing of the pins", words="The right line, all of it.")
    quote(web, office, yard, packet_id, "alder-pins", "612.34")
    answer = web.get(f"/jobs/{yard}/subs/packet/{packet_id}.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    pages = (page.extract_text() for page in pypdf.PdfReader(BytesIO(answer.content)).pages)
    said = " ".join(" ".join(pages).split())
    assert "A drawing of the pins" in said
    assert "The right line, all of it." in said
    assert "Licensed surveyor, a line staked" in said
    assert [word for word in ("$", "612", "Alder Pins") if word in said] == []
