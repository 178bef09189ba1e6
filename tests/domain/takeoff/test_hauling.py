"""Loads by volume and by weight: published examples, swell by the site's soil, tipping by kind, more never cheaper."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import Basis, CostClass, Material, Price, Rule
from app.domain.findings import Severity, Stop
from app.domain.takeoff.buying import wanted_dimensions
from app.domain.takeoff.hauling import Ground, Trucks, carried, ground_of, tipping, trucks_of
from app.domain.takeoff.purchases import purchases
from app.domain.takeoff.requirements import Requirement
from app.domain.units import RATIO, VOLUME, Dimension
from app.interchange.library_file import load_library
from tests.domain.takeoff.yards import key

RULES = load_library().basis().rules
SHIPPED = load_library().basis().materials
SOIL = SHIPPED["haul-soil"]
YARD, TON = 27.0, 2000.0


def soil_loads(bank_cu_yd: float, swell: float, truck: float) -> tuple[float, int]:
    """Loose cubic yards and loads of soil by volume alone."""
    found = carried(replace(SOIL, load=f"{truck}*yard**3"), bank_cu_yd * swell, Ground(swell=swell), Trucks())
    return found.loose / YARD, found.by_volume


@pytest.mark.parametrize(
    ("bank", "swell", "truck", "loose", "loads"),
    [
        # Estimating Building Costs, example 9-2: 1,000 bcy of dense clay, swell 30 %, 7 cu yd trucks: 186 loads
        (1000.0, 1.30, 7.0, 1300.0, 186),
        # Peurifoy and others, Construction Planning, Equipment, and Methods, ch. 5: bank 2,800, loose 2,295 lb/cu yd are
        # a swell of 22 %; 3,000 bcy less 950 for backfill, trucks of 30: 2,501 lcy, 84 loads (worked out on its inputs)
        (2050.0, 2800 / 2295, 30.0, 2501.1, 84),
        # strip of 16.03 cu yd, swell 10 %, trucks of 7: 17.6 lcy, 3 loads (a student's worked example)
        (432.94 / 27, 1.10, 7.0, 17.6, 3),
    ],
)
def test_loads_of_published_examples(bank, swell, truck, loose, loads):
    found = soil_loads(bank, swell, truck)
    assert found == (pytest.approx(loose, abs=0.06), loads)


def test_ten_loads_and_a_hair_are_ten():
    assert soil_loads(100.0000000001, 1.0, 10.0)[1] == 10
    assert soil_loads(100.001, 1.0, 10.0)[1] == 11


def test_hundred_of_sand_in_the_ground_are_111_loose_and_95_compacted():
    # US Navy earthmoving table: 100 bcy of sand are 111 lcy and 95 ccy
    sand = ground_of("sand", RULES)
    assert (100 * sand.swell, 100 * sand.shrink) == (pytest.approx(111), pytest.approx(95))


@pytest.mark.parametrize(
    ("soil", "swell", "shrink"),
    # FM 5-434 table 1-1, from memory but for sand; common earth where the soil is not known
    [("clay", 1.43, 0.90), ("loam", 1.25, 0.90), ("rock", 1.50, 1.30), ("", 1.25, 0.90), ("peat", 1.25, 0.90)],
)
def test_soil_of_the_site_swells_by_the_table(soil, swell, shrink):
    found = ground_of(soil, RULES)
    assert (found.swell, found.shrink) == (swell, shrink)
    assert ground_of(soil, {}) == Ground()


def test_loose_weights_agree_with_the_state_s_table():
    # CalRecycle: earth loose and dry 2,100 lb/cu yd, sand loose and damp 2,880, broken concrete loose 2,400
    earth, sand = ground_of("loam", RULES), ground_of("sand", RULES)
    assert earth.weight * 27 / earth.swell == pytest.approx(2100, rel=0.03)
    assert sand.weight * 27 / sand.swell == pytest.approx(2880, rel=0.005)
    concrete = carried(SHIPPED["haul-concrete"], 2.025, Ground(), Trucks())  # 1 cu yd in place is 4,050 lb
    assert concrete.in_place / YARD == pytest.approx(1.0)
    assert concrete.weight / (concrete.loose / YARD) == pytest.approx(2400, rel=0.01)


def test_box_fills_first_with_earth_and_payload_with_rock():
    # 40 cu yd loose. Earth: 32 in the ground × 2,700 lb = 43.2 tons. Rock: 26.67 × 4,050 = 54 tons. 10 cu yd, 12 tons
    trucks = trucks_of(RULES)
    earth, rock = (carried(SOIL, 40.0, ground_of(soil, RULES), trucks) for soil in ("loam", "rock"))
    assert (earth.by_volume, earth.by_weight, earth.loads) == (4, 4, 4)
    assert (rock.by_volume, rock.by_weight, rock.loads) == (4, 5, 5)
    assert (earth.weight / TON, rock.weight / TON) == (pytest.approx(43.2), pytest.approx(54.0))
    green = carried(SHIPPED["haul-green"], 40.0, Ground(), trucks)  # its own load of 12 cu yd; 24,000 lb are 12 tons
    assert (green.by_volume, green.by_weight) == (4, 1)


def test_basis_without_rules_has_the_load_of_the_material_only():
    found = carried(SOIL, 40.0, ground_of("rock", {}), trucks_of({}))
    assert (found.by_volume, found.by_weight, found.loads) == (4, 0, 4)


def test_what_is_brought_goes_by_its_own_load_alone():
    stone = carried(SHIPPED["base-stone-34"], 17.0, Ground(), trucks_of(RULES))
    assert (stone.by_volume, stone.by_weight, stone.loads) == (0, 2, 2)
    assert stone.loose == pytest.approx(17 * 2000 / 140 * 1.25)


# tipping

BY_TON = Price(material="m", unit_price=Decimal(0), tip_cents=62_00, tip_per="ton", tip_least_cents=75_00)


@pytest.mark.parametrize(
    ("price", "cents"),
    # 40 cu yd loose of earth: 43.2 tons, 4 loads
    [
        (BY_TON, 2_678_40),  # 43.2 × 62
        (replace(BY_TON, tip_per="yard", tip_cents=9_00), 360_00),
        (replace(BY_TON, tip_per="load", tip_cents=80_00), 320_00),
        (replace(BY_TON, tip_per="", tip_cents=80_00), 320_00),
        (replace(BY_TON, tip_cents=2_00), 300_00),  # 86.40 by the ton, at least 4 × 75
        (replace(BY_TON, tip_cents=0, tip_least_cents=0), 0),
    ],
)
def test_tipping_goes_by_ton_yard_or_load_with_a_least(price, cents):
    assert tipping(price, carried(SOIL, 40.0, ground_of("loam", RULES), trucks_of(RULES))) == cents


def need(amount: float, of: str = "haul-soil", dimension: Dimension = VOLUME) -> Requirement:
    return Requirement(key(1), 0, "material", of, "r", "R", amount, dimension, 0.0, 0.0, "z", "1", "zone:z", "a")


def basis_of(price: Price, material: Material = SOIL) -> Basis:
    held = replace(price, material=material.key)
    return Basis(materials={material.key: material}, prices={material.key: held}, rules=RULES)


def test_hauling_is_loading_trucks_and_tipping():
    price = replace(BY_TON, unit_price=Decimal("4.50"), delivery_cents=165_00, tip_cents=10_00)
    bought, findings = purchases([need(40 * YARD)], basis_of(price), "loam")
    assert [(one.cents, one.delivery_cents, one.tip_cents, one.total_cents) for one in bought] == [
        (180_00, 4 * 165_00, 432_00, 1_272_00)
    ]
    assert (sum(bought[0].parts), findings) == (1_272_00, ())
    rock, _ = purchases([need(40 * YARD)], basis_of(price), "rock")
    assert (rock[0].loads, rock[0].tip_cents) == (5, 540_00)


def test_same_requirements_at_another_site_are_hauled_by_its_soil():
    needed, basis = [need(40 * YARD)], basis_of(BY_TON)
    loads = [purchases(needed, basis, soil)[0][0].loads for soil in ("loam", "rock", "loam")]
    assert loads == [4, 5, 4]


def test_tipping_by_what_is_not_known_stops_in_words():
    box = Material(key="m", title="Mixed waste", role="r", buy="each", cost_class=CostClass.HAULING, load="each")
    _, findings = purchases([need(2.0, "m", RATIO)], basis_of(BY_TON, box))
    assert [(one.rule, one.stop) for one in findings] == [("tipping-unknown", Stop.MONEY)]
    assert "tipped by the ton" in findings[0].what


def test_soil_that_is_not_known_is_a_note():
    _, findings = purchases([need(YARD)], basis_of(replace(BY_TON, unit_price=Decimal(1))))
    assert [(one.rule, one.severity, one.where) for one in findings] == [("soil-not-known", Severity.NOTE, "site")]


AMOUNTS = st.floats(0.5, 4000, allow_nan=False)
KINDS = [one for one in SHIPPED.values() if one.cost_class is CostClass.HAULING and VOLUME in wanted_dimensions(one)]


@settings(max_examples=150)
@given(
    AMOUNTS,
    AMOUNTS,
    st.sampled_from(KINDS),
    st.sampled_from(["ton", "yard", "load"]),
    st.sampled_from(["sand", "loam", "clay", "fill", "rock", ""]),
)
def test_hauling_more_is_never_cheaper_and_never_fewer_loads(amount, more, material, per, soil):
    price = replace(BY_TON, unit_price=Decimal("4.50"), delivery_cents=165_00, tip_per=per)
    basis = basis_of(price, material)
    (less,), (grown,) = (purchases([need(one, material.key)], basis, soil)[0] for one in (amount, amount + more))
    for name in ("bought", "loads", "cents", "delivery_cents", "tip_cents", "total_cents"):
        assert getattr(grown, name) >= getattr(less, name), name


@given(st.floats(0.01, 5000), st.floats(1.0, 2.0))
def test_soil_weighs_the_same_in_the_ground_and_on_the_truck(bank, swell):
    found = carried(SOIL, bank * swell, Ground(swell, 0.9, 100.0), Trucks())
    assert found.weight == pytest.approx(bank * YARD * 100.0)
    assert found.in_place == pytest.approx(bank * YARD)


def test_firm_s_own_truck_rules_count():
    rules = {**RULES, "haul-truck-payload": Rule(id="haul-truck-payload", title="", value=6.0)}
    found = carried(SOIL, 40.0, ground_of("loam", rules), trucks_of(rules))
    assert found.loads == 8  # 43.2 / 6 = 7.2
