"""Orders as an owner keeps them: prepared, sent and then fixed, held against what comes and what is billed."""

import asyncio
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from uuid import UUID

import pytest

from app.domain.basis import Supplier
from app.domain.change import Edit
from app.domain.errors import BadValue, NotFound, OutlayError, Refused
from app.domain.job import BilledLine, CameLine, SentLine
from app.domain.ordering import LineState, OrderState
from app.services import book, jobs
from app.services import supply_arrivals as arrivals
from app.services import supply_events as events
from app.services import supply_sending as sending
from app.services.build import list_key
from app.services.changes import fields_of
from app.services.checks import Going
from app.services.jobs import changed
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.supply import Supply, supply
from app.services.supply_arrivals import Came
from app.services.supply_due import late_orders
from app.services.supply_paper import supply_sheet
from tests.offering import order
from tests.services.test_build_from_signed import signed

LATER = datetime(2027, 4, 1, 12, tzinfo=UTC)  # the days to cancel are over


@pytest.fixture
def drawn(stocked: Office, ready: UUID) -> UUID:
    """A terrace whose materials one yard sells."""
    yard = Supplier(key="wren", title="Wren Hollow Stone", phone="555 0117")
    edits = [Edit(kind="supplier", thing_id="wren", version=0, before=None, after=fields_of(yard, "supplier"))]
    needed = {line.material for one in see(stocked, ready).build.orders for line in one.lines}
    edits += [book.edit_of(stocked, "price", key, 1, {"supplier": "wren"}) for key in sorted(needed)]
    jobs.save(stocked, None, tuple(edits), order())
    return ready


@pytest.fixture
def job(stocked: Office, drawn: UUID) -> UUID:
    """The same, signed a while ago."""
    signed(stocked, drawn)
    stocked.clock.now = LATER  # type: ignore[attr-defined]
    return drawn


def see(office: Office, job_id: UUID) -> Supply:
    return supply(office, sheet(office, job_id))


def at(office: Office, job_id: UUID) -> Sheet:
    return sheet(office, job_id)


def prepared(office: Office, job_id: UUID) -> UUID:
    """The order of the list with the most lines."""
    lists = [one for one in see(office, job_id).lists if one.can_be_ordered and one.of.kind == "materials"]
    key = list_key(max(lists, key=lambda one: len(one.lines)).of)
    sending.prepare(office, at(office, job_id), key, order())
    return max(at(office, job_id).job.supply_orders, key=lambda one: one.number).id


def sent(office: Office, job_id: UUID) -> UUID:
    one = prepared(office, job_id)
    sending.send(office, at(office, job_id), one, None, None, order())
    return one


def lines_of(office: Office, job_id: UUID, order_id: UUID) -> tuple[SentLine, ...]:
    return see(office, job_id).order(order_id).order.lines


def came(office: Office, job_id: UUID, order_id: UUID, *lines: CameLine, **more) -> None:
    told = Came(day=at(office, job_id).today, lines=lines, **more)
    asyncio.run(arrivals.deliver(office, at(office, job_id), order_id, told, b"", order()))


def refused(error: type[OutlayError], words: str):
    return pytest.raises(error, match=words)


def test_nothing_is_sent_before_it_is_signed_or_while_the_client_may_cancel(stocked: Office, drawn: UUID) -> None:
    ready = drawn
    one = prepared(stocked, ready)
    with refused(Refused, "Nothing is signed"):
        sending.send(stocked, at(stocked, ready), one, None, None, order())
    signed(stocked, ready)
    stocked.clock.now = datetime(2027, 3, 2, 15, tzinfo=UTC)  # type: ignore[attr-defined]
    with refused(Refused, "Not to be sent before"):
        sending.send(stocked, at(stocked, ready), one, None, None, order())
    assert see(stocked, ready).order(one).state is OrderState.TO_ORDER


