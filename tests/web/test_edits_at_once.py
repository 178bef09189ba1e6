"""Several people who edit one job at the same moment: all is saved, and their answers share one estimate."""

import asyncio
from collections.abc import Iterator
from uuid import UUID, uuid4

import httpx2 as httpx
import pytest

from app.domain.plan.shapes import rectangle
from app.main import create_app
from app.services import zones
from app.web.access import SESSION, token_for
from tests.web.conftest import ORIGIN
from tests.web.yard import Yard, order

PEOPLE = 6


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Yard]:
    """A paved zone for each person."""
    made = Yard(tmp_path_factory.mktemp("yard"))
    for at in range(PEOPLE):
        new = zones.NewZone(title=f"Zone {at}", outline=rectangle(9, 7, at=(30.0 * at, 0)), assembly="unit-pavers")
        zones.add_zone(made.office, made.id, new, order())
    yield made
    made.close()


def paved(yard: Yard) -> list[UUID]:
    return [work.id for work in yard.works if work.assembly == "unit-pavers"]


def at_once(yard: Yard, inches: list[str]) -> list[httpx.Response]:
    """The depth of each zone's base, sent by everybody in one moment, each from a page of their own."""

    async def sent(one: httpx.AsyncClient, work: UUID, depth: str) -> httpx.Response:
        headers = {
            "origin": ORIGIN,
            "hx-request": "true",
            "x-outlay-token": token_for(yard.office, one.cookies[SESSION]),
        }
        told = {"name": "base", "formula": depth, "version": "1000000", "change_id": str(uuid4())}
        return await one.post(f"/jobs/{yard.id}/plan/work/{work}/parameter", data=told, headers=headers)

    async def everybody() -> list[httpx.Response]:
        app = create_app(yard.office)
        people = [httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url=ORIGIN) for _ in inches]
        for one in people:
            await one.get(f"/jobs/{yard.id}/plan")
        told = zip(people, paved(yard), inches, strict=True)
        found = await asyncio.gather(*[sent(one, work, depth) for one, work, depth in told])
        for one in people:
            await one.aclose()
        return found

    return asyncio.run(everybody())


def lists(page: str) -> str:
    return page.partition('<section class="lists">')[2].partition("</section>")[0]


def test_edits_sent_at_once_are_all_saved_and_worked_out_together(yard: Yard) -> None:
    at_once(yard, [f"{5 + at} in" for at in range(PEOPLE)])  # warm
    results = yard.office.database.memory["results"]
    before = results.made
    answers = at_once(yard, [f"{6 + at} in" for at in range(PEOPLE)])
    assert [one.status_code for one in answers] == [200] * PEOPLE
    own = {work.id: work.parameters["base"] for work in yard.works}
    assert [own[one] for one in paved(yard)] == [f"{6 + at}*inch" for at in range(PEOPLE)]
    assert 1 <= (results.made - before) // 2 <= PEOPLE // 3  # an estimate and its open points each


def test_answers_of_edits_sent_at_once_show_what_all_have_come_to(yard: Yard) -> None:
    answers = at_once(yard, [f"{6 + at} in" for at in range(PEOPLE)])
    price = yard.price
    yard.office.database.memory.clear()
    assert lists(answers[-1].text) == lists(yard.get("plan").text) != ""
    assert yard.price == price


def test_one_that_is_refused_among_them_takes_nothing_from_the_others(yard: Yard) -> None:
    before = {work.id: work.parameters.get("base") for work in yard.works}
    depths = ["6 in", "nonsense", *["7 in"] * (PEOPLE - 2)]
    answers = at_once(yard, depths)
    assert [one.status_code for one in answers] == [200, 422, *[200] * (PEOPLE - 2)]
    own = {work.id: work.parameters.get("base") for work in yard.works}
    assert [own[one] for one in paved(yard)] == ["6*inch", before[paved(yard)[1]], *["7*inch"] * (PEOPLE - 2)]
