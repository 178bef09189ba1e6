"""The client sheet: who and where, needs, the early range, the design agreement."""

import re
from collections.abc import Iterator
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from pypdf import PdfReader

from app.config import Settings
from app.db.files import FileStore
from app.domain.basis import Price
from app.domain.change import Edit
from app.domain.codec import to_plain
from app.interchange.library_file import load_library
from app.services import changes, jobs
from app.services.first_call import early_html, first_call
from app.services.jobs import Order, changed, save
from app.services.largest import largest_of
from app.services.office import Office, open_office
from app.services.sheets import sheet
from tests.conftest import TestClock
from tests.web.conftest import Browser


def job_of(web: Browser, job_id: UUID):
    return jobs.open_job(web.office, job_id).job


def post_job(web: Browser, job_id: UUID, focus: str, version: int = 1, **fields: str):
    path = f"/jobs/{job_id}/client/job/{job_id}"
    return web.post(path, {"version": version, "focus": focus, **fields}, htmx=True)


def test_client_sheet_opens_for_a_new_caller(web: Browser, job_id: UUID) -> None:
    answer = web.get(f"/jobs/{job_id}/client")
    assert answer.status_code == 200
    for words in ("Early range", "What they ask for", "Who and where", "Budget and dates", "Design agreement"):
        assert words in answer.text


def test_name_that_is_emptied_is_refused_beside_its_field(web: Browser, job_id: UUID) -> None:
    client = job_of(web, job_id).client
    path = f"/jobs/{job_id}/client/client/{client.id}"
    answer = web.post(path, {"version": 1, "focus": "who", "name": "", "phone": "555 0134"}, htmx=True)
    assert answer.status_code == 422
    assert "Name is empty" in answer.text
    assert 'value="555 0134"' in answer.text
    assert job_of(web, job_id).client.name == "Linnea Whitlock"


def test_budget_band_is_saved_and_a_bad_one_keeps_what_was_typed(web: Browser, job_id: UUID) -> None:
    assert post_job(web, job_id, "when", budget_low_cents="45,000", budget_high_cents="$60k").status_code in {200, 422}
    good = post_job(web, job_id, "when", budget_low_cents="45,000", budget_high_cents="60000")
    assert good.status_code == 200
    head = job_of(web, job_id).head
    assert (head.budget_low_cents, head.budget_high_cents) == (4_500_000, 6_000_000)
    bad = post_job(web, job_id, "when", 2, budget_low_cents="a lot")
    assert bad.status_code == 422
    assert 'value="a lot"' in bad.text


def test_need_is_typed_tied_to_a_zone_and_moved_to_nice_to_have(web: Browser, job_id: UUID) -> None:
    here = f"/jobs/{job_id}/client"
    web.post(f"/jobs/{job_id}/plan/zone/new", {"title": "Terrace", "kind": "dining"})
    zone = job_of(web, job_id).zones[0]
    assert web.post(f"{here}/need/new", {"words": "A table for ten", "must": "1"}, htmx=True).status_code == 200
    need = job_of(web, job_id).needs[0]
    assert need.must
    answer = web.post(
        f"{here}/need/{need.id}", {"version": 1, "must": "", "zone_ids.sent": "1", "zone_ids": str(zone.id)}, htmx=True
    )
    assert answer.status_code == 200
    need = job_of(web, job_id).needs[0]
    assert (need.must, need.zone_ids) == (False, (zone.id,))


def test_usual_needs_are_tapped_one_after_the_other(web: Browser, job_id: UUID) -> None:
    here = f"/jobs/{job_id}/client"
    for words in ("Light to eat by", "No more mud"):
        answer = web.post(f"{here}/need/new", {"words": words, "must": "1", "stay": "usual"}, htmx=True)
        assert '<details class="usual" open>' in answer.text
    assert [need.words for need in job_of(web, job_id).needs] == ["Light to eat by", "No more mud"]
    assert 'value="No more mud"' not in answer.text.split('<details class="usual"')[1]


def test_need_without_words_is_refused(web: Browser, job_id: UUID) -> None:
    answer = web.post(f"/jobs/{job_id}/client/need/new", {"words": " ", "must": "1"}, htmx=True)
    assert answer.status_code == 422
    assert "is empty" in answer.text


def test_stale_title_shows_both_values(web: Browser, job_id: UUID) -> None:
    assert post_job(web, job_id, "where", title="Side yard").status_code == 200
    answer = post_job(web, job_id, "where", title="Pool side")
    assert answer.status_code == 409
    assert "Side yard" in answer.text
    assert "Pool side" in answer.text
    assert "Use mine" in answer.text


def test_private_note_is_kept_and_undone(web: Browser, job_id: UUID) -> None:
    client = job_of(web, job_id).client
    path = f"/jobs/{job_id}/client/client/{client.id}"
    web.post(path, {"version": 1, "focus": "private", "private_note": "Calls at night"}, htmx=True)
    assert job_of(web, job_id).client.private_note == "Calls at night"
    assert web.post(f"/jobs/{job_id}/undo", {"sheet": "client"}, htmx=True).status_code == 200
    assert job_of(web, job_id).client.private_note == ""


