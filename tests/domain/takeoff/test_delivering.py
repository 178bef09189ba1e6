"""Delivery: small orders, orders worth little, shared loads, pallets that go back. Growing never costs less."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import Basis, Material, Price, Supplier
from app.domain.findings import Severity
from app.domain.takeoff.packs import pallets_of
from app.domain.takeoff.purchases import purchases
from app.domain.takeoff.requirements import Requirement
from app.domain.units import WEIGHT, Dimension
from tests.domain.takeoff.yards import key

PIT = Supplier(key="pit", title="Aldgate Pit")
STONE = Material(key="stone", title="Stone", role="base", buy="ton", placed_density="140*lb/foot**3", load="16*ton")
SAND = replace(STONE, key="sand", title="Sand")
STONE_PRICE = Price(material="stone", unit_price=Decimal(30), supplier="pit", delivery_cents=140_00)
SAND_PRICE = replace(STONE_PRICE, material="sand", unit_price=Decimal(29), delivery_cents=150_00)


def need(tons: float, of: str = "stone", phase: str = "1", dimension: Dimension = WEIGHT) -> Requirement:
    pounds = tons * 2000
    return Requirement(key(1), 0, "material", of, "r", "R", pounds, dimension, 0.0, 0.0, "z", phase, "zone:z", "a")


def basis_of(supplier: Supplier = PIT, *prices: Price) -> Basis:
    return Basis(
        materials={"stone": STONE, "sand": SAND},
        prices={one.material: one for one in prices or (STONE_PRICE, SAND_PRICE)},
        suppliers={"pit": supplier},
    )


def bought(needs, basis: Basis):
    return {(one.material, one.phase): one for one in purchases(needs, basis)[0]}


# small orders

SMALL = replace(STONE_PRICE, small_below=10.0, small_cents=65_00)


@pytest.mark.parametrize(
    ("tons", "ordered", "cents", "small"),
    [
        (4.0, 4.0, 120_00, 65_00),  # filled up to 10 tons it would be 300, with the charge it is 185
        (7.0, 7.0, 210_00, 65_00),  # 275
        (8.0, 10.0, 300_00, 0),  # with the charge 305: two more tons are cheaper
        (10.0, 10.0, 300_00, 0),
        (11.0, 11.0, 330_00, 0),
    ],
)
def test_small_order_is_charged_or_filled_up_whichever_costs_less(tons, ordered, cents, small):
    one = bought([need(tons)], basis_of(PIT, SMALL))["stone", "1"]
    assert (one.bought, one.cents, one.small_cents, one.filled_up) == (ordered, cents, small, tons == 8.0)
    assert one.total_cents == cents + small + 140_00 == sum(one.parts)


# an order worth little

LITTLE = replace(PIT, order_least_cents=500_00, order_fee_cents=85_00)


@pytest.mark.parametrize(
    ("stone", "sand", "charged"),
    [
        (5.0, 5.0, 85_00),  # worth 295
        (7.0, 8.0, 58_00),  # worth 442: what lacks to 500 is less than the charge
        (10.0, 7.0, 0),  # worth 503
    ],
)
def test_order_worth_little_is_charged_what_lacks_at_most(stone, sand, charged):
    found = bought([need(stone), need(sand, "sand")], basis_of(LITTLE))
    assert sum(one.fee_cents for one in found.values()) == charged
    for one in found.values():
        assert sum(one.parts) == one.total_cents == one.cents + one.fee_cents + one.delivery_cents


def test_each_phase_is_an_order_of_its_own():
    found = bought([need(10.0), need(10.0, phase="2")], basis_of(LITTLE))
    assert [one.fee_cents for one in found.values()] == [85_00, 85_00]


# shared loads

SHARING = replace(PIT, shares_loads=True)


def test_stone_and_sand_of_one_supplier_share_a_truck():
    # 6 / 16 + 9 / 16 = 15 / 16 of a load: one truck at the dearer delivery, shared 6 to 9
    needs = [need(6.0), need(9.0, "sand")]
    apart, together = bought(needs, basis_of()), bought(needs, basis_of(SHARING))
    assert [one.delivery_cents for one in apart.values()] == [150_00, 140_00]
    assert sum(one.delivery_cents for one in together.values()) == 150_00
    stone, sand = together["stone", "1"], together["sand", "1"]
    assert (stone.delivery_cents, sand.delivery_cents) == (60_00, 90_00)
    assert (stone.order.truck.loads, stone.order.truck.materials) == (1, ("sand", "stone"))
    assert sum(stone.parts) == stone.total_cents == 240_00


def test_exactly_two_loads_are_two():
    found = bought([need(6.0), need(26.0, "sand")], basis_of(SHARING))
    assert found["sand", "1"].order.truck.loads == 2
    found = bought([need(7.0), need(26.0, "sand")], basis_of(SHARING))
    assert found["sand", "1"].order.truck.loads == 3


def test_other_kinds_of_load_and_other_phases_come_on_trucks_of_their_own():
    other = replace(basis_of(SHARING), materials={"stone": STONE, "sand": replace(SAND, load="10*ton")})
    found = bought([need(6.0), need(6.0, "sand")], other)
    assert [one.order.truck for one in found.values()] == [None, None]
    found = bought([need(6.0), need(6.0, "sand", phase="2")], basis_of(SHARING))
    assert [one.order.truck for one in found.values()] == [None, None]


def test_purchases_of_an_order_stay_the_very_same_while_nothing_is_edited():
    needs, basis = [need(6.0), need(9.0, "sand")], basis_of(SHARING)
    first, again = purchases(needs, basis)[0], purchases(needs, basis)[0]
    assert all(one is other for one, other in zip(first, again, strict=True))
    dearer = replace(basis, prices={**basis.prices, "sand": replace(SAND_PRICE, delivery_cents=160_00)})
    assert sum(one.delivery_cents for one in purchases(needs, dearer)[0]) == 160_00
    alone = replace(basis, suppliers={"pit": PIT})
    assert sum(one.delivery_cents for one in purchases(needs, alone)[0]) == 290_00


# pallets


def test_pallets_are_paid_out_and_come_back_but_for_those_that_are_lost():
    # 5,000 pieces on pallets of 480: 11 pallets at 24; a tenth is lost, rounded up to 2
    paver = Material(key="stone", title="Paver", role="finish", buy="each")
    price = Price(material="stone", unit_price=Decimal(1), pallet=480, deposit_cents=24_00, deposit_lost=0.1)
    basis = Basis(materials={"stone": paver}, prices={"stone": price})
    one = bought([need(2.5, dimension=Dimension())], basis)["stone", "1"]
    assert one.bought == 5000
    assert (one.pallets.paid_cents, one.pallets.back_cents, one.pallets.kept_cents) == (264_00, 216_00, 48_00)
    assert one.total_cents == 5_000_00 + 48_00


@pytest.mark.parametrize(
    ("more", "come", "lost"),
    [({}, 3, 0), ({"deposit_lost": 1.0}, 3, 3), ({"pallet": 100.0, "deposit_lost": 0.5}, 12, 6)],
)
def test_pack_is_the_pallet_where_nothing_else_is_said(more, come, lost):
    price = Price(material="m", unit_price=Decimal(1), pack=400, deposit_cents=10_00, **more)
    found = pallets_of(1200.0, 3, price)
    assert (found.come, found.lost) == (come, lost)


# what is not known


def test_load_without_a_price_of_delivery_is_a_note():
    free = replace(STONE_PRICE, delivery_cents=0)
    _, findings = purchases([need(4.0)], basis_of(PIT, free))
    assert [(one.rule, one.severity) for one in findings] == [("delivery-not-priced", Severity.NOTE)]
    assert purchases([need(4.0)], basis_of())[1] == ()


# growing never costs less

TONS = st.floats(0.05, 80, allow_nan=False)
CENTS = st.sampled_from([0, 65_00, 400_00])
TERMS = st.builds(
    Supplier, key=st.just("pit"), title=st.just("Pit"), order_least_cents=st.sampled_from([0, 500_00, 2_000_00]),
    order_fee_cents=CENTS, shares_loads=st.booleans(),
)  # fmt: skip


@st.composite
def prices(draw, of: str) -> Price:
    return Price(
        material=of,
        unit_price=draw(st.decimals("0.5", 60, places=2)),
        supplier="pit",
        pack=draw(st.sampled_from([1.0, 0.5, 2.5])),
        least=draw(st.sampled_from([0.0, 3.0])),
        delivery_cents=draw(st.sampled_from([0, 140_00])),
        small_below=draw(st.sampled_from([0.0, 10.0, 12.3])),
        small_cents=draw(CENTS),
        pallet=draw(st.sampled_from([0.0, 3.0])),
        deposit_cents=draw(st.sampled_from([0, 24_00])),
        deposit_lost=draw(st.sampled_from([0.0, 0.1, 1.0])),
    )


@settings(max_examples=200)
@given(TONS, TONS, TONS, TERMS, prices("stone"), prices("sand"))
def test_growing_an_amount_never_lowers_its_order_or_what_all_costs(stone, more, sand, supplier, one, other):
    basis = basis_of(supplier, one, other)
    before, grown = (bought([need(tons), need(sand, "sand")], basis) for tons in (stone, stone + more))
    assert grown["stone", "1"].bought >= before["stone", "1"].bought
    assert sum(one.total_cents for one in grown.values()) >= sum(one.total_cents for one in before.values())
    for purchase in grown.values():
        assert sum(purchase.parts) == purchase.total_cents


@settings(max_examples=60)
@given(st.permutations([need(6.0), need(9.0, "sand"), need(3.3), need(0.4, "sand")]), TERMS)
def test_order_of_entry_never_matters(needs, supplier):
    basis = basis_of(supplier, SMALL, SAND_PRICE)
    found = bought(needs, basis)
    straight = bought([need(9.3), need(9.4, "sand")], basis)
    assert {key: one.total_cents for key, one in found.items()} == {
        key: one.total_cents for key, one in straight.items()
    }
