"""The Orders sheet by its forms, in the office and in the yard: nothing typed is lost, no money in the yard.

Routes: app/web/routes/supply, app/web/routes/supply_came, app/web/routes/field_supply.
"""

import re
from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from app.domain.basis import Supplier
from app.domain.change import Edit
from app.domain.job import LoggedReceipt
from app.domain.ordering.bills import billed_against
from app.domain.ordering.standing import standings
from app.services import book, jobs
from app.services import supply_sending as sending
from app.services.billed import job_money
from app.services.build import list_key
from app.services.changes import fields_of
from app.services.jobs import Order, changed, made, save
from app.services.office import Office
from app.services.sheets import sheet
from app.services.supply import supply
from tests.offering import order
from tests.services.test_build_from_signed import signed
from tests.web.conftest import Browser
from tests.web.test_doors import DOOR, MONEY

LATER = datetime(2027, 4, 1, 12, tzinfo=UTC)


@pytest.fixture
def web(stocked: Office, ready: UUID) -> Browser:
    """A signed terrace whose materials one yard sells, a while after the days to cancel."""
    yard = Supplier(key="wren", title="Wren Hollow Stone")
    edits = [Edit(kind="supplier", thing_id="wren", version=0, before=None, after=fields_of(yard, "supplier"))]
    needed = {line.material for one in supply(stocked, sheet(stocked, ready)).build.orders for line in one.lines}
    edits += [book.edit_of(stocked, "price", key, 1, {"supplier": "wren"}) for key in sorted(needed)]
    jobs.save(stocked, None, tuple(edits), order())
    stage = changed("job", ready, jobs.open_job(stocked, ready).version("job", ready), {"stage": "signed"})
    jobs.save(stocked, ready, (stage,), order())
    signed(stocked, ready)
    stocked.clock.now = LATER  # type: ignore[attr-defined]
    return Browser(stocked)


def prepared(office: Office, job_id: UUID) -> UUID:
    lists = [one for one in supply(office, sheet(office, job_id)).lists if one.can_be_ordered]
    sending.prepare(office, sheet(office, job_id), list_key(max(lists, key=lambda one: len(one.lines)).of), order())
    return sheet(office, job_id).job.supply_orders[-1].id


def sent(office: Office, job_id: UUID) -> UUID:
    one = prepared(office, job_id)
    sending.send(office, sheet(office, job_id), one, None, None, order())
    return one


def today(web: Browser) -> str:
    return web.office.clock().date().isoformat()


def test_an_order_is_prepared_sent_confirmed_and_comes_by_its_forms(web: Browser, stocked: Office, ready: UUID) -> None:
    home = f"/jobs/{ready}/orders"
    key = re.search(rf'action="{home}/prepare/([^"]+)"', web.get(home).text)
    assert key
    assert web.post(f"{home}/prepare/{key[1]}", {}, htmx=True).status_code == 200
    one = sheet(stocked, ready).job.supply_orders[0]
    page = web.get(f"{home}?focus=order:{one.id}").text
    ticked = re.findall(r'name="materials" value="([^"]+)"', page)
    told = {"sent_on": today(web), "materials": ticked}
    assert web.post(f"{home}/{one.id}/send", told, htmx=True).status_code == 200
    said = {"confirmation": "FM-20418", "confirmed_on": today(web), "promised_on": today(web)}
    answer = web.post(f"{home}/{one.id}/said/confirm", said, htmx=True)
    assert "confirmation FM-20418" in answer.text
    lines = sheet(stocked, ready).job.supply_orders[0].lines
    counted = {f"came-{at}": str(line.amount) for at, line in enumerate(lines)}
    answer = web.post(f"{home}/{one.id}/delivery", {"day": today(web), **counted}, htmx=True)
    assert answer.status_code == 200
    assert "delivered whole" in answer.text
    assert web.get(f"/jobs/{ready}/build").text.count("order 1 delivered") == 1


