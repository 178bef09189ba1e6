"""A supplier's price list into the book: sent, read, looked at, taken in one step, undone; and the book taken out."""

import asyncio
import csv
import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from io import StringIO
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.config import Settings
from app.interchange.library_file import load_library
from app.services import price_list_taking, prices
from app.services.jobs import Order
from app.services.large_changes import save_in_pieces
from app.services.office import Office, open_office
from tests.conftest import TestClock
from tests.web.conftest import Browser

ROOT = Path(__file__).parents[2]

PAVER, STONE = "paver-brick-clay", "base-stone-34"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Browser]:
    opened = open_office(Settings(data=tmp_path / "shop"), load_library().basis(), TestClock())
    prices.add_supplier(opened, {"title": "Alder Ferry Stone"}, Order(change_id=uuid4()))
    browser = Browser(opened)
    with browser.client:
        yield browser
    opened.database.close()


def set_price(office: Office, key: str, price: str, **more: object) -> None:
    version = prices.price_row(office, key)[1].version("price", key)
    prices.set_price(office, key, version, {"unit_price": Decimal(price), **more}, Order(change_id=uuid4()))


def title(web: Browser, key: str) -> str:
    return web.office.basis().materials[key].title


def a_list(*rows: tuple[object, ...], head: tuple[str, ...] = ("Item no.", "Description", "Unit", "Price")) -> bytes:
    out = StringIO()
    csv.writer(out).writerows([head, *rows])
    return out.getvalue().encode()


def sent(web: Browser, content: bytes, name: str = "spring.csv"):
    """Send a file and wait until its page shows what is in it."""
    answer = web.post("/prices/list", files={"file": (name, content)}, data={"token": web.token})
    if answer.status_code != 303:
        return answer
    return looked_at(web, answer.headers["location"])


def looked_at(web: Browser, place: str):
    for _ in range(200):
        answer = web.get(place)
        if "list-progress" not in answer.text:
            return answer
    raise AssertionError("the list was never read")


def place_of(answer) -> str:
    return re.search(r'action="(/prices/list/[0-9a-f]{32})', answer.text)[1]


def seen_of(answer) -> str:
    return re.search(r'name="seen" value="([^"]+)"', answer.text)[1]


def take(web: Browser, answer, **more: str):
    fields = {"change_id": str(uuid4()), "seen": seen_of(answer), **more}
    return web.post(f"{place_of(answer)}/take", fields)


def price(web: Browser, key: str):
    return web.office.basis().prices.get(key)


def test_list_is_looked_at_and_taken_in_one_step_and_undone_in_one(shop: Browser) -> None:
    set_price(shop.office, PAVER, "0.80")
    content = a_list(("AF-1", title(shop, PAVER), "each", "$0.86"), ("AF-2", title(shop, STONE), "ton", "31.50"))
    answer = sent(shop, content)
    assert answer.status_code == 200
    for said in ("May be taken", "+7.5%", "$0.80", "$0.86", "no price"):
        assert said in answer.text
    assert price(shop, STONE) is None  # nothing is changed by looking
    taken = take(shop, answer, safe="1")
    assert taken.status_code == 303
    assert (price(shop, PAVER).unit_price, price(shop, PAVER).code) == (Decimal("0.86"), "AF-1")
    assert price(shop, STONE).unit_price == Decimal("31.5")
    assert "2 prices were changed" in shop.get(taken.headers["location"]).text
    shop.post("/firm/undo", {"back": "/prices"})
    assert price(shop, PAVER).unit_price == Decimal("0.8")
    assert price(shop, STONE) is None


def test_row_left_out_stays_as_it_is(shop: Browser) -> None:
    answer = sent(
        shop, a_list(("AF-1", title(shop, PAVER), "each", "0.86"), ("AF-2", title(shop, STONE), "ton", "31.50"))
    )
    take(shop, answer, safe="1", leave="3")
    assert price(shop, PAVER) is not None
    assert price(shop, STONE) is None


def test_next_list_finds_the_material_by_the_suppliers_code(shop: Browser) -> None:
    answer = sent(shop, a_list(("AF-1", title(shop, PAVER), "each", "0.86")))
    columns = {f"column.{at}": key for at, key in enumerate(("code", "title", "unit", "unit_price"))}
    said = {
        **columns,
        "supplier": "alder-ferry-stone",
        "new_supplier": "",
        "comma": "point",
        "day_first": "month",
        "priced_on": "2027-03-01",
    }
    shop.post(place_of(answer), said)
    take(shop, looked_at(shop, place_of(answer)), safe="1")
    assert (price(shop, PAVER).supplier, price(shop, PAVER).priced_on) == ("alder-ferry-stone", date(2027, 3, 1))
    answer = sent(shop, a_list(("AF-1", "Another name altogether", "each", "0.90")))
    shop.post(place_of(answer), {**said, "priced_on": "2027-03-05"})
    answer = looked_at(shop, place_of(answer))
    assert "May be taken" in answer.text
    assert "+4.7%" in answer.text