def test_what_was_sent_never_changes_whatever_the_plan_and_the_book_do(stocked: Office, job: UUID) -> None:
    one = sent(stocked, job)
    lines = lines_of(stocked, job, one)
    assert all(line.amount == pytest.approx(line.packs * line.pack) and line.cents for line in lines)
    price = stocked.basis().prices[lines[0].material]
    edit = book.edit_of(stocked, "price", price.material, 1, {"unit_price": price.unit_price * 2})
    jobs.save(stocked, None, (edit,), order())
    zone = at(stocked, job).job.alternatives[0]
    wider = changed("alternative", zone.id, at(stocked, job).version("alternative", zone.id), {"outline": None})
    jobs.save(stocked, job, (wider,), order())
    assert lines_of(stocked, job, one) == lines
    with refused(Refused, "was sent already"):
        sending.send(stocked, at(stocked, job), one, None, None, order())
    sending.plan(stocked, at(stocked, job), one, {"words": "other", "batch": "other", "spot": "Drive"}, order())
    there = see(stocked, job).order(one).order
    assert (there.words, there.batch, there.spot) == ("", "", "Drive")


def test_sending_is_one_change_that_is_undone_and_sent_twice_is_one_order(stocked: Office, job: UUID) -> None:
    one, act = prepared(stocked, job), order()
    sending.send(stocked, at(stocked, job), one, None, None, act)
    sending.send(stocked, at(stocked, job), one, None, None, act)
    assert see(stocked, job).order(one).state is OrderState.SENT
    assert jobs.undo_words(stocked, job) == f"Order 1 sent: {see(stocked, job).order(one).order.supplier_title}"
    jobs.undo(stocked, job, UUID(int=77))
    assert see(stocked, job).order(one).state is OrderState.TO_ORDER
    sending.remove(stocked, at(stocked, job), one, order())
    assert see(stocked, job).orders == ()


def test_lines_may_be_left_out_and_are_still_to_order(stocked: Office, job: UUID) -> None:
    one = prepared(stocked, job)
    draft = see(stocked, job).draft(see(stocked, job).order(one).order)
    assert draft is not None
    first = draft.lines[0].material
    with refused(BadValue, "No line is ticked"):
        sending.send(stocked, at(stocked, job), one, (), None, order())
    sending.send(stocked, at(stocked, job), one, (first,), None, order())
    assert [line.material for line in lines_of(stocked, job, one)] == [first]
    need = see(stocked, job).list_of(see(stocked, job).order(one).order)
    assert need is not None
    assert first not in [row.line.material for row in need.to_order]
    assert len(need.to_order) == len(draft.lines) - 1


def test_a_special_order_waits_for_the_clients_name_on_a_sample(stocked: Office, job: UUID) -> None:
    one = prepared(stocked, job)
    draft = see(stocked, job).draft(see(stocked, job).order(one).order)
    assert draft is not None
    material = draft.lines[0].material
    special = {"special_order": True, "special_deposit": Decimal("0.5")}
    jobs.save(stocked, None, (book.edit_of(stocked, "price", material, 1, special),), order())
    with refused(Refused, "the client's name is not on a sample"):
        sending.send(stocked, at(stocked, job), one, None, None, order())
    day = at(stocked, job).today
    with refused(BadValue, "has not been yet"):
        late = {"name": "Linnea Whitlock", "day": day + timedelta(days=1)}
        sending.approve_sample(stocked, at(stocked, job), material, late, order())
    sending.approve_sample(stocked, at(stocked, job), material, {"name": "Linnea Whitlock", "day": day}, order())
    sending.send(stocked, at(stocked, job), one, None, None, order())
    there = see(stocked, job).order(one).order
    assert there.lines[0].special
    assert there.deposit_cents == round(there.lines[0].cents / 2 + 0.01)