def test_what_was_typed_and_refused_stands_in_its_form(web: Browser, stocked: Office, ready: UUID) -> None:
    one, home = sent(stocked, ready), f"/jobs/{ready}/orders"
    for path, told, words in (
        ("delivery", {"day": today(web), "came-0": "a few"}, "“a few” is no number"),
        ("delivery", {"day": today(web), "came-0": "1", "broken-0": "3"}, "More is broken than came"),
        ("bill", {"day": today(web), "amount-0": "2", "billed-0": "40", "total_cents": "41"}, "The lines add up to"),
        ("said/backorder", {"material": "none", "expected_on": today(web)}, "Choose a line of this order"),
        ("said/pallets", {"count": "3", "day": today(web)}, "3 were typed; 0"),
        ("call-off", {"called_off_why": ""}, "Why is empty"),
        ("plan", {"spot_x": "3", "spot_y": "", "spot": "By the gate"}, "A point has two lengths"),
    ):
        answer = web.post(f"{home}/{one}/{path}", told, htmx=True)
        assert answer.status_code == 422, path
        assert words in answer.text.replace("&#34;", '"'), path
        assert all(f'value="{typed}"' in answer.text for typed in told.values() if typed not in ("", "none")), path
    assert sheet(stocked, ready).job.deliveries == ()


def test_every_figure_of_an_order_opens(web: Browser, stocked: Office, ready: UUID) -> None:
    one, home = sent(stocked, ready), f"/jobs/{ready}/orders"
    line = sheet(stocked, ready).job.supply_orders[0].lines[0]
    web.post(f"{home}/{one}/delivery", {"day": today(web), "came-0": str(line.amount), "broken-0": "1"}, htmx=True)
    bill = {"day": today(web), "amount-0": str(line.amount), "billed-0": "5", "delivery_cents": "120", "tax_cents": "7"}
    web.post(f"{home}/{one}/bill", {**bill, "other": "Sealer", "other_cents": "44"}, htmx=True)
    page = web.get(f"{home}?focus=order:{one}").text
    doors = {href for href, _ in DOOR.findall(page)}
    assert len(doors) > 12
    assert [href for href in doors if web.get(href, headers={"hx-request": "true"}).status_code != 200] == []
    bare = re.sub(r'value="[^"]*"|<svg.*?</svg>', "", DOOR.sub("", page.split("<main", 1)[1]), flags=re.DOTALL)
    assert MONEY.findall(bare) == []
    assert "it is not on this order" in page


def test_the_yard_counts_a_delivery_and_sees_no_money(web: Browser, stocked: Office, ready: UUID) -> None:
    one, home = sent(stocked, ready), f"/field/{ready}/orders"
    page = web.get(home).text
    assert "Wren Hollow Stone" in page
    assert MONEY.findall(page) == []
    answer = web.post(f"{home}/{one}/delivery", {"day": today(web), "came-0": "1", "broken-0": "2"})
    assert answer.status_code == 422
    assert MONEY.findall(answer.text) == []
    assert web.post(f"{home}/{one}/delivery", {"day": today(web), "came-0": "1"}).status_code == 303
    (delivery,) = sheet(stocked, ready).job.deliveries
    assert [line.came for line in delivery.lines] == [1.0]


def test_home_and_schedule_say_what_is_late(web: Browser, stocked: Office, ready: UUID) -> None:
    one, home = sent(stocked, ready), f"/jobs/{ready}/orders"
    said = {"confirmed_on": today(web), "promised_on": today(web)}
    web.post(f"{home}/{one}/said/confirm", said, htmx=True)
    assert "Orders late" not in web.get("/").text
    stocked.clock.now = LATER + timedelta(days=3)  # type: ignore[attr-defined]
    assert "Order 1 is not all here, 3 days late" in web.get("/").text
    assert "is not all here" in web.get(f"/jobs/{ready}/schedule").text


def test_a_table_says_before_which_day_nothing_is_sent(web: Browser, stocked: Office, ready: UUID) -> None:
    stocked.clock.now = datetime(2027, 3, 2, 15, tzinfo=UTC)  # type: ignore[attr-defined]
    rows = web.get(f"/jobs/{ready}/build/order.csv").text.splitlines()
    place = rows[0].split(",").index("Not before")
    assert {row.split(",")[place] for row in rows[1:] if row.count(",") == rows[0].count(",")} == {"2027-03-06"}