def test_near_name_is_taken_only_where_the_person_says_so(shop: Browser) -> None:
    near = "old " + title(shop, PAVER)
    answer = sent(shop, a_list(("X", near, "each", "0.86")))
    assert "these lie near" in answer.text
    refused = take(shop, answer, safe="1")
    assert refused.status_code == 422
    assert "No row was chosen" in refused.text
    assert take(shop, answer, **{"row.2": PAVER}).status_code == 303
    assert price(shop, PAVER).unit_price == Decimal("0.86")


def test_one_material_taken_twice_is_refused_naming_the_rows(shop: Browser) -> None:
    name = title(shop, PAVER)
    answer = sent(shop, a_list(("A", name, "each", "0.86"), ("B", name, "each", "0.87")))
    refused = take(shop, answer, **{"row.2": PAVER, "row.3": PAVER})
    assert refused.status_code == 422
    assert "Rows 2 and 3 were both taken" in refused.text
    assert price(shop, PAVER) is None


def test_book_that_changed_meanwhile_is_looked_at_again(shop: Browser) -> None:
    answer = sent(shop, a_list(("AF-1", title(shop, PAVER), "each", "0.86")))
    set_price(shop.office, PAVER, "0.85")
    refused = take(shop, answer, safe="1")
    assert refused.status_code == 422
    assert price(shop, PAVER).unit_price == Decimal("0.85")
    answer = looked_at(shop, place_of(answer))
    assert take(shop, answer, safe="1").status_code == 303
    assert price(shop, PAVER).unit_price == Decimal("0.86")


def test_long_saving_says_how_far_it_is_and_leads_to_what_it_did(
    shop: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def slowly(office, edits, order, heard):
        heard(1)
        await asyncio.sleep(1.5)
        return await save_in_pieces(office, edits, order, heard)

    monkeypatch.setattr(price_list_taking, "save_in_pieces", slowly)
    answer = sent(shop, a_list(("AF-1", title(shop, PAVER), "each", "0.86")))
    assert take(shop, answer, safe="1").headers["location"].endswith(place_of(answer))
    waiting = shop.get(place_of(answer))
    assert "Saving the prices: 1 of 1" in waiting.text
    assert 'value="50"' in waiting.text
    assert take(shop, answer, safe="1").status_code == 422, "one saving at a time"
    assert any("One price was changed" in shop.get(place_of(answer)).text for _ in range(20))
    assert price(shop, PAVER).unit_price == Decimal("0.86")


def test_same_taking_sent_twice_counts_once(shop: Browser) -> None:
    answer = sent(shop, a_list(("AF-1", title(shop, PAVER), "each", "0.86")))
    fields = {"change_id": str(uuid4()), "seen": seen_of(answer), "safe": "1"}
    first, again = (shop.post(f"{place_of(answer)}/take", fields) for _ in range(2))
    assert (first.status_code, again.status_code) == (303, 303)
    assert "One price was changed" in shop.get(again.headers["location"]).text


def test_what_the_book_lacks_is_added_when_wanted_with_its_supplier(shop: Browser) -> None:
    head = ("Code", "Description", "Unit", "Price", "Supplier")
    answer = sent(shop, a_list(("Z-1", "Quarry ledge, blue", "sy", "45", "Mill Race Supply"), head=head))
    assert "Not in our book" in answer.text
    take(shop, answer, add="1", role="finish")
    made = shop.office.basis().materials["quarry-ledge-blue"]
    assert (made.buy, made.role) == ("yard**2", "finish")
    assert shop.office.basis().suppliers[price(shop, made.key).supplier].title == "Mill Race Supply"
    shop.post("/firm/undo", {"back": "/prices"})
    assert "quarry-ledge-blue" not in shop.office.basis().materials


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "Choose a file"),
        (b"%PDF-1.4", "PDF"),
        (b"PK\x03\x04rubbish", "broken"),
        (b"Code,Price\n", "no rows"),
        (b"\x00\x01" * 40, "no text"),
    ],
)
def test_hostile_or_broken_file_gets_a_sentence_and_changes_nothing(shop: Browser, content: bytes, said: str) -> None:
    before = shop.office.basis().prices
    answer = sent(shop, content)
    assert answer.status_code in {413, 422, 503}
    assert said in answer.text
    assert shop.office.basis().prices == before


def test_rows_that_cannot_be_read_are_named_by_their_number(shop: Browser) -> None:
    answer = sent(
        shop,
        a_list(
            ("A", title(shop, PAVER), "each", "call us"), ("B", title(shop, STONE), "ton", "31.50"), ("", "", "", "7")
        ),
    )
    assert "Row 2" in answer.text
    assert "is no price" in answer.text
    assert "neither a name nor a code" in answer.text