@pytest.fixture
def stocked(tmp_path: Path) -> Iterator[Office]:
    """The shipped library with an invented price of $4.20 for everything."""
    opened = open_office(Settings(data=tmp_path / "stocked"), load_library().basis(), TestClock())
    edits = tuple(
        Edit(
            kind="price",
            thing_id=key,
            version=0,
            before=None,
            after=changes.fields_of(Price(material=key, unit_price=Decimal("4.20")), "price"),
        )
        for key in opened.shipped.materials
    )
    jobs.save(opened, None, edits, Order(change_id=uuid4()))
    yield opened
    opened.database.close()


@pytest.fixture
def caller(stocked: Office) -> tuple[Browser, UUID]:
    job_id = jobs.begin_job(stocked, jobs.NewJob(name="Teodor Asante"), Order(change_id=uuid4()))
    return Browser(stocked), job_id


def test_printed_early_range_carries_the_firms_mark(caller) -> None:
    """The mark is a picture the firm chose; without one the page has none."""
    web, job_id = caller
    post_job(web, job_id, "early", **{"early.dining.size": "medium"})
    office = web.office
    view = sheet(office, job_id)
    assert "<img" not in early_html(office, view)
    mark = FileStore(office.settings.files).keep(b"\x89PNG\r\n\x1a\nany")
    edit = changed("firm", office.firm_id, 1, {"mark": mark})
    save(office, None, (edit,), Order(change_id=uuid4()))
    html = early_html(office, sheet(office, job_id))
    assert 'class="mark"' in html
    assert "data:image/png;base64," in html


def test_bar_of_a_caller_says_no_price_until_something_is_asked_for(caller) -> None:
    web, job_id = caller
    for page in ("client", "estimate"):
        assert "No price yet." in web.get(f"/jobs/{job_id}/{page}").text  # what comes with every job is no price
    post_job(web, job_id, "early", **{"early.dining.size": "medium"})
    for page in ("client", "estimate"):
        assert "No price yet." not in web.get(f"/jobs/{job_id}/{page}").text


def test_early_range_of_two_ticks_is_told_in_whole_thousands(caller) -> None:
    web, job_id = caller
    answer = post_job(web, job_id, "early", **{"early.dining.size": "medium", "early.fire.size": "small"})
    assert answer.status_code == 200
    assert job_of(web, job_id).head.early == {"dining": "medium", "fire": "small"}
    together = answer.text.split("Together, with our own hours")[1]
    assert re.search(r"\$\d+k to \$\d+k", together.split("</p>")[0])


def test_typed_area_counts_before_the_size_and_a_tapped_size_takes_its_place(caller) -> None:
    web, job_id = caller
    post_job(web, job_id, "early", **{"early.lawn.size": "small", "early.lawn.area": "900", "early.lawn.was": ""})
    assert job_of(web, job_id).head.early == {"lawn": "900"}
    shown = {"early.lawn.area": "900 sq ft", "early.lawn.was": "900 sq ft"}
    post_job(web, job_id, "early", 2, **{**shown, "early.lawn.size": "large"})
    assert job_of(web, job_id).head.early == {"lawn": "large"}
    bad = post_job(
        web, job_id, "early", 3, **{"early.lawn.size": "large", "early.lawn.area": "big", "early.lawn.was": ""}
    )
    assert bad.status_code == 422
    assert 'value="big"' in bad.text


def test_way_in_makes_the_range_dearer(caller) -> None:
    web, job_id = caller
    post_job(web, job_id, "early", **{"early.dining.size": "large"})
    easy = first_call(web.office, sheet(web.office, job_id)).total
    site = job_of(web, job_id).site
    web.post(f"/jobs/{job_id}/client/site/{site.id}", {"version": 1, "focus": "access", "access": "hard"}, htmx=True)
    hard = first_call(web.office, sheet(web.office, job_id)).total
    assert hard.high > easy.high


def test_plan_begun_from_the_ticks_has_their_zones_with_recipes_and_is_undone_at_once(caller) -> None:
    web, job_id = caller
    post_job(web, job_id, "early", **{"early.cooking.size": "small", "early.path.size": "medium"})
    answer = web.post(f"/jobs/{job_id}/client/begin-plan")
    assert answer.headers["location"] == f"/jobs/{job_id}/plan"
    job = job_of(web, job_id)
    assert [zone.letter for zone in job.zones] == ["A", "B"]
    assert all(job.chosen(zone).outline for zone in job.zones)
    assert {"grill", "counter-block"} <= {work.assembly for work in job.works}
    assert all(to_plain(feature)["title"] for feature in job.features)
    again = web.post(f"/jobs/{job_id}/client/begin-plan", htmx=True)
    assert again.status_code == 422
    assert "has zones already" in again.text
    web.post(f"/jobs/{job_id}/undo", {"sheet": "client"})
    assert job_of(web, job_id).zones == ()


