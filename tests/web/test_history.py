"""The record of a job in words: who changed what from what to what, and the newest taken back."""

from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest

from app.documents.formats import Formats
from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.plan.shapes import circle
from app.services import jobs
from app.services.history import PAGE
from app.services.jobs import changed
from app.services.office import Office
from app.web.change_words import Telling
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    return begun_job(office)


def said(web: Browser, job_id: UUID, query: str = "") -> str:
    answer = web.get(f"/jobs/{job_id}/history{query}")
    assert answer.status_code == 200
    return text_of(answer.text)


def set_fields(office: Office, job_id: UUID, kind: str, thing, **fields) -> None:
    opened = jobs.open_job(office, job_id)
    jobs.save(office, job_id, (changed(kind, thing.id, opened.version(kind, thing.id), fields),), order(kind))


def test_fields_are_told_before_and_after_with_the_labels_of_their_forms(web: Browser, office: Office, yard: UUID):
    job = jobs.open_job(office, yard).job
    set_fields(office, yard, "job", job.head, budget_high_cents=6_000_000, wanted_done="2027-06-01")
    set_fields(office, yard, "site", job.site, access_width=3.5, slope=0.02)
    set_fields(office, yard, "alternative", job.chosen(job.zones[0]), outline=to_plain(circle(10)), measured="sketch")
    set_fields(office, yard, "zone", job.zones[0], phase_id=str(job.phases[1].id), words="Where you eat")
    words = said(web, yard)
    assert "Budget to nothing → $60,000" in words
    assert "Wanted done nothing → " in words
    assert "Narrowest way in nothing → 3'-6\"" in words
    assert "Outline an outline of 252 sq ft → an outline of 314 sq ft" in words
    assert "How it was measured taped → sketch" in words
    assert "Phase 1 This spring → 2 Next year" in words
    assert "Maren Oduya" in words


def test_rows_are_told_by_those_that_changed_and_many_by_how_many_they_are(office: Office, yard: UUID) -> None:
    telling = Telling(fmt=Formats("feet", "USD"), basis=office.basis(), names={})
    was = [{"title": f"Stone {at}", "price_cents": 954 * at, "batch": ""} for at in range(4)]
    now = [*was[:3], {**was[3], "batch": "B7"}]

    def told(before: object, after: object) -> list[tuple[str, str, str]]:
        edit = Edit(kind="supply_order", thing_id="1", version=1, before={"lines": before}, after={"lines": after})
        return [field for one in telling.edits([edit]) for field in one.fields]

    assert told(was, now) == [("Lines", "Stone 3 price $28.62", "Stone 3 price $28.62, batch B7")]
    assert told([], was) == [("Lines", "nothing", "4: Stone 0, Stone 1, Stone 2 and 1 more")]
    assert told(was, was[::-1])[0][1:] == (
        "4: Stone 0, Stone 1, Stone 2 and 1 more",
        "4: Stone 3, Stone 2, Stone 1 and 1 more",
    )


def test_what_was_made_and_taken_out_is_named(web: Browser, office: Office, yard: UUID):
    opened = jobs.open_job(office, yard)
    jobs.save(office, yard, jobs.removal(opened, "zone", opened.job.zones[1].id), order("Taken out"))
    words = said(web, yard)
    assert "Zone “Long bed” taken out" in words
    assert "Zone “Dining terrace” made" in words
    assert "Recipe “Supervision” made" in words


def test_newest_is_taken_back_and_both_stay_in_the_record(web: Browser, office: Office, yard: UUID):
    zone = jobs.open_job(office, yard).job.zones[0]
    set_fields(office, yard, "zone", zone, title="Supper terrace")
    assert "Take back the newest: zone" in said(web, yard)
    answer = web.post(f"/jobs/{yard}/undo", {"sheet": "history"}, htmx=True)
    assert answer.status_code == 200
    assert jobs.open_job(office, yard).job.zones[0].title == "Dining terrace"
    words = said(web, yard)
    assert "Taken back: zone" in words
    assert "taken back since" in words
    assert "Supper terrace → Dining terrace" in words


def test_older_pages_offer_no_taking_back_and_other_jobs_are_not_told(web: Browser, office: Office, yard: UUID):
    other = begun_job(office)
    set_fields(office, other, "zone", jobs.open_job(office, other).job.zones[0], title="Next door")
    words = said(web, yard)
    assert "Next door" not in words
    assert "Maren Oduya" in words
    assert "Take back the newest" not in said(web, yard, "?before=99999")
    assert words.index("Zone “Long bed” made") < words.index("Zone “Dining terrace” made")


def test_order_of_things_and_editions_of_recipes_are_no_news(web: Browser, office: Office, yard: UUID):
    zone = jobs.open_job(office, yard).job.zones[0]
    set_fields(office, yard, "zone", zone, position=7, title="Supper terrace")
    words = said(web, yard)
    assert "Supper terrace" in words
    assert "→ 7" not in words


def test_long_record_is_read_a_page_at_a_time(web: Browser, office: Office, yard: UUID):
    for count in range(PAGE + 5):
        set_fields(office, yard, "zone", jobs.open_job(office, yard).job.zones[0], title=f"Terrace {count}")
    first = web.get(f"/jobs/{yard}/history").text
    assert "Older changes" in first
    assert "Taken back" not in first
    older = first.rpartition("?before=")[2].partition('"')[0]
    second = said(web, yard, f"?before={older}")
    assert "→ Terrace 64" not in second
    assert "Dining terrace → Terrace 0" in second
    assert "Take back the newest" not in second


@pytest.mark.parametrize("before", ["x", "-1", "9" * 40, "0"])
def test_page_of_the_record_that_is_none_is_answered(web: Browser, yard: UUID, before: str):
    assert web.get(f"/jobs/{yard}/history?before={before}").status_code == 200
