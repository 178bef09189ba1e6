"""The worksheet of a class of people: opened, saved, explained, taken back."""

import re
from decimal import Decimal
from html import unescape
from pathlib import Path

import pytest

from app.config import Settings
from app.interchange.library_file import load_library
from app.services.office import open_office
from app.web.forms.wages import MOST_ITEMS, MOST_UNBILLED
from tests.conftest import TestClock
from tests.web.conftest import Browser
from tests.web.yard import text_of

HERE = "/firm/worksheet/labor_class/crew"
TYPED = {
    "paid_hours": "2,200", "overtime_hours": "120", "overtime_extra": "50", "paid_to_date": "$7,000",
    "items.0.title": "Social security", "items.0.share": "6.2", "items.0.base": "pay", "items.0.capped_at": "184,500",
    "items.0.cap_year": "2026",
    "items.1.title": "Federal unemployment", "items.1.share": "0.6", "items.1.base": "pay", "items.1.capped_at": "7000",
    "items.2.title": "Health", "items.2.a_year": "5200",
    "unbilled.0.title": "Leave", "unbilled.0.hours": "120", "unbilled.1.title": "Yard", "unbilled.1.hours": "80",
    "unbilled.1.in_day": "1",
}  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path):
    opened = open_office(Settings(data=tmp_path / "shop"), load_library().basis(), TestClock())
    yield Browser(opened)
    opened.database.close()


def crew(web: Browser):
    return web.office.basis().labor_classes["crew"]


def test_worksheet_begins_from_figures_that_price_nothing_yet(shop: Browser) -> None:
    assert HERE in shop.get("/firm").text
    page = shop.get(HERE)
    assert "Nothing is priced by them until you save them" in page.text
    assert 'value="Social security"' in page.text
    assert 'value="184,500"' in page.text
    assert crew(shop).year is None


def test_cap_of_last_year_is_said_until_this_years_is_typed(shop: Browser) -> None:
    now = shop.office.clock().year
    said = "its cap is that of"
    shop.post(HERE, {"version": "0", **TYPED, "items.0.cap_year": str(now - 1)})
    assert said in shop.get(HERE).text
    shop.post(HERE, {"version": "1", **TYPED, "items.0.cap_year": str(now)})
    assert said not in shop.get(HERE).text


def test_worksheet_is_saved_priced_by_and_undone(shop: Browser) -> None:
    answer = shop.post(HERE, {"version": "0", **TYPED}, htmx=True)
    assert answer.status_code == 200
    year = crew(shop).year
    assert (year.paid_hours, year.items[0].capped_at, year.items[0].cap_year) == (2200, 184_500, 2026)
    assert (year.items[2].a_year, year.unbilled[1].in_day, year.unbilled[0].in_day) == (5200, True, False)
    # wage 22: pay 48,400 + 1,320; on top 6.2% of it, 42 and 5,200; over 2,000 hours, by hand
    assert "$29.02" in answer.text
    assert "cap reached" in answer.text
    assert "Open the worksheet" in shop.get("/firm").text
    assert shop.post("/firm/undo", {"back": HERE}).headers["location"] == HERE
    assert crew(shop).year is None


def test_every_figure_of_the_worksheet_opens(shop: Browser) -> None:
    page = shop.post(HERE, {"version": "0", **TYPED}, htmx=True).text
    doors = {unescape(one) for one in re.findall(r'<a class="door" href="([^"]+)"', page)}
    assert len(doors) == 8
    for door in doors:
        assert shop.get(door, headers={"hx-request": "true"}).status_code == 200, door
    told = text_of(shop.get(f"{HERE}/why/item:1").text)
    assert "0.006 × 7,000" in told
    assert "$42" in told
    assert shop.get(f"{HERE}/why/item:9").status_code == 404


def test_hours_that_cannot_be_are_refused_beside_their_field_with_what_was_typed(shop: Browser) -> None:
    for name, typed, said in (
        ("paid_hours", "0", "more than none"),
        ("overtime_hours", "2300", "overtime is a part of them"),
        ("unbilled.0.hours", "2120", "none is left"),
        ("items.0.share", "six", "six"),
        ("items.0.cap_year", "26", "four figures"),
        ("items.1.title", "", "Say what this is"),
        ("unbilled.1.title", "", "Say what these hours are"),
    ):
        answer = shop.post(HERE, {"version": "0", **TYPED, name: typed}, htmx=True)
        assert answer.status_code == 422, name
        assert said in answer.text, name
        assert 'value="184,500"' in answer.text
        assert crew(shop).year is None


def test_shares_of_the_wage_stand_again_when_the_worksheet_is_given_up(shop: Browser) -> None:
    before = crew(shop)
    shop.post(HERE, {"version": "0", **TYPED})
    answer = shop.post("/firm/worksheet/shares/labor_class/crew", {"version": "1"}, htmx=True)
    assert answer.status_code == 200
    assert crew(shop) == before


def test_wage_is_changed_and_the_year_stays(shop: Browser) -> None:
    shop.post(HERE, {"version": "0", **TYPED})
    shop.post("/firm/labor_class/crew", {"version": "1", "title": "Crew member", "wage": "24"}, htmx=True)
    assert (crew(shop).wage, crew(shop).year.paid_hours) == (Decimal(24), 2200)


def test_worksheet_of_nobody_is_a_sentence(shop: Browser) -> None:
    assert shop.get("/firm/worksheet/labor_class/pilots").status_code == 404
    assert shop.post("/firm/worksheet/labor_class/pilots", {"version": "0", **TYPED}, htmx=True).status_code == 404


@pytest.mark.parametrize("nonsense", ["9" * 30_000, "-1", "1e999", "NaN", "12/0", "🪴", "<script>alert(1)</script>"])
def test_nonsense_in_every_field_is_answered_in_words(shop: Browser, nonsense: str) -> None:
    parts = [f"items.{n}.{one}" for n in (0, MOST_ITEMS - 1) for one in ("title", "share", "base", "capped_at", "cap_year", "a_year", "source")]  # fmt: skip
    parts += [f"unbilled.{n}.{one}" for n in (0, MOST_UNBILLED - 1) for one in ("title", "hours", "in_day")]
    names = ["paid_hours", "overtime_hours", "overtime_extra", "paid_to_date", *parts]
    for fields in (dict.fromkeys(names, nonsense), *({name: nonsense} for name in names)):
        answer = shop.post(HERE, fields, htmx=True)
        assert answer.status_code < 500
        assert "<script>alert" not in answer.text
    assert shop.get(HERE).status_code == 200
