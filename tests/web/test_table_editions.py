"""Editions of printed tables as the firm's dated setting: what quick math begins with, what a priced job keeps."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pytest

from app.__main__ import main
from app.domain.trades.registry import CALCULATIONS, PRINTED, editions_of
from app.services import revisions
from app.services.office import Office
from app.services.table_editions import going_by
from tests.stocked import begun_job, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


def said(web: Browser, office: Office, *lines: tuple[str, str, str]):
    page = web.get("/firm").text
    version = page.split('id="editions"')[1].split('name="version" value="')[1].split('"')[0]
    sent = {"version": version, "focus": "editions"}
    for at, (used, since, words) in enumerate(lines):
        sent |= {f"editions.used.{at}": used, f"editions.since.{at}": since, f"editions.words.{at}": words}
    return web.post(f"/firm/firm/{office.firm_id}", sent, htmx=True)


def calc(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(list(words)) == 0
    return capsys.readouterr().out


def test_quick_math_begins_with_the_edition_of_the_day_and_says_so(
    web: Browser, office: Office, capsys: pytest.CaptureFixture[str]
) -> None:
    today = going_by(office).day
    page = text_of(web.get("/quick-math/storm-drain").text)
    assert "By IPC 2021. The firm has not said which edition it uses" in page
    later = today + timedelta(days=3)
    answer = said(
        web,
        office,
        ("storm-drain/IPC 2021", later.isoformat(), ""),
        ("storm-drain/IPC 2012", "", "Alder Ferry's inspector"),
    )
    assert answer.status_code == 200, answer.text
    assert [(one.edition, one.since) for one in office.firm().editions] == [("IPC 2012", None), ("IPC 2021", later)]
    page = text_of(web.get("/quick-math/storm-drain").text)
    assert "By IPC 2012. The firm uses it. Alder Ferry's inspector" in page
    assert "78.13 gpm" in page  # 2,506 sq ft at 3 in/h, as the 2012 table prints
    typed = text_of(web.get("/quick-math/storm-drain?edition=IPC+2021").text)
    assert "the firm uses IPC 2012" in typed
    assert "115 gpm" in typed
    told = calc(capsys, "--data", str(office.settings.data), "calc", "storm-drain")
    assert "By: IPC 2012" in told
    assert "The firm uses it. Alder Ferry's inspector" in told
    told = calc(capsys, "--data", str(office.settings.data), "calc", "storm-drain", "edition=IPC 2021")
    assert "CAUTION The firm uses another edition: IPC 2012" in told
    assert "By: IPC 2021" in calc(capsys, "calc", "storm-drain")  # nobody named a firm
    office.clock.now += timedelta(days=4)  # type: ignore[attr-defined]
    page = text_of(web.get("/quick-math/storm-drain").text)
    assert "By IPC 2021. The firm uses it from" in page


def test_job_keeps_the_edition_of_the_day_it_was_priced(
    web: Browser, office: Office, monkeypatch, capsys: pytest.CaptureFixture[str]
) -> None:
    job_id: UUID = begun_job(office)
    day = going_by(office, job_id).day
    said(
        web,
        office,
        ("storm-drain/IPC 2012", "", ""),
        ("storm-drain/IPC 2021", (day + timedelta(days=5)).isoformat(), ""),
    )
    here = f"/quick-math/storm-drain?job={job_id}"
    assert "By IPC 2012" in text_of(web.get(here).text)
    office.clock.now += timedelta(days=6)  # type: ignore[attr-defined]
    assert "By IPC 2021" in text_of(web.get(here).text)  # a draft follows today
    printed = revisions.Revision(
        id="r", job_id=str(job_id), number=1, kind="proposal", state="offered", issued_at=f"{day}T15:00:00+00:00",
        holds_until=None, price_cents=None, job_counter=1, signers=(), files={},
    )  # fmt: skip
    monkeypatch.setattr(revisions, "of_job", lambda *_: [printed])
    page = text_of(web.get(here).text)
    assert "By IPC 2012" in page
    assert "keeps the edition of that day" in page
    told = calc(capsys, "--data", str(office.settings.data), "calc", "storm-drain", "--job", str(job_id))
    assert "By: IPC 2012" in told
    assert "keeps the edition of that day" in told
    monkeypatch.setattr(revisions, "of_job", lambda *_: [replace(printed, state="withdrawn")])
    assert "By IPC 2021" in text_of(web.get(here).text)


def test_answer_put_into_a_job_names_its_edition_on_record(web: Browser, office: Office) -> None:
    job_id = begun_job(office)
    said(web, office, ("gas-pipe/2012, 1.0 in w.c.", "2020-01-01", ""))
    page = web.get(f"/quick-math/gas-pipe/job?job={job_id}&heat=150000&length=60&content=1000")
    assert page.status_code == 200
    change = page.text.split('name="change_id" value="')[1].split('"')[0]
    sent = {"change_id": change, "where": "note", "heat": "150000", "length": "60", "content": "1000"}
    assert web.post(f"/quick-math/gas-pipe/job/{job_id}", sent).status_code in {200, 303}
    assert "1.0 in w.c. drop" in web.get(f"/jobs/{job_id}/history").text


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("storm-drain/IPC 1901", "", ""), "Choose a table and its edition"),
        (("storm-drain", "", ""), "Choose a table and its edition"),
        (("storm-drain/IPC 2012", "whenever", ""), "whenever"),
        (("storm-drain/IPC 2012", "", "x" * 201), "200 fit"),
    ],
)
def test_line_that_cannot_be_is_refused_beside_its_field(web: Browser, office: Office, line, words) -> None:
    answer = said(web, office, line)
    assert answer.status_code == 422
    assert words in answer.text
    assert office.firm().editions == ()


def test_two_editions_from_one_day_are_refused(web: Browser, office: Office) -> None:
    answer = said(web, office, ("storm-drain/IPC 2012", "2026-01-01", ""), ("storm-drain/IPC 2021", "2026-01-01", ""))
    assert answer.status_code == 422
    assert "begin on the same day" in answer.text


def test_every_printed_table_has_editions_and_every_such_input_its_table() -> None:
    assert all(len(editions_of(table)) > 1 for table in PRINTED)
    named = {one.table for each in CALCULATIONS.values() for one in each.by_edition}
    assert named == PRINTED.keys()