def test_plan_cannot_begin_from_nothing(web: Browser, job_id: UUID) -> None:
    answer = web.post(f"/jobs/{job_id}/client/begin-plan", htmx=True)
    assert answer.status_code == 422
    assert "Tick at least one" in answer.text


def test_missing_prices_are_named_instead_of_counted_as_nothing(tmp_path) -> None:
    office = open_office(Settings(data=tmp_path / "bare"), load_library().basis(), TestClock())
    job_id = jobs.begin_job(office, jobs.NewJob(name="Priya Lindqvist"), Order(change_id=uuid4()))
    answer = post_job(Browser(office), job_id, "early", **{"early.dining.size": "medium"})
    assert "Too low: something has no price yet" in answer.text
    office.database.close()


def test_early_range_that_lacks_prices_is_told_as_a_least_everywhere(tmp_path: Path) -> None:
    office = open_office(Settings(data=tmp_path / "bare"), load_library().basis(), TestClock())
    job_id = jobs.begin_job(office, jobs.NewJob(name="Priya Lindqvist"), Order(change_id=uuid4()))
    web = Browser(office)
    text = post_job(web, job_id, "early", **{"early.dining.size": "medium"}).text
    early = first_call(office, sheet(office, job_id))
    assert early.missing
    low = f"${early.total.low // 100_000}k"
    assert f"{low} to" not in text
    assert text.count(f"more than {low}") == 3  # the zone, which is all there is; together; the margin
    assert re.search(rf"more than \$[\d,]+: {early.missing} without a price", text)  # the bar
    book = web.get(f"/prices?show=missing&job={job_id}").text
    assert f"waits for {early.missing} prices" in book
    assert book.count('name="unit_price"') == early.missing + 1  # and that of a material of our own
    assert len(office.basis().materials) > early.missing
    office.database.close()


def test_early_range_with_every_price_is_a_band(caller) -> None:
    web, job_id = caller
    text = post_job(web, job_id, "early", **{"early.dining.size": "medium"}).text
    assert "more than" not in text
    assert "prices are missing" not in text
    assert "waits for no price any more" in web.get(f"/prices?show=missing&job={job_id}").text


@pytest.mark.printed
def test_early_range_prints_as_one_page_that_says_it_is_no_offer(caller) -> None:
    web, job_id = caller
    post_job(web, job_id, "early", **{"early.dining.size": "medium", "early.fire.size": "small"})
    client = job_of(web, job_id).client
    path = f"/jobs/{job_id}/client/client/{client.id}"
    web.post(path, {"version": 1, "focus": "private", "private_note": "zzsecretzz"}, htmx=True)
    answer = web.get(f"/jobs/{job_id}/client/early-range.pdf")
    assert answer.status_code == 200
    pages = PdfReader(BytesIO(answer.content)).pages
    text = pages[0].extract_text()
    assert len(pages) == 1
    assert "not an offer" in text
    assert "Teodor Asante" in text
    assert "zzsecretzz" not in text
    assert "margin" not in text.lower()


def test_early_range_is_not_printed_from_nothing_or_without_prices(web: Browser, job_id: UUID, tmp_path: Path) -> None:
    assert web.get(f"/jobs/{job_id}/client/early-range.pdf").status_code == 409
    office = open_office(Settings(data=tmp_path / "bare"), load_library().basis(), TestClock())
    bare = jobs.begin_job(office, jobs.NewJob(name="Priya Lindqvist"), Order(change_id=uuid4()))
    post_job(Browser(office), bare, "early", **{"early.dining.size": "medium"})
    answer = Browser(office).get(f"/jobs/{bare}/client/early-range.pdf")
    assert answer.status_code == 409
    assert "too low" in answer.text
    office.database.close()


def test_early_range_leads_to_what_makes_most_of_it_and_marks_the_price_that_stands_out(caller) -> None:
    web, job_id = caller
    answer = post_job(web, job_id, "early", **{"early.dining.size": "medium"})
    assert "What makes most of it" in answer.text
    assert "stands out" not in answer.text
    dearest = next(one for one in largest_of(web.office, sheet(web.office, job_id), early=True) if one.unit_price)
    slipped = changed("price", dearest.key, 1, {"unit_price": Decimal(420)})
    save(web.office, None, (slipped,), Order(change_id=uuid4()))
    page = web.get(f"/jobs/{job_id}/client").text
    assert "a price that stands out" in page
    assert "100 times what the book said before" in page
    assert f"/prices?focus={dearest.key}#row-{dearest.key}" in page
    assert "The book before" in web.get(f"/jobs/{job_id}/why/largest:early:price:{dearest.key}").text
