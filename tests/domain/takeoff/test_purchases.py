"""Purchases: sums over a phase before rounding up, packs, least orders, loads; more never orders less."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import Basis, Material, Price
from app.domain.findings import Severity, Stop
from app.domain.takeoff.hauling import Ground, Trucks, carried
from app.domain.takeoff.packs import packed
from app.domain.takeoff.purchases import purchases
from app.domain.takeoff.requirements import Requirement
from app.domain.takeoff.whole import whole_up
from app.domain.units import AREA, LENGTH, RATIO, VOLUME, WEIGHT, Dimension
from tests.domain.takeoff.yards import key

STONE = Material(
    key="stone", title="Stone", role="base", buy="ton", placed_density="140*lb/foot**3", loosens=1.25, load="16*ton"
)
PRICE = Price(material="stone", unit_price=Decimal("30.0000"), delivery_cents=10_000)


def need(amount: float, dimension: Dimension = VOLUME, *, phase: str = "1", of: str = "stone", **more) -> Requirement:
    told = {"work_id": key(1), "index": 0, "kind": "material", "key": of, "role": "base", "label": "Base"}
    place = {"zone": "z", "phase": phase, "place": "zone:z", "assembly": "a", "loss": 0.0, "keep": 0.0}
    return Requirement(**{**told, **place, "amount": amount, "dimension": dimension, **more})


def basis_of(material: Material = STONE, price: Price | None = PRICE) -> Basis:
    return Basis(materials={material.key: material}, prices={material.key: price} if price else {})


def one(needs, material: Material = STONE, price: Price | None = PRICE):
    bought, _ = purchases(needs, basis_of(material, price))
    assert len(bought) == 1
    return bought[0]


def test_requirements_of_a_phase_are_summed_before_they_are_rounded_up():
    # 10 cu ft × 140 / 2000 = 0.7 ton each; three of them 2.1 → 3 ton, not 1 + 1 + 1 … rounded one by one it is 3, so
    # take four: 2.8 → 3, while one by one they would be 4
    assert one([need(10.0)] * 4).bought == 3.0


def test_phases_are_rounded_up_apart():
    bought, _ = purchases([need(10.0), need(10.0, phase="2")], basis_of())
    assert [(p.phase, p.bought) for p in bought] == [("1", 1.0), ("2", 1.0)]


def test_losses_and_what_is_kept_are_ordered():
    # 800 × (1 + 0.05 + 0.02) = 856
    paver = Material(key="stone", title="Paver", role="finish", buy="each")
    assert one([need(800.0, RATIO, loss=0.05, keep=0.02)], paver).bought == 856.0


@pytest.mark.parametrize("nearly", [4.0, 4.0 + 4e-10, 4.0 - 4e-10])
def test_within_a_billionth_of_a_whole_is_that_whole(nearly):
    assert whole_up(nearly) == 4


@pytest.mark.parametrize(("number", "whole"), [(4.0 + 1e-8, 5), (4.0 - 1e-8, 4), (0.0, 0), (1e-8, 1), (3.2, 4)])
def test_beyond_it_rounds_up(number, whole):
    assert whole_up(number) == whole


@pytest.mark.parametrize(
    ("number", "whole"),
    [(1e-9, 0), (1.5e-9, 1), (5e-10, 0), (1_000_000.0005, 1_000_000), (1_000_000.002, 1_000_001)],
)
def test_a_billionth_is_of_one_for_small_numbers_and_of_the_number_for_large_ones(number, whole):
    assert whole_up(number) == whole


def test_float_noise_in_a_sum_buys_no_extra_pack():
    # 0.1 × 3 is 0.30000000000000004 in floats: 3 packs of 0.1, not 4
    assert packed(0.1 * 3, Price(material="m", unit_price=Decimal(1), pack=0.1))[0] == 3


@pytest.mark.parametrize(("wanted", "packs"), [(3.2, 4), (0.5, 1), (0.0, 0)])
def test_without_a_price_or_a_pack_a_pack_is_one_unit(wanted, packs):
    assert packed(wanted, None) == (packs, float(packs))
    assert packed(wanted, Price(material="m", unit_price=Decimal(1), pack=0.0)) == (packs, float(packs))


def test_nothing_needed_is_not_bought_and_no_least_order_is_paid():
    assert purchases([need(0.0)], basis_of(price=replace(PRICE, least=4.0))) == ((), ())


def test_purchases_stand_by_phase_then_by_material_however_they_were_entered():
    sand = replace(STONE, key="sand", title="Sand")
    basis = Basis(materials={one.key: one for one in (STONE, sand)}, prices={})
    needs = [need(1.0, phase="2"), need(1.0), need(1.0, of="sand", phase="2"), need(1.0, of="sand")]
    bought, _ = purchases(needs, basis)
    assert [(one.phase, one.material) for one in bought] == [
        ("1", "sand"), ("1", "stone"), ("2", "sand"), ("2", "stone"),
    ]  # fmt: skip


def test_missing_prices_are_told_in_the_order_of_the_book():
    materials = {key: replace(STONE, key=key, title=key) for key in "hbfdaceg"}
    _, findings = purchases([need(1.0, of=key) for key in materials], Basis(materials=materials))
    assert [one.where for one in findings] == [f"material:{key}" for key in "abcdefgh"]


def test_least_order_is_ordered_and_paid():
    bought = one([need(10.0)], price=replace(PRICE, least=4.0))
    assert (bought.bought, bought.cents) == (4.0, 120_00)


def test_weight_of_a_load_is_not_loosened_and_delivery_is_paid_per_load():
    # 240 cu ft × 140 / 2000 = 16.8 ton → 17 ton, 2 loads of 16 ton; loosened by weight it would still be 2
    bought = one([need(228.0)])
    assert (bought.bought, bought.loads, bought.delivery_cents) == (16.0, 1, 100_00)
    more = one([need(240.0)])
    assert (more.bought, more.loads, more.delivery_cents) == (17.0, 2, 200_00)


def test_volume_of_a_load_is_loosened():
    # bought 17 ton = 242.857 cu ft in place × 1.25 = 303.57 cu ft loose: 2 loads of 10 cu yd (270 cu ft), 1 in place
    by_volume = replace(STONE, load="10*yard**3")
    assert one([need(240.0)], by_volume).loads == 2
    assert one([need(240.0)], replace(by_volume, loosens=1.0)).loads == 1


def test_load_by_weight_of_what_is_bought_by_count_goes_by_coverage_and_thickness():
    slab = Material(
        key="stone", title="Slab", role="finish", buy="each", coverage="4*foot**2", thickness="2*inch", placed_density="150*lb/foot**3", load="16*ton",
    )  # fmt: skip
    # 400 × 4 × 1/6 × 150 = 40,000 lb → 2 loads
    assert carried(slab, 400, Ground(), Trucks()).weight == pytest.approx(40_000)
    assert one([need(400.0, RATIO)], slab).loads == 2


BARK = Material(key="stone", title="Bark", role="mulch", buy="yard**3", loosens=1.25)
SOIL = Material(key="stone", title="Soil", role="soil", buy="bag", coverage="0.75*foot**3", loosens=1.2)
SLAB = Material(key="stone", title="Slab", role="finish", buy="each", coverage="4*foot**2", thickness="2*inch")
PAPER = Material(key="stone", title="Paper", role="sheet", buy="each", coverage="4*foot**2")
STRIP = Material(key="stone", title="Strip", role="edge", buy="each", coverage="8*foot", thickness="2*inch")


@pytest.mark.parametrize(
    ("material", "dimension", "carries"),
    [
        (BARK, VOLUME, 40 * 27 * 1.25),
        (STONE, VOLUME, 40 * 2000 / 140 * 1.25),
        (STONE, WEIGHT, 40 * 2000),
        (SOIL, VOLUME, 40 * 0.75 * 1.2),
        (SLAB, VOLUME, 40 * 4 * 2 / 12),
        (BARK, WEIGHT, None),
        (PAPER, VOLUME, None),
        (STRIP, VOLUME, None),
        (replace(STONE, placed_density=""), VOLUME, None),
    ],
)
def test_what_a_truck_carries_of_forty_units(material, dimension, carries):
    # by hand: a cubic yard is 27 cu ft, a short ton 2,000 lb; only volume is loosened
    on_trucks = carried(material, 40, Ground(), Trucks())
    found = {VOLUME: on_trucks.loose, WEIGHT: on_trucks.weight}[dimension]
    assert found == (carries if carries is None else pytest.approx(carries))


def test_load_of_a_single_one_is_delivered_one_by_one():
    tree = Material(key="stone", title="Tree", role="tree", buy="each", load="each")
    bought = one([need(3.0, RATIO)], tree)
    assert (bought.loads, bought.delivery_cents) == (3, 300_00)


def test_load_by_length_is_counted_in_what_it_is_bought_by():
    edging = Material(key="stone", title="Edging", role="edge", buy="foot", load="100*foot")
    assert one([need(240.0, LENGTH)], edging).loads == 3


def test_load_that_cannot_be_told_is_said_and_one_is_paid():
    odd = Material(key="stone", title="Kerb", role="edge", buy="each", load="16*ton")
    bought, findings = purchases([need(400.0, RATIO)], basis_of(odd))
    assert (bought[0].loads, bought[0].delivery_cents) == (0, 100_00)
    assert [(f.rule, f.severity) for f in findings] == [("loads-unknown", Severity.NOTE)]
    assert "how many loads of 16 tons it takes" in findings[0].what


def test_missing_price_is_a_money_stop_and_no_figure():
    bought, findings = purchases([need(10.0), need(3.0, phase="2")], basis_of(price=None))
    assert [(p.priced, p.total_cents) for p in bought] == [(False, 0), (False, 0)]
    assert [(f.rule, f.stop, f.where) for f in findings] == [("price-missing", Stop.MONEY, "material:stone")]


@pytest.mark.parametrize("dimension", [LENGTH, AREA])
def test_what_cannot_be_bought_is_a_money_stop_in_words(dimension):
    bought, findings = purchases([need(10.0, dimension)], basis_of())
    assert bought == ()
    assert [(f.rule, f.stop) for f in findings] == [("cannot-buy", Stop.MONEY)]
    assert "Stone" in findings[0].what


def test_unknown_material_is_a_money_stop():
    assert purchases([need(10.0, of="gone")], basis_of())[1][0].rule == "cannot-buy"


AMOUNTS = st.floats(0.001, 5000, allow_nan=False)


@settings(max_examples=100)
@given(
    st.lists(AMOUNTS, min_size=1, max_size=6),
    AMOUNTS,
    st.sampled_from([0.1, 1.0, 2.5, 40.0]),
    st.sampled_from([0.0, 7.0]),
)
def test_growing_an_amount_never_lowers_an_order(amounts, more, pack, least):
    price = replace(PRICE, pack=pack, least=least)
    before = one([need(a) for a in amounts], price=price)
    grown = one([need(amounts[0] + more), *(need(a) for a in amounts[1:])], price=price)
    for name in ("wanted", "bought", "packs", "loads", "cents", "delivery_cents"):
        assert getattr(grown, name) >= getattr(before, name), name


@settings(max_examples=100)
@given(st.lists(AMOUNTS, min_size=1, max_size=8), st.randoms(use_true_random=False))
def test_parts_add_up_and_order_of_entry_never_matters(amounts, chance):
    needs = [need(a) for a in amounts]
    bought = one(needs)
    assert sum(bought.parts) == bought.total_cents
    assert sum(bought.amounts) == pytest.approx(bought.wanted)
    chance.shuffle(needs)
    again = one(needs)
    assert (again.wanted, again.bought, again.total_cents) == (bought.wanted, bought.bought, bought.total_cents)


@settings(max_examples=60)
@given(AMOUNTS, st.floats(0, 0.5))
def test_more_waste_never_lowers_an_order(amount, loss):
    assert one([need(amount, loss=loss)]).bought >= one([need(amount)]).bought