def test_the_owner_may_order_without_a_sample_with_the_reason(stocked: Office, job: UUID) -> None:
    one = prepared(stocked, job)
    draft = see(stocked, job).draft(see(stocked, job).order(one).order)
    assert draft is not None
    material = draft.lines[0].material
    edit = book.edit_of(stocked, "price", material, 1, {"special_order": True})
    jobs.save(stocked, None, (edit,), order())
    with refused(BadValue, "reason is missing"):
        sending.go_on_without_sample(stocked, at(stocked, job), material, Going(by="Maren", reason=" "), order())
    going = Going(by="Maren Oduya", reason="They chose it at the quarry, from the very block.")
    sending.go_on_without_sample(stocked, at(stocked, job), material, going, order())
    sending.send(stocked, at(stocked, job), one, None, None, order())
    assert see(stocked, job).order(one).state is OrderState.SENT


def test_a_substitute_that_is_not_approved_is_neither_taken_in_nor_ordered(stocked: Office, job: UUID) -> None:
    one = sent(stocked, job)
    line = lines_of(stocked, job, one)[0]
    told = {"material": line.material, "title": "Slate cobble", "unit_price": Decimal("2.5")}
    events.propose(stocked, at(stocked, job), one, told, order())
    with refused(Refused, "waits for the client already"):
        events.propose(stocked, at(stocked, job), one, told, order())
    whole = CameLine(material=line.material, came=line.amount)
    with refused(BadValue, "is not approved by the client"):
        came(stocked, job, one, whole)
    (sub,) = at(stocked, job).job.substitutes
    with refused(BadValue, "client's name is missing"):
        events.decide(stocked, at(stocked, job), sub.id, " ", at(stocked, job).today, order(), yes=True)
    events.decide(stocked, at(stocked, job), sub.id, "Joss Whitlock", at(stocked, job).today, order(), yes=True)
    with refused(Refused, "decided already"):
        events.decide(stocked, at(stocked, job), sub.id, "", at(stocked, job).today, order(), yes=False)
    came(stocked, job, one, whole)
    there = see(stocked, job).order(one).lines[0]
    assert (there.title, there.state) == ("Slate cobble", LineState.WHOLE)


def test_what_came_short_and_broken_is_counted_and_a_wrong_count_is_refused(stocked: Office, job: UUID) -> None:
    one = sent(stocked, job)
    line = lines_of(stocked, job, one)[0]
    with refused(BadValue, "Nothing is counted"):
        came(stocked, job, one, CameLine(material=line.material))
    with refused(BadValue, "More is broken than came"):
        came(stocked, job, one, CameLine(material=line.material, came=1, broken=2))
    came(stocked, job, one, CameLine(material=line.material, came=line.amount, broken=1, batch="K71"), pallets=3)
    there = see(stocked, job).order(one)
    assert (there.lines[0].state, there.lines[0].to_come, there.state) == (LineState.BROKEN, 1, OrderState.PARTLY)
    with refused(BadValue, "3 of this order are here"):
        events_day = {"count": 4, "day": at(stocked, job).today}
        arrivals.pallets_back(stocked, at(stocked, job), one, events_day, order())
    with refused(Refused, "came already"):
        events.call_off(stocked, at(stocked, job), one, "No longer wanted", order())
    (delivery,) = at(stocked, job).job.deliveries
    events.take_out(stocked, at(stocked, job), "delivery", delivery.id, order())
    assert see(stocked, job).order(one).lines[0].state is LineState.TO_COME
    with refused(NotFound, "not there"):
        events.take_out(stocked, at(stocked, job), "delivery", delivery.id, order())


def test_a_bill_whose_lines_are_not_its_total_is_refused_and_its_difference_is_told(stocked: Office, job: UUID) -> None:
    one = sent(stocked, job)
    line = lines_of(stocked, job, one)[0]
    came(stocked, job, one, CameLine(material=line.material, came=line.amount, broken=1))
    day = at(stocked, job).today
    asked = (BilledLine(material=line.material, amount=line.amount, cents=line.cents + 700),)
    with refused(BadValue, "add up to"):
        arrivals.bill(stocked, at(stocked, job), one, {"day": day, "total_cents": 5}, asked, order())
    total = {"day": day, "number": "88214", "total_cents": line.cents + 700}
    arrivals.bill(stocked, at(stocked, job), one, total, asked, order())
    found = see(stocked, job)
    billed = found.billed(found.order(one))
    assert billed is not None
    (row,) = billed.lines
    lost = round(float(line.unit_price) * 100)
    assert (row.price_cents, row.amount_cents, billed.difference_cents) == (700, lost, 700 + lost)


