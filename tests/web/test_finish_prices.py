"""What a finish does to the price stands beside its sample, and choosing it does just that."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from urllib.parse import quote

import pytest

from app.services import palette
from app.services.finish_prices import finish_prices
from app.services.office import Office
from app.services.palette import Chosen
from app.services.sheets import sheet
from tests.stocked import begun_job, order, stocked_basis, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


def test_choosing_a_finish_moves_the_price_by_what_was_said(office: Office) -> None:
    job_id = begun_job(office)
    now = sheet(office, job_id).estimate.price_cents
    told = finish_prices(office, sheet(office, job_id), "finish")
    assert len({one.by_cents for one in told}) > 1
    furthest = max(told, key=lambda one: abs(one.by_cents))
    palette.choose(office, job_id, Chosen(role="finish", material=furthest.material), order())
    assert sheet(office, job_id).estimate.price_cents - now == furthest.by_cents != 0
    again = {one.material: one for one in finish_prices(office, sheet(office, job_id), "finish")}
    assert again[furthest.material].by_cents == 0


def test_they_come_by_themselves_or_with_the_sheet_and_each_opens(office: Office) -> None:
    web, job_id = Browser(office), begun_job(office)
    here = f"/jobs/{job_id}/palette"
    bare = web.get(f"{here}?focus=role:finish").text
    assert f'hx-get="{here}/prices?role=finish"' in bare
    assert "/why/finish:" not in bare, "nothing is worked out before it is asked for"
    part = web.get(f"{here}/prices?role=finish", headers={"hx-request": "true"}).text
    whole = web.get(f"{here}/prices?role=finish").text
    doors = re.findall(r'<a class="door" href="([^"]*/why/finish:[^"]*)"[^>]*>(.*?)</a>', part)
    assert doors == re.findall(r'<a class="door" href="([^"]*/why/finish:[^"]*)"[^>]*>(.*?)</a>', whole)
    assert doors
    for href, words in doors:
        assert text_of(words).lstrip("+−") in text_of(web.get(href).text)


def test_a_role_that_is_not_there_is_not_found(office: Office) -> None:
    web, job_id = Browser(office), begun_job(office)
    asked = web.get(f"/jobs/{job_id}/palette/prices?role={quote('no such role')}", headers={"hx-request": "true"})
    assert asked.status_code == 404
    assert web.get(f"/jobs/{job_id}/palette/prices?role=x").status_code == 200
    assert web.get(f"/jobs/{job_id}/why/finish:finish:nothing").status_code == 404


def test_a_finish_without_a_price_says_so_and_no_difference(tmp_path: Path) -> None:
    stocked = stocked_basis()
    key = min(one.key for one in stocked.materials.values() if one.role == "finish" and one.finish)
    prices = {one: price for one, price in stocked.prices.items() if one != key}
    office = stocked_office(tmp_path / "unpriced", replace(stocked, prices=prices))
    web, job_id = Browser(office), begun_job(office)
    told = {one.material: one.known for one in finish_prices(office, sheet(office, job_id), "finish")}
    assert [one for one, known in told.items() if not known] == [key]
    part = web.get(f"/jobs/{job_id}/palette/prices?role=finish", headers={"hx-request": "true"}).text
    assert part.count("no price yet") == 1
    office.database.close()
