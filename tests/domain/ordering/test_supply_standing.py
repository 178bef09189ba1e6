"""How an order stands: every state, from what was written down and nothing else."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from app.domain.job import Backorder, CameLine, PalletsBack, Substitute
from app.domain.ordering import LineState, OrderState, standings
from tests.domain.ordering.supply import ORDER, came, job_of, sent, sent_line


def stands(*orders, **more):
    return standings(job_of(*(orders or (sent(),)), **more))[0]


def all_of(amount: float, broken: float = 0.0, batch: str = "") -> CameLine:
    return CameLine(material="paver", came=amount, broken=broken, batch=batch)


def test_an_order_goes_from_prepared_to_sent_to_confirmed_to_delivered():
    assert stands(sent(sent_on=None)).state is OrderState.TO_ORDER
    assert stands().state is OrderState.SENT
    assert stands(sent(confirmed_on=date(2027, 5, 4))).state is OrderState.CONFIRMED
    assert stands(deliveries=(came(1, all_of(900.0)),)).state is OrderState.DELIVERED
    assert stands(sent(called_off_on=date(2027, 5, 4))).state is OrderState.CALLED_OFF


@pytest.mark.parametrize(
    ("lines", "state", "to_come"),
    [
        ((all_of(900.0),), LineState.WHOLE, 0.0),
        ((all_of(600.0),), LineState.SHORT, 300.0),
        ((all_of(900.0, 12.0),), LineState.BROKEN, 12.0),
        ((all_of(600.0), all_of(300.0)), LineState.WHOLE, 0.0),
        ((all_of(900.0, 12.0), all_of(12.0)), LineState.WHOLE, 0.0),
        ((), LineState.TO_COME, 900.0),
    ],
)
def test_a_line_comes_whole_short_or_broken(lines, state, to_come):
    one = stands(deliveries=tuple(came(at, line) for at, line in enumerate(lines)))
    assert (one.lines[0].state, one.lines[0].to_come) == (state, to_come)
    assert one.is_open == bool(to_come)


def test_a_backordered_line_has_a_day_of_its_own_and_one_taken_off_comes_no_more():
    order = sent(sent_line(), sent_line("sand"), promised_on=date(2027, 5, 12))
    back = Backorder(id=UUID(int=1), order_id=ORDER, material="paver", expected_on=date(2027, 6, 2))
    one = stands(order, backorders=(back,))
    assert (one.state, one.expected) == (OrderState.BACKORDERED, date(2027, 6, 2))
    later = Backorder(
        id=UUID(int=2), order_id=ORDER, material="paver", off=True, said_at=datetime(2027, 5, 9, tzinfo=UTC)
    )
    sand = came(1, CameLine(material="sand", came=900.0))
    done = stands(order, backorders=(back, later), deliveries=(sand,))
    assert done.lines[0].state is LineState.OFF
    assert (done.state, done.expected) == (OrderState.DELIVERED, None)


def test_a_substitute_waits_until_it_is_approved_and_is_called_by_its_name_then():
    proposed = Substitute(id=UUID(int=1), order_id=ORDER, material="paver", title="Slate cobble")
    waits = stands(substitutes=(proposed,))
    assert (waits.state, waits.lines[0].title) == (OrderState.WAITS, "Paver")
    said = {"id": UUID(int=1), "order_id": ORDER, "material": "paver", "title": "Slate cobble"}
    yes = stands(substitutes=(Substitute(approved_by="Linnea Whitlock", approved_on=date(2027, 5, 5), **said),))
    assert (yes.state, yes.lines[0].title) == (OrderState.SENT, "Slate cobble")
    no = stands(substitutes=(Substitute(declined_on=date(2027, 5, 5), **said),))
    assert (no.state, no.lines[0].title) == (OrderState.SENT, "Paver")


def test_one_batch_that_came_in_two_is_seen():
    one = stands(
        sent(sent_line(one_batch=True)),
        deliveries=(came(1, all_of(500, batch="K71")), came(2, all_of(400, batch="K72"))),
    )
    assert one.lines[0].batches == ("K71", "K72")
    assert one.lines[0].other_batches
    assert (
        not stands(sent(sent_line(one_batch=True)), deliveries=(came(1, all_of(900, batch="K71")),))
        .lines[0]
        .other_batches
    )


def test_pallets_are_counted_in_and_out():
    back = PalletsBack(id=UUID(int=1), order_id=ORDER, day=date(2027, 6, 1), count=7)
    one = stands(deliveries=(came(1, all_of(900.0), pallets=9),), pallets_back=(back,))
    assert (one.pallets_in, one.pallets_back) == (9, 7)
