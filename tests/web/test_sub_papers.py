"""Papers of subcontractors: a PDF or a picture beside somebody in the book, shown, opened, taken out, carried along."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from uuid import UUID

import pytest

from app.domain.checks.subs import quotes_and_papers
from app.domain.selling import SubPaper
from app.interchange.job_bundle import files_named
from app.services import jobs
from app.services.job_files import bring_in, export_job
from app.services.office import Office
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.test_subs_sheet import in_the_book, packet, quote

PDF = b"%PDF-1.7 a certificate (invented)"
HERE = "/subcontractors/alder-pins"


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    return begun_job(office)


def send(web: Browser, content: bytes, version: int, kind: str = "insurance", until: str = "2027-08-01"):
    change = web.get("/subcontractors").text.split('name="change_id" value="')[1].split('"')[0]
    fields = {"change_id": change, "version": str(version), "kind": kind, "until": until}
    return web.post(f"{HERE}/papers", fields, files={"file": ("paper", content)}, htmx=True)


def test_paper_is_shown_opened_and_says_until_when_they_are_insured(web: Browser, office: Office) -> None:
    in_the_book(web, "Alder Pins")
    answer = send(web, PDF, 1)
    assert answer.status_code == 200
    sub = office.basis().subcontractors["alder-pins"]
    assert (sub.insured_until, len(sub.kept_papers)) == (date(2027, 8, 1), 1)
    assert "good until Aug 1, 2027" in answer.text
    place = f"{HERE}/papers/{sub.kept_papers[0].file}"
    opened = web.get(place)
    assert (opened.content, opened.headers["content-type"]) == (PDF, "application/pdf")
    gone = web.post(f"{place}/remove", {"change_id": str(order().change_id), "version": "2"}, htmx=True)
    assert gone.status_code == 200
    assert web.get(place).status_code == 404
    web.post("/firm/undo", {"change_id": str(order().change_id), "back": "/subcontractors"})
    assert web.get(place).content == PDF


@pytest.mark.parametrize(
    ("content", "kind", "said"),
    [(b"MZ", "insurance", "PDF or a picture"), (b"", "license", "PDF or a picture"), (PDF, "", "is empty")],
    ids=["program", "nothing", "no-kind"],
)
def test_what_is_no_paper_is_refused_and_nothing_changes(
    web: Browser, office: Office, content: bytes, kind: str, said: str
) -> None:
    in_the_book(web, "Alder Pins")
    refused = send(web, content, 1, kind)
    assert refused.status_code == 422
    assert said in refused.text
    assert office.basis().subcontractors["alder-pins"].kept_papers == ()


def test_papers_travel_with_the_job_whose_quote_is_theirs(web: Browser, office: Office, yard: UUID) -> None:
    in_the_book(web, "Alder Pins")
    send(web, PDF, 1)
    quote(web, office, yard, packet(web, office, yard), "alder-pins", "600")
    name = office.basis().subcontractors["alder-pins"].kept_papers[0].file
    opened = jobs.open_job(office, yard)
    assert name in files_named(opened.job, opened.basis)
    brought = bring_in(office, export_job(office, yard), order())
    assert brought.missing == 0
    assert jobs.open_job(office, brought.job_id).basis.subcontractors["alder-pins"].kept_papers[0].file == name


def test_paper_that_ran_out_is_an_open_point_until_a_newer_one_is_there(
    web: Browser, office: Office, yard: UUID
) -> None:
    in_the_book(web, "Alder Pins", insured_until="2030-01-01", license="PA-77")
    one = quote(web, office, yard, packet(web, office, yard), "alder-pins", "600")
    web.post(f"/jobs/{yard}/subs/quote/{one}/accept", {"change_id": str(order().change_id), "accept": "yes"}, htmx=True)
    opened = jobs.open_job(office, yard)
    sub = opened.basis.subcontractors["alder-pins"]
    old = SubPaper(kind="workers' comp", file="a" * 64, until=date(2026, 12, 31))
    new = replace(old, file="b" * 64, until=date(2027, 12, 31))

    def points(*papers: SubPaper) -> list[str]:
        basis = replace(opened.basis, subcontractors={"alder-pins": replace(sub, kept_papers=papers)})
        return [one.what for one in quotes_and_papers(opened.job, basis, date(2027, 3, 9))]

    assert any("workers' comp ran out on Dec 31, 2026" in what for what in points(old))
    assert not any("workers' comp" in what for what in points(old, new))
