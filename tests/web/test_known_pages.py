"""Hours, wins, margins, crews: each says what feeds it while empty, adds up over jobs, opens its figures, leaves as CSV."""

import csv
import io
import re
from collections.abc import Iterator
from datetime import timedelta
from html import unescape
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.domain.job import LoggedReceipt, PaidOut, Stage, WarrantyCall
from app.services import jobs, known
from app.services.callbacks import known_calls
from app.services.jobs import changed, made
from app.services.office import Office
from tests.signed_cheaply import bids, logged, read, signed, to_stage
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of

HERE = "/firm/known"
DOOR = re.compile(r'class="door" href="([^"]+)"')
PAGES = {
    "hours": "No finished work yet",
    "wins": "Nobody has called yet",
    "margins": "No job is signed yet",
    "crews": "Nothing is ahead",
    "calls": "No call yet",
    "prices": "No price was changed yet",
}


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def web(office: Office) -> Browser:
    return Browser(office)


def table(web: Browser, name: str) -> list[dict[str, str]]:
    answer = web.get(f"{HERE}/{name}.csv")
    assert answer.headers["content-type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


@pytest.fixture
def built(office: Office) -> tuple[UUID, UUID, UUID]:
    """A closed job over its hours, one under way with a phase ahead, one that went elsewhere."""
    closed, ahead, lost = (begun_job(office) for _ in range(3))
    bid = bids(office, closed)["lay-pavers"]
    for job_id in (closed, ahead):
        signed(office, job_id)
    logged(office, closed, {bid: bid.hours * 1.5})
    day = office.clock().date()
    spent = (
        made("logged_receipt", LoggedReceipt(id=uuid4(), day=day, cents=812_34, merchant="=Alder Stone Yard")),
        made("paid_out", PaidOut(id=uuid4(), day=day, cents=4_000_00, to="Stoltz Electric")),
    )
    jobs.save(office, closed, spent, order())
    opened = jobs.open_job(office, ahead)
    phase = opened.job.phases[0]
    days = {"start": day.isoformat(), "done": (day + timedelta(days=9)).isoformat()}
    jobs.save(office, ahead, (changed("phase", phase.id, opened.version("phase", phase.id), days),), order())
    to_stage(office, closed, Stage.DONE)
    to_stage(office, lost, Stage.LOST)
    for job_id, words in ((closed, "neighbor"), (ahead, "Neighbor"), (lost, "=A sign")):
        client = jobs.open_job(office, job_id)
        version = client.version("client", client.job.client.id)
        jobs.save(office, job_id, (changed("client", client.job.client.id, version, {"found_us": words}),), order())
    read(office)
    return closed, ahead, lost


def test_empty_pages_say_what_feeds_them(web: Browser) -> None:
    hub = web.get(HERE).text
    for name, words in PAGES.items():
        assert f'href="{HERE}/{name}"' in hub
        assert words in text_of(web.get(f"{HERE}/{name}").text)
        if name != "prices":
            assert table(web, name) == []
    assert web.get(f"{HERE}/moon.csv", follow_redirects=False).headers["location"] == HERE
    assert web.get(f"{HERE}/why/hours:task:moon").status_code == 404
    assert web.get(f"{HERE}/why/won:source:²").status_code == 404


def test_every_figure_opens(web: Browser, built: tuple[UUID, ...]) -> None:
    doors = {unescape(one) for name in PAGES for one in DOOR.findall(web.get(f"{HERE}/{name}").text)}
    assert {one.split("/why/")[1].split(":")[0] for one in doors} == {
        "hours", "cost", "won", "sum", "margin", "made", "week",
    }  # fmt: skip
    shut = [one for one in doors if web.get(one, headers={"hx-request": "true"}).status_code != 200]
    assert shut == []


def test_hours_by_task_and_crew_are_those_of_finished_work(
    web: Browser, office: Office, built: tuple[UUID, ...]
) -> None:
    found = known.known_hours(office)
    (task,) = found.tasks
    assert task.over == pytest.approx(0.5, abs=0.02)
    assert task.over_cents == pytest.approx(sum(one.bid_cents for one in task.rows) / 2, rel=0.04)
    (crew,) = found.crews
    assert crew.hours == task.hours
    (row,) = table(web, "hours")
    assert row["Finished"] == "yes"
    assert float(row["Hours logged"]) == task.hours
    page = text_of(web.get(f"{HERE}/hours").text)
    assert task.title in page


def test_margin_bid_and_made_add_up(web: Browser, office: Office, built: tuple[UUID, ...]) -> None:
    found = known.known_margins(office)
    (closed,), (ahead,) = found.closed, found.under_way
    assert closed.receipts == 812_34
    assert closed.paid_out == 4_000_00
    assert closed.bid == ahead.bid > 0
    hours = known.known_hours(office).rows[0]
    assert closed.labor == pytest.approx(hours.bid_cents * hours.hours / hours.bid, abs=1)
    opened = jobs.open_job(office, built[0])
    from app.domain.costing.estimate import estimate

    worked = estimate(opened.job, opened.basis)
    own = sum(line.cents for line in worked.lines if line.cost_class == "own hours")
    assert closed.bid == sum(line.cents for line in worked.lines) - own
    assert closed.contract == worked.price_cents - worked.build_up.step("sales tax").cents
    assert len(table(web, "margins")) == 2
    page = text_of(web.get(f"{HERE}/margins").text)
    assert "Closed jobs in all" in page
    assert "Under way" in page


def test_wins_by_source_and_band(web: Browser, office: Office, built: tuple[UUID, ...]) -> None:
    found = known.known_wins(office)
    assert [(one.key, one.won, one.lost) for one in found.sources] == [("neighbor", 2, 0), ("=A sign", 0, 1)] or [
        (one.key.casefold(), one.won, one.lost) for one in found.sources
    ] == [("neighbor", 2, 0), ("=a sign", 0, 1)]
    assert sum(len(one.asked) for one in found.bands) == 3
    assert found.all.share == pytest.approx(2 / 3)
    rows = table(web, "wins")
    assert [row["How they found us"] for row in rows][-1] == "'=A sign", "no spreadsheet runs it"


def test_crews_ahead_hold_what_is_left(web: Browser, office: Office, built: tuple[UUID, ...]) -> None:
    load = known.known_crews(office)
    placed = sum(week.signed for week in load.weeks)
    assert placed > 0
    assert all(one.signed for one in load.unplaced)
    before = placed + load.later + sum(one.hours for one in load.unplaced)
    bid = bids(office, built[1])["lay-pavers"]
    logged(office, built[1], {bid: 3.0}, done=False)
    after = known.known_crews(office)
    left = sum(week.signed for week in after.weeks) + after.later + sum(one.hours for one in after.unplaced)
    assert before - left == pytest.approx(3.0)
    logged(office, built[1], {bid: 0.25})
    done = known.known_crews(office)
    left = sum(week.signed for week in done.weeks) + done.later + sum(one.hours for one in done.unplaced)
    assert before - left == pytest.approx(bid.hours)
    assert "Crews have" in text_of(web.get(f"{HERE}/crews").text)


def test_what_is_offered_stands_beside_what_is_signed(office: Office) -> None:
    job_id = begun_job(office)
    signed(office, job_id, state="offered")
    read(office)
    load = known.known_crews(office)
    assert load.unplaced
    assert not any(one.signed for one in load.unplaced)
    assert known.known_margins(office).closed == ()


def test_pages_read_what_was_signed_since_by_themselves(web: Browser, office: Office) -> None:
    for _ in range(2):
        signed(office, begun_job(office))
    page = text_of(web.get(f"{HERE}/margins").text)
    assert "Whitlock" in page or "being read" in page, "as fast as it may be"
    assert web.get(f"{HERE}/read?back=margins", follow_redirects=False).headers["location"] == f"{HERE}/margins"
    assert "Whitlock" in text_of(web.get(f"{HERE}/margins").text)
    assert web.get(f"{HERE}/read?back=//evil", follow_redirects=False).headers["location"] == HERE


def test_any_number_of_jobs_is_summed_by_the_same_few_statements(office: Office, built: tuple[UUID, ...]) -> None:
    def asked() -> int:
        from sqlalchemy import event

        counted: list[str] = []
        engine = office.database._engine

        def count(_c, _cursor, statement, *_more) -> None:
            counted.append(statement)

        event.listen(engine, "before_cursor_execute", count)
        for one in (known.known_hours, known.known_margins, known.known_wins, known.known_crews):
            one(office)
        event.remove(engine, "before_cursor_execute", count)
        return len(counted)

    few = asked()
    for _ in range(3):
        signed(office, begun_job(office))
    read(office)
    known.known_hours(office)
    assert asked() <= few


def test_calls_after_hand_over_stand_by_recipe_and_cost_what_the_bid_paid(
    web: Browser, office: Office, built: tuple[UUID, ...]
) -> None:
    day = office.clock().date()
    told = {"day": day, "assembly": "unit-pavers", "batch": "K 4471"}
    calls = (
        WarrantyCall(id=uuid4(), what="A paver rocks", quarters=6, cents=40_00, done_on=day, **told),
        WarrantyCall(id=uuid4(), what="=Joints", quarters=4, covered=False, **told),
        WarrantyCall(id=uuid4(), day=day, what="A shrub died", cause="plant", cents=85_00),
    )
    jobs.save(office, built[0], tuple(made("warranty_call", one) for one in calls), order())
    found = known_calls(office)
    recipe, rest = found.by["recipe"]
    assert (recipe.title, len(recipe.calls), recipe.open) == (
        office.basis().assemblies["unit-pavers"].title,
        2,
        1,
    )
    assert (rest.title, rest.cents) == ("not said", 85_00)
    bid = known.known_hours(office).rows[0]
    assert recipe.cents > 40_00, "an hour and a half of the crew, at the mean of the bid"
    assert bid.bid_cents
    assert sum(one.cents for one in found.by["cause"]) == sum(one.cents for one in found.calls)
    doors = [unescape(one) for one in DOOR.findall(web.get(f"{HERE}/calls").text)]
    assert [one for one in doors if web.get(one, headers={"hx-request": "true"}).status_code != 200] == []
    assert {row["What"] for row in table(web, "calls")} == {"A paver rocks", "'=Joints", "A shrub died"}
