"""From cost to price on one page, forward, part by part and backwards; a job on terms of its own."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.domain.costing.parts import PARTS, by_part
from app.services import jobs
from app.services.explaining import explained
from app.services.office import Office
from app.services.sheets import sheet
from tests.stocked import begun_job, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of

DOOR = re.compile(r'class="door" href="[^"]*/why/([^"]+)"[^>]*>(.*?)</a>', re.DOTALL)


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def job_id(office: Office) -> UUID:
    return begun_job(office)


@pytest.fixture
def post(web: Browser, job_id: UUID):
    return lambda path, **fields: web.post(
        f"/jobs/{job_id}/price/{path}", {"change_id": str(uuid4()), "version": "1000000", **fields}
    )


def doors(page: str) -> list[tuple[str, str]]:
    return [(unescape(figure), text_of(words)) for figure, words in DOOR.findall(page)]


def shown_at(office: Office, job_id: UUID, figure: str) -> float:
    return explained(office, sheet(office, job_id), figure.replace("%20", " ")).result


def read_money(words: str) -> float:
    return float(words.replace("$", "").replace(",", "").replace("−", "-"))


@pytest.mark.parametrize("by", ["zone", "phase", "class"])
def test_every_figure_of_the_page_opens_to_itself(web: Browser, office: Office, job_id: UUID, by: str) -> None:
    page = web.get(f"/jobs/{job_id}/price?price=60000&by={by}").text
    found = doors(page.split("<main", 1)[1])
    assert len(found) > 40
    for figure, words in found:
        result = shown_at(office, job_id, figure)
        if "%" in words:
            assert float(words.replace("%", "").replace("−", "-")) == pytest.approx(result, abs=0.006), figure
        elif "$" in words:
            assert read_money(words) == pytest.approx(result, abs=0.006), figure


@pytest.mark.parametrize("by", list(PARTS.values()))
def test_parts_add_up_to_every_step_to_the_cent(office: Office, job_id: UUID, by) -> None:
    view = sheet(office, job_id)
    parts = by_part(by, view.job, view.basis, view.estimate)
    for step in view.estimate.build_up.steps:
        assert sum(one.steps[step.name] for one in parts) == step.cents
    assert sum(one.sum_of("price") for one in parts) == view.estimate.price_cents
    assert sum(one.sum_of("cost") for one in parts) == view.estimate.cost_cents
    assert all(one.sum_of("price") == one.group.price_cents for one in parts)


def test_price_below_break_even_and_below_cost_is_said(web: Browser, office: Office, job_id: UUID) -> None:
    worked = sheet(office, job_id).estimate
    short = (worked.cost_cents + worked.build_up.passed_on_cents) // 100 - 100
    assert "Below break-even" in web.get(f"/jobs/{job_id}/price?price={short}").text
    assert "Below cost" in web.get(f"/jobs/{job_id}/price?price={short // 2}").text
    assert "Below" not in text_of(web.get(f"/jobs/{job_id}/price?price={short * 2}").text)


def test_margin_set_for_this_job_is_recorded_undone_and_never_silent(
    web: Browser, office: Office, job_id: UUID, post
) -> None:
    before = sheet(office, job_id).estimate.price_cents
    asked = before - 500_00
    answer = post("own-margin", price=f"{asked / 100:.2f}", own_margin_reason="First yard on the street")
    assert answer.status_code == 303
    view = sheet(office, job_id)
    assert view.estimate.price_cents == asked
    assert (view.job.head.own_margin_reason, view.job.head.price_set_by) == ("First yard on the street", "Maren Oduya")
    for path in ("price", "estimate"):
        page = text_of(web.get(f"/jobs/{job_id}/{path}").text)
        assert "terms of its own" in page
        assert "First yard on the street" in page
    jobs.undo(office, job_id, uuid4())
    assert sheet(office, job_id).estimate.price_cents == before


def test_named_adjustment_is_a_step_of_its_own_and_is_taken_back(office: Office, job_id: UUID, post, web) -> None:
    before = sheet(office, job_id).estimate
    asked = before.price_cents + 1_234_00
    said = {"adjustment_title": "Winter start", "adjustment_reason": "Crew is free in January"}
    assert post("adjustment", price=f"{asked / 100:.2f}", **said).status_code == 303
    view = sheet(office, job_id)
    assert view.estimate.price_cents == asked
    step = view.estimate.build_up.step("adjustment")
    assert step.words == "Winter start"
    assert view.estimate.build_up.step("profit") == before.build_up.step("profit")
    assert "Winter start" in text_of(web.get(f"/jobs/{job_id}/estimate").text)
    assert post("as-the-firm").status_code == 303
    assert sheet(office, job_id).estimate.price_cents == before.price_cents


def test_typed_margin_gives_its_price_and_is_kept_as_typed(web: Browser, office: Office, job_id: UUID, post) -> None:
    page = web.get(f"/jobs/{job_id}/price?margin=20").text
    priced = [read_money(words) for figure, words in doors(page) if figure.endswith(":price") and "left" in figure]
    assert post("own-margin", margin="20", own_margin_reason="Steep yard").status_code == 303
    view = sheet(office, job_id)
    assert view.estimate.price_cents == round(priced[0] * 100)
    assert str(view.job.head.own_margin) == "0.2"


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("price=much", "“much”"),
        ("price=0", "does not pay"),
        ("margin=100", "leaves nothing"),
        ("margin=x", "percentage"),
    ],
)
def test_what_cannot_be_read_backwards_is_a_sentence(web: Browser, job_id: UUID, asked: str, words: str) -> None:
    answer = web.get(f"/jobs/{job_id}/price?{asked}")
    assert answer.status_code == 422
    assert words in text_of(answer.text)
    assert f'value="{asked.partition("=")[2]}"' in answer.text


def test_terms_without_a_reason_change_nothing(office: Office, job_id: UUID, post) -> None:
    before = jobs.open_job(office, job_id).counter
    refused = post("own-margin", price="60000")
    assert refused.status_code == 422
    assert "Why is empty" in text_of(refused.text)
    assert post("adjustment", price="60000", adjustment_title="Winter").status_code == 422
    assert post("own-margin", own_margin_reason="because").status_code == 422
    assert jobs.open_job(office, job_id).counter == before


def test_empty_job_says_what_to_do_first(web: Browser, office: Office) -> None:
    bare = jobs.begin_job(office, jobs.NewJob(name="Teodor Asante"), jobs.Order(change_id=uuid4()))
    for work in jobs.open_job(office, bare).job.works:
        jobs.save(
            office, bare, jobs.removal(jobs.open_job(office, bare), "work", work.id), jobs.Order(change_id=uuid4())
        )
    assert "Nothing is priced yet" in web.get(f"/jobs/{bare}/price").text


def test_risk_is_offered_listed_changed_and_taken_off(web: Browser, office: Office, job_id: UUID, post) -> None:
    page = text_of(web.get(f"/jobs/{job_id}/price").text)
    assert "Old footings or walls below ground" in page
    assert sheet(office, job_id).job.risks == ()
    assert post("offered-risk/old-footings").status_code == 303
    one = sheet(office, job_id).job.risks[0]
    cents = sheet(office, job_id).estimate.build_up.step("risks").cents
    assert cents > 0
    fields = {
        "title": one.title,
        "chance": "50",
        "likely_cents": "2,000",
        "low_cents": "",
        "high_cents": "",
        "version": "1",
    }
    assert post(f"risk/{one.id}", **fields, carried_by="us").status_code == 303
    assert sheet(office, job_id).estimate.build_up.step("risks").cents == 1_000_00
    assert post(f"risk/{one.id}", chance="often", version="2").status_code == 422
    opened = web.get(f"/jobs/{job_id}/price?focus=risk:{one.id}").text
    assert 'value="2,000"' in opened or 'value="2000"' in opened
    assert post(f"risk/{one.id}/remove").status_code == 303
    assert sheet(office, job_id).estimate.build_up.step("risks").cents == 0
    assert post("offered-risk/none").status_code == 404


def test_risk_of_ones_own_is_added(office: Office, job_id: UUID, post) -> None:
    said = {"title": "Neighbor's fence leans on ours", "chance": "20", "likely_cents": "800", "carried_by": "us"}
    assert post("risk/new", **said).status_code == 303
    assert sheet(office, job_id).estimate.build_up.step("risks").cents == 160_00


def test_tax_of_a_work_and_of_the_yard_are_said_with_reason_place_and_day(
    web: Browser, office: Office, job_id: UUID, post
) -> None:
    page = text_of(web.get(f"/jobs/{job_id}/price").text)
    assert "Labor: not taxed unless it is said" in page
    worked = sheet(office, job_id).estimate
    paid = [
        line.work_id for line, tax in zip(worked.lines, worked.build_up.step("material tax").shares, strict=True) if tax
    ]
    work = next(one for one in sheet(office, job_id).job.works if str(one.id) == paid[0])
    before = sheet(office, job_id).estimate.build_up.step("material tax").cents
    assert post("tax/work", work_id=work.id, tax="exempt").status_code == 422
    assert (
        post("tax/work", work_id=work.id, tax="exempt", tax_reason="Repair, said the state office").status_code == 303
    )
    assert sheet(office, job_id).estimate.build_up.step("material tax").cents < before
    assert "Repair, said the state office" in text_of(web.get(f"/jobs/{job_id}/price").text)
    assert post("tax/work", work_id=work.id, tax="").status_code == 303
    assert post("tax/rate", tax_rate="8").status_code == 422
    assert post("tax/rate", tax_rate="8", tax_place="Mill Race", tax_on="2027-03-01").status_code == 303
    after = sheet(office, job_id)
    assert after.estimate.build_up.step("material tax").words == "8%"
    assert "Mill Race, as of" in text_of(web.get(f"/jobs/{job_id}/price").text)
    assert post("tax/rate", tax_rate="").status_code == 303
    assert sheet(office, job_id).estimate.build_up.step("material tax").cents == before
    assert post("tax/work", work_id=uuid4(), tax="").status_code == 404
