"""What is still to be ordered: whole packs, never less as the need grows, whatever the order in which things were sent."""

from datetime import date
from decimal import Decimal
from itertools import permutations
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.basis import Basis, Price, Supplier
from app.domain.job import Backorder, CameLine, Substitute
from app.domain.ordering import at_price, drafted, needed, no_longer_needed, standings
from app.domain.ordering.sending import Terms
from app.domain.orders import OrderKind
from tests.domain.ordering.supply import ORDER, PHASE, came, job_of, line, listed, sent, sent_line


def needs(*orders, lists=None, planned=None, **more):
    return needed(lists or (listed(),), standings(job_of(*orders, **more)), planned)[0]


def test_while_nothing_is_sent_all_that_is_bought_is_to_order_with_its_least_order():
    least = needs(lists=(listed(line(wanted=120.0, packs=5)),)).lines[0]
    assert (least.more, least.more_packs, least.ordered, least.over) == (500.0, 5, 0.0, 0.0)


def test_what_was_sent_is_not_to_order_again():
    assert needs(sent()).to_order == ()
    assert needs(sent()).lines[0].settled


def test_a_plan_that_needs_more_says_how_many_packs_and_one_that_needs_less_how_much_is_too_much():
    more = needs(sent(), lists=(listed(line(wanted=1010.0, packs=11)),)).lines[0]
    assert (more.more, more.more_packs, more.over) == (200.0, 2, 0.0)  # 110 lack: two pallets of 100
    less = needs(sent(), lists=(listed(line(wanted=610.0, packs=7)),)).lines[0]
    assert (less.more, less.over) == (0.0, 200.0)
    gone = no_longer_needed((listed(line("sand")),), standings(job_of(sent())))
    assert [(title, amount) for _, title, amount in gone] == [("Paver", 900.0)]


def test_the_draft_that_is_not_signed_is_told_beside_and_orders_nothing():
    one = needs(sent(), planned=(listed(line(wanted=1200.0, packs=12)),)).lines[0]
    assert (one.planned, one.more) == (1200.0, 0.0)
    assert needs(sent(), planned=(listed(),)).lines[0].planned is None


@given(st.floats(1, 5000), st.floats(0, 2000), st.integers(0, 60))
def test_growing_a_need_never_lowers_what_is_to_order_and_packs_are_whole(wanted, grown, packs_sent):
    def to_order(amount):
        packs = max(1, -(-int(amount * 1000) // 100_000))
        held = (sent(sent_line(amount=packs_sent * 100.0, packs=packs_sent)),) if packs_sent else ()
        return needs(*held, lists=(listed(line(wanted=amount, packs=packs)),)).lines[0]

    first, second = to_order(wanted), to_order(wanted + grown)
    assert second.more >= first.more
    for one in (first, second):
        assert one.more == one.more_packs * 100.0
        assert not (one.more and one.over)
        if packs_sent:
            assert one.ordered + one.more >= one.line.wanted - 1e-5


def test_the_order_in_which_orders_were_made_never_matters():
    orders = [
        sent(sent_line(amount=amount, packs=int(amount / 100)), number=at, order_id=UUID(int=900 + at))
        for at, amount in enumerate((300.0, 100.0, 200.0))
    ]
    found = {repr([(one.ordered, one.more) for one in needs(*some).lines]) for some in permutations(orders)}
    assert found == {"[(600.0, 300.0)]"}


def test_what_was_called_off_or_taken_off_is_to_order_again_but_not_what_came_of_it():
    assert needs(sent(called_off_on=date(2027, 5, 4))).lines[0].more == 900.0
    off = Backorder(id=UUID(int=1), order_id=ORDER, material="paver", off=True)
    one = needs(sent(), backorders=(off,), deliveries=(came(1, CameLine(material="paver", came=300.0)),)).lines[0]
    assert (one.ordered, one.more) == (300.0, 600.0)


def test_a_substitute_that_the_client_has_not_approved_is_not_ordered():
    proposed = Substitute(id=UUID(int=2), order_id=ORDER, material="paver", title="Slate cobble")
    one = needs(sent(), substitutes=(proposed,))
    assert one.lines[0].ordered == 0.0
    assert one.lines[0].waits
    assert one.to_order == ()  # nor is the first thing ordered twice while it waits


def test_lists_without_a_supplier_and_trades_make_no_orders():
    assert needs().can_be_ordered
    assert not needs(lists=(listed(supplier=""),)).can_be_ordered
    assert not needs(lists=(listed(kind=OrderKind.SUBCONTRACT),)).can_be_ordered


def priced(**more) -> Terms:
    price = Price(material="paver", unit_price=Decimal("1.2345"), supplier="yard", pack=100, pack_name="pallet", **more)
    suppliers = {
        "yard": Supplier(key="yard", title="Wren Hollow Stone", order_least_cents=200000, order_fee_cents=4500)
    }
    basis = Basis(prices={"paver": price}, suppliers=suppliers)
    return Terms(bought={}, basis=basis, today=basis)


def test_an_order_says_the_price_of_its_day_with_deposits_and_charges():
    one = drafted(
        needs(),
        None,
        priced(
            valid_until=date(2027, 6, 1),
            deposit_cents=2200,
            special_order=True,
            special_deposit=Decimal("0.5"),
            delivery_cents=9500,
        ),
    )
    # 900 × 1.2345 = 1,111.05; half of it 555.525, up; below 2,000 the fee of 45
    assert (one.goods_cents, one.deposit_cents, one.charges_cents, one.delivery_cents) == (111105, 55553, 4500, 9500)
    assert one.held_until == date(2027, 6, 1)
    assert [(line.pallets, line.pallet_cents, line.special, line.packs) for line in one.lines] == [(9, 2200, True, 9)]
    assert drafted(needs(), (), priced()).lines == ()
    assert drafted(needs(), None, Terms(bought={}, basis=Basis(), today=Basis())).unpriced == ("Paver",)


def test_todays_price_holds_where_the_same_supplier_sells_the_same_pack():
    signed = priced()
    now = Price(material="paver", unit_price=Decimal("2.0"), supplier="yard", pack=100, pack_name="pallet")
    other = Price(material="paver", unit_price=Decimal("2.0"), supplier="yard", pack=120, pack_name="pallet")
    today = Terms(bought={}, basis=signed.basis, today=Basis(prices={"paver": now}))
    assert today.price("paver") == now
    apart = Terms(bought={}, basis=signed.basis, today=Basis(prices={"paver": other}))
    assert apart.price("paver") == signed.basis.prices["paver"]


@given(st.integers(1, 400), st.decimals("0.0001", "90", places=4))
def test_all_of_a_line_costs_exactly_what_was_sent(packs, unit_price):
    amount = packs * 100.0
    price = Price(material="paver", unit_price=unit_price, supplier="yard", pack=100, pack_name="pallet")
    basis = Basis(prices={"paver": price})
    need = needs(lists=(listed(line(wanted=amount, packs=packs)),))
    made = drafted(need, None, Terms(bought={}, basis=basis, today=basis)).lines[0]
    assert at_price(made, made.amount) == made.cents
    assert made.amount == pytest.approx(made.packs * made.pack)
    assert made.cents * 100 == pytest.approx(amount * float(unit_price) * 10_000, abs=51)


def test_orders_of_another_phase_count_for_that_phase_only():
    assert needs(sent(phase="elsewhere")).lines[0].more == 900.0
    assert PHASE != "elsewhere"
