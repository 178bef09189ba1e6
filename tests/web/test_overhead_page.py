"""The overhead worksheet: a year typed, the rates that recover it taken and undone, every figure open."""

import re
from decimal import Decimal
from html import unescape
from pathlib import Path

import pytest

from app.config import Settings
from app.interchange.library_file import load_library
from app.services import overhead
from app.services.office import open_office
from tests.conftest import TestClock
from tests.web.conftest import Browser
from tests.web.yard import text_of

HERE = "/firm/worksheet/overhead"
YEAR = {
    "year.sales": "560,000",
    "year.hours": "4000",
    "year.jobs": "14",
    "year.direct.material": "200000",
    "year.direct.labor": "120000",
    "year.direct.own hours": "30000",
    "year.direct.subcontract": "50000",
    "overhead_method": "both",
}
ITEMS = {
    "items.0.title": "Rent of the yard",
    "items.0.cents": "18,000",
    "items.0.kind": "place",
    "items.0.carried_by": "all",
    "items.1.title": "Truck",
    "items.1.cents": "6000",
    "items.1.kind": "vehicles",
    "items.1.carried_by": "hours",
}
DOOR = re.compile(r'class="door" href="([^"]+)"[^>]*>(.*?)</a>', re.DOTALL)


@pytest.fixture
def shop(tmp_path: Path):
    opened = open_office(Settings(data=tmp_path / "shop"), load_library().basis(), TestClock())
    yield Browser(opened)
    opened.database.close()


def save(shop: Browser, version: int = 1, **fields: str):
    return shop.post(HERE, {"version": version, **ITEMS, **YEAR, **fields}, htmx=True)


def test_worksheet_offers_the_usual_items_without_money(shop: Browser) -> None:
    page = shop.get(HERE).text
    assert "Bills that are never paid" in page
    assert 'name="items.0.cents"' in page
    assert shop.office.firm().overhead_items == ()


def test_year_is_kept_and_its_rates_are_only_proposed(shop: Browser) -> None:
    before = shop.office.firm().overhead
    page = text_of(save(shop).text)
    firm = shop.office.firm()
    assert [(one.title, one.cents, one.carried_by) for one in firm.overhead_items] == [
        ("Rent of the yard", 18_000_00, "all"),
        ("Truck", 6_000_00, "hours"),
    ]
    assert firm.year is not None
    assert (firm.year.sales_cents, firm.year.billable_hours, firm.year.jobs) == (560_000_00, Decimal(4000), 14)
    assert firm.overhead == before
    # rent 18,000 / 400,000 = 4.5 %; truck 6,000 / 4,000 h = 1.50; break-even 24,000 / (160,000 / 560,000) = 84,000
    for said in ("4.5%", "$1.50", "$84,000"):
        assert said in page


def test_rates_are_taken_in_one_change_and_undone(shop: Browser) -> None:
    save(shop)
    before = shop.office.firm()
    answer = shop.post(f"{HERE}/take", {"version": 2}, htmx=True)
    firm = shop.office.firm()
    assert "prices by these rates" in answer.text
    assert (firm.overhead["material"], firm.overhead_per_hour) == (Decimal("0.045"), Decimal("1.5"))
    sheet = overhead.overhead_sheet(shop.office)
    assert (sheet.now.brought_cents, sheet.now.over_cents) == (24_000_00, 0)
    shop.post("/firm/undo", {"back": HERE})
    again = shop.office.firm()
    assert (again.overhead, again.overhead_per_hour) == (before.overhead, before.overhead_per_hour)


def test_every_figure_opens(shop: Browser) -> None:
    page = save(shop).text
    found = [(unescape(href), text_of(words)) for href, words in DOOR.findall(page)]
    assert len(found) > 15
    for href, words in found:
        answer = shop.get(href, headers={"hx-request": "true"})
        assert answer.status_code == 200, href
        assert words.replace("−", "").lstrip("-$").split(".")[0] in text_of(answer.text), (href, words)
    assert shop.get(f"{HERE}/why/nonsense").status_code == 404


def test_short_rates_are_said_and_a_missing_base_is_a_sentence(shop: Browser) -> None:
    assert "short" in text_of(save(shop).text)
    missing = text_of(save(shop, 2, **{"year.hours": ""}).text)
    assert "no hours that jobs pay for" in missing
    assert shop.post(f"{HERE}/take", {"version": 3}, htmx=True).status_code == 422


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"items.0.cents": "lots"}, "lots"),
        ({"items.0.title": ""}, "what this money is for"),
        ({"items.0.carried_by": "moon"}, "choose one of the list"),
        ({"year.sales": "-4"}, "-4"),
        ({"year.hours": "9000000"}, "is the most"),
        ({"year.jobs": "two"}, "two"),
        ({"overhead_method": "guess"}, "choose one of the list"),
    ],
)
def test_what_is_not_understood_is_kept_and_changes_nothing(shop: Browser, fields: dict[str, str], said: str) -> None:
    answer = save(shop, **fields)
    assert answer.status_code == 422
    assert said in text_of(answer.text) or f'value="{said}"' in answer.text
    assert shop.office.firm().overhead_items == ()
