"""The price book: prices in place, what is missing, suppliers, materials of the firm's own, frozen revisions aside."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from app.config import Settings
from app.interchange.library_file import load_library
from app.services import prices
from app.services.office import open_office
from tests.conftest import TestClock
from tests.web.conftest import Browser

PAVER = "paver-brick-clay"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Browser]:
    opened = open_office(Settings(data=tmp_path / "shop"), load_library().basis(), TestClock())
    yield Browser(opened)
    opened.database.close()


def price_of(web: Browser, key: str = PAVER):
    return web.office.basis().prices.get(key)


def test_material_without_a_price_says_so(shop: Browser) -> None:
    answer = shop.get("/prices?search=ember")
    assert answer.status_code == 200
    assert "no price yet" in answer.text
    assert "ember" in answer.text
    assert "smoke" not in answer.text


def test_price_typed_in_its_row_is_kept_and_dated_today(shop: Browser) -> None:
    answer = shop.post(f"/prices/price/{PAVER}", {"version": "0", "unit_price": "$0.86"}, htmx=True)
    assert answer.status_code == 200
    assert "no price yet" not in answer.text
    assert (price_of(shop).unit_price, price_of(shop).priced_on) == (Decimal("0.86"), date(2027, 3, 9))


@pytest.mark.parametrize("typed", ["cheap", "-3", "", "1e999", "12,3,4"])
def test_bad_price_keeps_what_was_typed_and_changes_nothing(shop: Browser, typed: str) -> None:
    answer = shop.post(f"/prices/price/{PAVER}", {"version": "0", "unit_price": typed}, htmx=True)
    assert answer.status_code == 422
    assert f'value="{typed}"' in answer.text
    assert price_of(shop) is None


def test_all_fields_of_a_price_are_kept(shop: Browser) -> None:
    shop.post("/prices/supplier/new", {"title": "Alder Ferry Stone"})
    fields = {"unit_price": "0.92", "supplier": "alder-ferry-stone", "pack": "480", "pack_name": "pallet",
              "priced_on": "2027-02-01", "valid_until": "2027-03-01", "low": "-5", "high": "10", "delivery_cents": "120"}  # fmt: skip
    answer = shop.post(f"/prices/price/{PAVER}", {"version": "0", "more": "1", **fields}, htmx=True)
    assert answer.status_code == 200
    kept = price_of(shop)
    assert (kept.supplier, kept.pack, kept.low, kept.high) == ("alder-ferry-stone", 480.0, -0.05, 0.1)
    assert (kept.delivery_cents, kept.valid_until) == (12_000, date(2027, 3, 1))
    assert "no longer good" in answer.text  # today is March 9, 2027 by the test's clock
    assert "ember" in shop.get("/prices?show=old").text
    assert "Alder Ferry Stone" in shop.get("/prices?by=supplier").text


def test_how_a_finish_is_ordered_after_own_jobs_is_kept(shop: Browser) -> None:
    fields = {"unit_price": "0.92", "laid_jobs": "4", "order_beyond": "3"}
    answer = shop.post(f"/prices/price/{PAVER}", {"version": "0", "more": "1", **fields}, htmx=True)
    assert answer.status_code == 200
    assert (price_of(shop).laid_jobs, price_of(shop).order_beyond) == (4, Decimal("0.03"))
    assert "Closed jobs it was laid on" in shop.get(f"/prices/row/{PAVER}?more=true").text
    answer = shop.post(f"/prices/price/{PAVER}", {"more": "1", "laid_jobs": "-2"}, htmx=True)
    assert answer.status_code == 422
    assert price_of(shop).laid_jobs == 4


def test_rates_of_a_machine_by_the_period_are_kept(shop: Browser) -> None:
    assert "Let by the period" not in shop.get(f"/prices/row/{PAVER}?more=true").text
    fields = {"unit_price": "62", "day_cents": "310", "week_cents": "1040", "pickup_cents": "80", "fuel": "ours", "fuel_cents": "6.20"}  # fmt: skip
    answer = shop.post("/prices/price/mini-excavator", {"version": "0", "more": "1", **fields}, htmx=True)
    assert answer.status_code == 200
    kept = price_of(shop, "mini-excavator")
    assert (kept.day_cents, kept.week_cents, kept.pickup_cents, kept.fuel, kept.fuel_cents) == (31_000, 104_000, 8_000, "ours", 620)  # fmt: skip
    page = shop.get("/prices/row/mini-excavator?more=true").text
    assert "Let by the period" in page
    assert "An hour<" not in page  # that is its price
    refused = {"version": "1", "more": "1", "unit_price": "62", "fuel": "in the rate", "fuel_cents": "6.20"}
    answer = shop.post("/prices/price/mini-excavator", refused, htmx=True)
    assert answer.status_code == 422
    assert "The fuel is not ours then" in answer.text
    assert price_of(shop, "mini-excavator").fuel == "ours"


def test_tipping_small_orders_and_pallets_are_kept(shop: Browser) -> None:
    fields = {"unit_price": "4.50", "tip_cents": "62", "tip_per": "ton", "tip_least_cents": "75"}
    answer = shop.post("/prices/price/haul-soil", {"version": "0", "more": "1", **fields}, htmx=True)
    assert answer.status_code == 200
    kept = price_of(shop, "haul-soil")
    assert (kept.tip_cents, kept.tip_per, kept.tip_least_cents) == (6_200, "ton", 7_500)
    assert "At least, a load" in shop.get("/prices/row/haul-soil?more=true").text
    fields = {"unit_price": "1", "small_below": "500", "small_cents": "65", "pallet": "480", "deposit_cents": "24", "deposit_lost": "10", "special_order": "1", "special_deposit": "50"}  # fmt: skip
    answer = shop.post(f"/prices/price/{PAVER}", {"version": "0", "more": "1", **fields}, htmx=True)
    assert answer.status_code == 200
    kept = price_of(shop)
    assert (kept.special_order, kept.special_deposit) == (True, Decimal("0.5"))
    assert (kept.small_below, kept.small_cents, kept.pallet, kept.deposit_cents, kept.deposit_lost) == (500.0, 6_500, 480.0, 2_400, 0.1)  # fmt: skip
    assert "Deposit for a pallet" in shop.get(f"/prices/row/{PAVER}?more=true").text


def test_terms_of_a_supplier_are_kept(shop: Browser) -> None:
    shop.post(
        "/prices/supplier/new", {"title": "Alder Ferry Stone", "order_least_cents": "750", "order_fee_cents": "85"}
    )
    kept = shop.office.basis().suppliers["alder-ferry-stone"]
    assert (kept.order_least_cents, kept.order_fee_cents, kept.shares_loads) == (75_000, 8_500, False)
    fields = {"version": "1", "title": "Alder Ferry Stone", "shares_loads": "1"}
    assert shop.post("/prices/supplier/alder-ferry-stone", fields).status_code in {200, 303}
    assert shop.office.basis().suppliers["alder-ferry-stone"].shares_loads
    refused = shop.post("/prices/supplier/alder-ferry-stone", {"version": "2", "order_fee_cents": "much"})
    assert refused.status_code == 422
    assert 'value="much"' in refused.text


def test_unknown_supplier_is_refused_beside_its_field(shop: Browser) -> None:
    fields = {"version": "0", "more": "1", "unit_price": "1", "supplier": "nobody"}
    answer = shop.post(f"/prices/price/{PAVER}", fields, htmx=True)
    assert answer.status_code == 422
    assert "Choose a supplier" in answer.text


def test_stale_price_shows_both_and_can_be_sent_again(shop: Browser) -> None:
    here = f"/prices/price/{PAVER}"
    shop.post(here, {"version": "0", "unit_price": "0.86"}, htmx=True)
    answer = shop.post(here, {"version": "0", "unit_price": "0.95"}, htmx=True)
    assert answer.status_code == 409
    assert "0.86" in answer.text
    assert 'value="0.95"' in answer.text
    assert shop.post(here, {"version": "1", "unit_price": "0.95"}, htmx=True).status_code == 200
    assert price_of(shop).unit_price == Decimal("0.95")


def test_price_is_undone(shop: Browser) -> None:
    shop.post(f"/prices/price/{PAVER}", {"version": "0", "unit_price": "0.86"}, htmx=True)
    assert shop.post("/firm/undo", {"back": "/prices"}).headers["location"] == "/prices"
    assert price_of(shop) is None


def test_price_of_a_material_nobody_knows_is_refused_in_words(shop: Browser) -> None:
    assert shop.post("/prices/price/moon-dust", {"unit_price": "1"}, htmx=True).status_code == 404
    assert shop.get("/prices/row/moon-dust", headers={"hx-request": "true"}).status_code == 404


def test_own_material_is_added_with_its_price(shop: Browser) -> None:
    fields = {"title": "Ferry ledge flat stone", "role": "finish", "buy": "ton", "cost_class": "material",
              "coverage": "80*foot**2", "loss": "8", "unit_price": "310", "finish": "1"}  # fmt: skip
    assert shop.post("/prices/material/new", fields).status_code == 303
    made = shop.office.basis().materials["ferry-ledge-flat-stone"]
    assert (made.loss, made.finish) == (0.08, True)
    assert price_of(shop, "ferry-ledge-flat-stone").unit_price == Decimal(310)
    assert "Ferry ledge" in shop.get("/prices?show=own").text


def test_own_material_that_cannot_be_bought_is_refused_with_the_reason(shop: Browser) -> None:
    fields = {"title": "Odd", "role": "finish", "buy": "each", "cost_class": "material", "coverage": "many feet"}
    answer = shop.post("/prices/material/new", fields)
    assert answer.status_code == 422
    assert "Coverage" in answer.text
    assert 'value="many feet"' in answer.text


@pytest.mark.parametrize("query", ["search=%27%22%3Cscript%3E", "show=zzz", "by=zzz", "search=" + "a" * 400])
def test_odd_questions_to_the_price_book_are_answered(shop: Browser, query: str) -> None:
    answer = shop.get(f"/prices?{query}")
    assert answer.status_code == 200
    assert "<script>" not in answer.text


def test_book_of_thousands_shows_what_recipes_use_and_finds_the_rest_by_name_and_code(
    shop: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = shop.get("/prices").text
    assert "not on this page" not in whole
    monkeypatch.setattr(prices, "MOST_SHOWN", 5)
    fields = {"title": "Zebra slab", "role": "finish", "buy": "each", "cost_class": "material", "unit_price": "3"}
    assert shop.post("/prices/material/new", fields).status_code == 303
    less = shop.get("/prices").text
    assert "are in the book and not on this page" in less
    assert less.count('class="price-row') <= 6
    assert "/prices/price/zebra-slab" not in less
    assert "/prices/price/zebra-slab" in shop.get("/prices?search=zebra").text
    assert "/prices/price/zebra-slab" in shop.get("/prices?focus=zebra-slab").text