def test_a_bill_is_spending_of_the_job_once_whatever_receipt_tells_of_it(
    web: Browser, stocked: Office, ready: UUID
) -> None:
    one, home = sent(stocked, ready), f"/jobs/{ready}/orders"
    view = sheet(stocked, ready)
    web.post(f"{home}/{one}/bill", {"day": today(web), "other": "Sealer", "other_cents": "44"}, htmx=True)
    (bill,) = sheet(stocked, ready).job.supplier_bills

    def spent() -> int:
        return job_money(stocked, sheet(stocked, ready)).weeks[-1].spent

    assert spent() == 44_00
    receipt = LoggedReceipt(id=uuid4(), day=view.today, cents=44_00, merchant="Wren Hollow Stone")
    save(stocked, ready, (made("logged_receipt", receipt),), Order(change_id=uuid4()))
    assert spent() == 44_00
    assert "the receipt of" in web.get(f"{home}?focus=order:{one}").text
    fields = {"told_in": "apart", "version": "1", "focus": f"order:{one}"}
    answer = web.post(f"{home}/supplier_bill/{bill.id}", fields, htmx=True)
    assert answer.status_code == 200
    assert "Counts as spent on this job" in answer.text
    assert spent() == 88_00


def test_a_credit_for_what_was_broken_makes_bill_and_order_agree_and_is_spent_no_more(
    web: Browser, stocked: Office, ready: UUID
) -> None:
    one, home = sent(stocked, ready), f"/jobs/{ready}/orders"
    line = sheet(stocked, ready).job.supply_orders[0].lines[0]
    came = {"day": today(web), "came-0": f"{line.amount:g}", "broken-0": "1"}
    web.post(f"{home}/{one}/delivery", came, htmx=True)
    web.post(
        f"{home}/{one}/bill",
        {"day": today(web), "number": "11", "amount-0": f"{line.amount:g}", "billed-0": f"{line.cents / 100:.2f}"},
        htmx=True,
    )

    def stands() -> tuple[int, int]:
        job, view = sheet(stocked, ready).job, sheet(stocked, ready)
        it = next(row for row in standings(job) if str(row.order.id) == str(one))
        held = billed_against(it, job.supplier_bills)
        return held.difference_cents, job_money(stocked, view).weeks[-1].spent

    over, spent = stands()
    assert over > 0
    assert spent == line.cents
    back = f"-{over / 100:.2f}"
    refused = web.post(f"{home}/{one}/bill", {"day": today(web), "amount-0": "1", "billed-0": back}, htmx=True)
    assert refused.status_code == 422
    assert "A credit takes back both" in refused.text
    credit = {"day": today(web), "number": "12", "amount-0": "-1", "billed-0": back, "total_cents": back}
    answer = web.post(f"{home}/{one}/bill", credit, htmx=True)
    assert answer.status_code == 200
    assert "<b>Credit 12</b>" in answer.text
    assert stands() == (0, line.cents - over)


def test_a_bill_and_a_receipt_that_differ_are_offered_to_be_joined(web: Browser, stocked: Office, ready: UUID) -> None:
    one, home = sent(stocked, ready), f"/jobs/{ready}/orders"
    told = {"day": today(web), "other": "Sealer", "other_cents": "44", "tax_cents": "2.64"}
    web.post(f"{home}/{one}/bill", told, htmx=True)
    receipt = LoggedReceipt(id=uuid4(), day=sheet(stocked, ready).today, cents=44_00, merchant="Wren Hollow")
    save(stocked, ready, (made("logged_receipt", receipt),), Order(change_id=uuid4()))
    (bill,) = sheet(stocked, ready).job.supplier_bills
    page = web.get(home).text
    assert "counted twice?" in page
    assert "Counted twice?" in web.get(f"/jobs/{ready}/money").text
    page = web.get(f"{home}?focus=order:{one}").text
    assert "The bill asks for $2.64 more: the sales tax on the bill." in page

    def spent() -> int:
        return job_money(stocked, sheet(stocked, ready)).weeks[-1].spent

    assert spent() == 90_64, "both count until somebody says so"
    for version, (said, sum_cents) in enumerate((("bill", 46_64), ("told", 44_00)), 1):
        fields = {"told_in": str(receipt.id), "counts": said, "version": str(version), "focus": f"order:{one}"}
        assert web.post(f"{home}/supplier_bill/{bill.id}", fields, htmx=True).status_code == 200
        assert spent() == sum_cents
    assert "counted twice?" not in web.get(home).text
