"""The worksheet of a machine of the firm's own: from its price, to its price, every figure opens."""

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest

from app.config import Settings
from app.interchange.library_file import load_library
from app.services.office import open_office
from tests.conftest import TestClock
from tests.web.conftest import Browser

HERE = "/prices/machine/mini-excavator"
TYPED = {
    "purchase_cents": "58,000", "salvage_cents": "19,000", "years": "8", "hours_a_year": "300", "interest": "7",
    "upkeep": "1", "fuel_gallons": "1.3", "fuel_price": "3.95", "lubrication": "15", "wear_cents": "2400",
    "wear_hours": "1200", "wear_repair": "15", "list_cents": "", "repair": "25", "repair_hours": "6000",
}  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Browser]:
    opened = open_office(Settings(data=tmp_path / "shop"), load_library().basis(), TestClock())
    yield Browser(opened)
    opened.database.close()


def price_of(web: Browser, key: str):
    return web.office.basis().prices.get(key)


def test_worksheet_is_reached_from_the_price_and_prices_nothing_until_saved(shop: Browser) -> None:
    assert HERE in shop.get("/prices/row/mini-excavator?more=true").text
    assert "Nothing is priced by this worksheet until you save it" in shop.get(HERE).text
    assert price_of(shop, "mini-excavator") is None


def test_saved_worksheet_prices_the_machine_with_its_fuel_in(shop: Browser) -> None:
    hired = {"version": "0", "more": "1", "unit_price": "62", "day_cents": "310", "fuel": "ours", "fuel_cents": "6"}
    shop.post("/prices/price/mini-excavator", hired, htmx=True)
    answer = shop.post(HERE, {"version": "1", **TYPED})
    assert answer.status_code in {200, 303}
    kept = price_of(shop, "mini-excavator")
    assert kept.owned.fuel_gallons == Decimal("1.3")
    assert (kept.fuel, kept.fuel_cents, kept.day_cents) == ("in the rate", 0, 0)
    page = shop.get(HERE).text
    assert f"${kept.unit_price:f}" in page
    for figure in ("hour", "owning", "fuel", "lubrication", "wear", "repair"):
        assert f"{HERE}/why/{figure}" in page
        assert shop.get(f"{HERE}/why/{figure}").status_code == 200
    assert shop.get(f"{HERE}/why/operator").status_code == 404
    shop.post("/prices/price/mini-excavator", {"version": "2", "unit_price": "70"}, htmx=True)
    assert price_of(shop, "mini-excavator").owned is None


@pytest.mark.parametrize(
    ("field", "typed"),
    [("purchase_cents", ""), ("purchase_cents", "a lot"), ("years", "0"), ("salvage_cents", "60000")],
)
def test_bad_worksheet_keeps_what_was_typed_and_prices_nothing(shop: Browser, field: str, typed: str) -> None:
    answer = shop.post(HERE, {"version": "0", **TYPED, field: typed})
    assert answer.status_code == 422
    assert f'value="{typed}"' in answer.text
    assert price_of(shop, "mini-excavator") is None


def test_only_machines_have_a_worksheet(shop: Browser) -> None:
    assert shop.get("/prices/machine/paver-brick-clay").status_code == 404
    assert shop.get("/prices/machine/nothing").status_code == 404