def test_every_day_that_has_not_been_is_refused(stocked: Office, job: UUID) -> None:
    one = sent(stocked, job)
    view = at(stocked, job)
    ahead = view.today + timedelta(days=1)
    for act in (
        lambda: events.confirm(stocked, view, one, {"confirmed_on": ahead}, order()),
        lambda: events.pay_deposit(stocked, view, one, {"deposit_on": ahead, "deposit_cents": 5}, order()),
        lambda: arrivals.bill(stocked, view, one, {"day": ahead}, (), order()),
        lambda: arrivals.pallets_back(stocked, view, one, {"day": ahead, "count": 1}, order()),
    ):
        with refused(BadValue, "has not been yet"):
            act()


def test_home_says_what_is_late_and_nothing_once_it_is_here(stocked: Office, job: UUID) -> None:
    one = sent(stocked, job)
    today = at(stocked, job).today
    events.confirm(stocked, at(stocked, job), one, {"confirmed_on": today, "promised_on": today}, order())
    assert late_orders(stocked) == ()
    stocked.clock.now = LATER + timedelta(days=2)  # type: ignore[attr-defined]
    (late,) = late_orders(stocked)
    assert (late.days, late.sent) == (2, True)
    came(
        stocked, job, one, *(CameLine(material=line.material, came=line.amount) for line in lines_of(stocked, job, one))
    )
    assert late_orders(stocked) == ()


def test_a_point_needs_both_lengths_and_a_named_place_gives_its_own(stocked: Office, job: UUID) -> None:
    one = prepared(stocked, job)
    with refused(BadValue, "two lengths"):
        sending.plan(stocked, at(stocked, job), one, {"spot_x": 3.0, "spot_y": None}, order())
    with refused(BadValue, "Choose a place"):
        sending.plan(stocked, at(stocked, job), one, {"spot_id": UUID(int=5)}, order())
    zone = at(stocked, job).job.zones[0]
    sending.plan(stocked, at(stocked, job), one, {"spot_id": zone.id, "spot": "on boards"}, order())
    spot = see(stocked, job).spot(see(stocked, job).order(one).order)
    assert spot.point == (9.0, 8.0)  # the middle of 18 by 16 ft
    assert spot.told.endswith("Terrace, on boards")


def test_the_order_sheet_says_what_and_where_without_money_or_the_clients_name(stocked: Office, job: UUID) -> None:
    one = sent(stocked, job)
    paper = supply_sheet(stocked, at(stocked, job), one)
    assert paper.address == "27 Quarry Bend"
    assert len(paper.lines) == len(lines_of(stocked, job, one))
    said = repr(paper)
    assert "Whitlock" not in said
    assert "$" not in said


def test_a_list_with_nothing_left_or_nobody_to_sell_it_makes_no_order(stocked: Office, job: UUID) -> None:
    one = sent(stocked, job)
    found = see(stocked, job)
    key = list_key(found.list_of(found.order(one).order).of)  # type: ignore[union-attr]
    with refused(Refused, "Nothing of this list is to order"):
        sending.prepare(stocked, at(stocked, job), key, order())
    with refused(NotFound, "no such order list"):
        sending.prepare(stocked, at(stocked, job), "9-materials-nobody", order())
    events.call_off(stocked, at(stocked, job), one, "The quarry closed", order())
    sending.prepare(stocked, at(stocked, job), key, order())
    assert [it.order.number for it in see(stocked, job).orders] == [1, 2]