def test_list_without_a_price_column_asks_which_it_is(shop: Browser) -> None:
    answer = sent(shop, a_list(("A", "b", "c", "d"), head=("Item no.", "Description", "What", "Where")))
    assert "which column holds the price" in answer.text
    assert answer.status_code == 422


@pytest.mark.parametrize(
    "path",
    [
        "/prices/list/" + "0" * 32,
        "/prices/changes/00000000-0000-4000-8000-000000000009",
        "/prices/changes/none",
        "/prices/history/moon-dust",
    ],
)
def test_what_is_not_there_is_said(shop: Browser, path: str) -> None:
    assert shop.get(path).status_code in {404, 422}


def test_odd_picks_never_break(shop: Browser) -> None:
    answer = sent(shop, a_list(("AF-1", title(shop, PAVER), "each", "0.86")))
    odd = {"row.x": "1", "row.99999999": PAVER, "row.2": "moon", "leave": "-1", "seen": "<script>"}
    assert take(shop, answer, **odd).status_code == 422
    odd.pop("seen")
    assert take(shop, answer, **odd).status_code == 422


def test_history_of_a_price_names_the_list_it_came_from(shop: Browser) -> None:
    set_price(shop.office, PAVER, "0.80")
    take(shop, sent(shop, a_list(("AF-1", title(shop, PAVER), "each", "0.86")), name="spring 2027.csv"), safe="1")
    said = shop.get(f"/prices/history/{PAVER}").text
    assert said.index("spring 2027.csv") < said.index("Price:")
    for words in ("$0.80", "$0.86", "no price"):
        assert words in said


def test_book_taken_out_comes_back_without_a_change(shop: Browser) -> None:
    set_price(shop.office, PAVER, "0.80", note="=2+2", supplier="alder-ferry-stone")
    for path in ("/prices/export.csv", "/prices/export.xlsx"):
        out = shop.get(path)
        assert out.status_code == 200
        assert "attachment" in out.headers["content-disposition"]
        answer = sent(shop, out.content, name=path.rpartition("/")[2])
        assert "Nothing in this list would change the price book." in answer.text
        assert answer.status_code == 200


def test_example_is_handed_out(shop: Browser) -> None:
    assert b"Clay paver" in shop.get("/prices/list/example.csv").content


def test_list_is_read_in_place_with_its_progress(shop: Browser) -> None:
    answer = shop.post(
        "/prices/list",
        files={"file": ("a.csv", a_list(("AF-1", title(shop, PAVER), "each", "0.86")))},
        data={"token": shop.token},
        htmx=True,
    )
    place = answer.headers["hx-redirect"]
    part = shop.get(place, headers={"hx-request": "true"})
    assert part.status_code == 200
    assert "<html" not in part.text


def test_price_that_has_run_out_is_an_open_point_of_the_jobs_that_use_it(stocked: Office, ready: UUID) -> None:
    web = Browser(stocked)
    assert "no longer good" not in web.get(f"/jobs/{ready}/checks").text
    set_price(stocked, STONE, "30", priced_on=date(2026, 5, 1), valid_until=date(2026, 6, 1))
    said = web.get(f"/jobs/{ready}/checks").text
    assert f"no longer good: {title(web, STONE)}" in said
    assert "/prices?show=old&amp;by=supplier" in said
    assert title(web, STONE) in web.get("/prices?show=old").text


def test_page_of_a_taken_list_names_the_drafts_it_moves(stocked: Office, ready: UUID) -> None:
    web = Browser(stocked)
    with web.client:
        answer = sent(web, a_list(("S-1", title(web, STONE), "ton", "15")))
        done = web.get(take(web, answer, safe="1").headers["location"]).text
    assert "Linnea Whitlock" in done
    assert f"/jobs/{ready}/estimate" in done
    assert re.search(r"\+\$[\d,]+", done)


def test_rates_of_periods_are_shown_where_there_is_no_other_price(shop: Browser) -> None:
    head = ("Description", "Day", "Week", "4 weeks")
    rows = ((title(shop, "mini-excavator"), "310", "1040", "2900"), ("Moon buggy", "", "777", ""))
    page = sent(shop, a_list(*rows, head=head)).text
    seen = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page))
    assert "no price → $310 a day, $1,040 a week, $2,900 a month" in seen
    assert "$777 a week" in seen
    assert "$0" not in seen


def test_what_takes_the_list_stands_in_reach_while_its_rows_are_read(shop: Browser) -> None:
    key = "base-stone-34"
    set_price(shop.office, key, "40")
    page = looked_at(shop, place_of(sent(shop, a_list(("", title(shop, key), "ton", "41"))))).text
    bar = page[page.index('class="take-bar"') :].partition("</div>")[0]
    assert "Take them into the price book" in bar
    assert page.count("Take them into the price book") == 1
    assert re.search(r"\.take-bar \{[^}]*position: sticky", (ROOT / "static/css/prices.css").read_text())
