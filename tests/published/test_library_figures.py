"""Figures of the shipped library against published ones. Each check names its source beside it."""

import math
import tomllib
from pathlib import Path

import pytest

from app.domain.takeoff.formula import formula
from app.domain.takeoff.tree import Scope
from app.domain.takeoff.vocabulary import OF_TRADES
from app.domain.trades.functions import FUNCTIONS
from app.domain.units import AREA, LENGTH, RATIO

LIBRARY = Path(__file__).parents[2] / "app" / "library"
INCH = 1 / 12
POUNDS_PER_TON = 2000


def read(name):
    return tomllib.loads((LIBRARY / name).read_text(encoding="utf-8"))


def assembly(key):
    return read(f"assemblies/{key}.toml")


def part(key, role):
    return next(p for p in assembly(key)["part"] if p["role"] == role)


def number(text, **values):
    """A library formula's value in ft, sq ft, cu ft, lb; values are (number, dimension) or plain numbers."""
    given = {name: value if isinstance(value, tuple) else (value, RATIO) for name, value in values.items()}
    scope = Scope(names={name: kind for name, (_, kind) in given.items()}, applied=OF_TRADES)
    known = {name: one.work for name, one in FUNCTIONS.items()} | {name: value for name, (value, _) in given.items()}
    return formula(text, scope).number(known)


def rate(area, key):
    return read(f"tasks/{area}.toml")["task"][key]["hours"][1]


def test_concrete_bag_yields_45_to_the_cubic_yard():
    # 80 lb premix: 0.60 cu ft, 45 bags to the cubic yard (several published bag tables agree)
    bag = read("materials/concrete.toml")["material"]["concrete-bag"]
    assert number(bag["coverage"]) == pytest.approx(0.60)
    assert 27 / number(bag["coverage"]) == pytest.approx(45)


@pytest.mark.parametrize(("wall_sq_ft", "blocks"), [(1000, 1125), (448, 504)])
def test_block_count_equals_the_navys_worked_walls(wall_sq_ft, blocks):
    # NAVEDTRA 14045 (US Navy, Builder Advanced), p. 145-146: 100 x 10 ft wall, and 20 x 8 ft building 8 ft high
    block = read("materials/masonry.toml")["material"]["cmu-8"]
    assert wall_sq_ft / number(block["coverage"]) == pytest.approx(blocks)


def test_small_units_count_as_the_brick_industry_counts_them():
    # Brick Industry Association, Seven Easy Steps part 2: 4.5 units of 4 x 8 in to the sq ft; part 3: 3 on end to the
    # foot of edge, 60 ft of edge 180 units
    brick = read("materials/pavers.toml")["material"]["paver-brick-clay"]
    assert 1 / number(brick["coverage"]) == pytest.approx(4.5)
    border = read("materials/edging.toml")["material"]["soldier-smoke"]
    assert 60 / number(border["coverage"]) == pytest.approx(180)


def test_paver_layers_equal_the_trade_associations_figures():
    # Interlocking Concrete Pavement Institute, tolerances: base at least 4 in for walks and patios, bedding 1 in nominal
    for key in ("unit-pavers", "unit-pavers-medium", "unit-pavers-large", "stone-on-base"):
        base = assembly(key)["parameter"]["base"]
        assert number(base["least"]) >= 4 * INCH - 1e-12, key
        assert number(base["value"]) >= number(base["least"]), key
    for key in ("unit-pavers", "unit-pavers-medium", "unit-pavers-large"):
        assert number(assembly(key)["parameter"]["bedding"]["value"]) == pytest.approx(1 * INCH), key


def test_bedding_and_base_volumes_equal_the_published_factors():
    # Brick Industry Association, part 2: 0.00309 cu yd of sand per sq ft at 1 in, 0.01235 of base at 4 in; 200 sq ft
    bedding = number(part("unit-pavers", "bedding")["amount"], area=(200, AREA), bedding=(1 * INCH, LENGTH))
    assert bedding / 27 == pytest.approx(200 * 0.00309, rel=2e-3)
    base = number(part("compacted-base", "base stone")["amount"], footprint=(200, AREA), base=(4 * INCH, LENGTH))
    assert base / 27 == pytest.approx(200 * 0.01235, rel=2e-3)


def test_paver_thickness_is_not_below_the_published_minimum():
    # Interlocking Concrete Pavement Institute, tolerances: concrete units at least 60 mm (2 3/8 in) for walks and drives
    for key in ("paver-cobble-harvest", "paver-cobble-slate", "paver-brick-smoke", "paver-plank-sand"):
        paver = read("materials/pavers.toml")["material"][key]
        assert number(paver["thickness"]) >= 2.375 * INCH - 1e-12, key


def test_hauling_equals_the_textbooks_loads():
    # Estimating in Building Construction, example 9-2: 1,000 bank cu yd of dense clay, swell 30 %, is 1,300 loose cu yd,
    # 186 loads of 7 cu yd
    amount = part("excavate-and-haul", "soil haul")["amount"]
    loose = number(amount, footprint=(27000, AREA), depth=(1, LENGTH), swell=1.30) / 27
    assert loose == pytest.approx(1300)
    assert math.ceil(loose / 7) == 186


def test_broken_concrete_weighs_what_the_table_says():
    # US EPA table of material weights: concrete in place 4,050 lb to the cubic yard
    concrete = read("materials/hauling.toml")["material"]["haul-concrete"]
    assert number(concrete["placed_density"]) * 27 == pytest.approx(4050)


def test_stone_in_place_is_not_lighter_than_loose_stone():
    # CalRecycle, weights and volumes for project estimates: loose dry gravel 2,600, sand 2,400 lb to the cubic yard;
    # up to 30 % more wet or compacted. Compacted graded stone is heavier still (assumption, to 50 %).
    aggregates = read("materials/aggregates.toml")["material"]
    for key, loose in {"base-stone-34": 2600, "open-stone-34": 2600, "bedding-sand": 2400, "gravel-dove": 2600}.items():
        placed = number(aggregates[key]["placed_density"]) * 27
        assert loose <= placed <= 1.5 * loose, key


def test_retaining_wall_carries_the_published_pad_drain_and_embedment():
    # Masonry Magazine (trade association), June 2001, p. 19: pad at least 6 in thick and 24 in wide, drain stone at
    # least 12 in behind the units, embedment at least a tenth of the exposed height
    wall = assembly("retaining-wall")["parameter"]
    for name, least in {"pad": 6, "pad_width": 24, "drain_width": 12}.items():
        assert number(wall[name]["least"]) >= least * INCH - 1e-12, name
    for height in (1.0, 2.0, 3.0):
        assert number(wall["buried"]["value"], height=(height, LENGTH)) >= height / 10
    # International Residential Code R105.2: free of a permit to 4 ft from the bottom of the footing
    assert number(wall["total"]["most"]) == pytest.approx(4)


def test_steps_stay_within_the_model_code():
    # International Residential Code R311.7.5.1 and .2: riser at most 7 3/4 in, tread at least 10 in
    rules = read("rules/first.toml")["rule"]
    for key in ("stone-steps", "steps-at-edge"):
        steps = assembly(key)["parameter"]
        assert number(steps["riser"]["most"]) == pytest.approx(7.75 * INCH), key
        assert number(steps["tread"]["least"]) == pytest.approx(10 * INCH), key
        # twice the rise and one tread: 25 to 27 in (garden practice)
        assert 25 * INCH <= 2 * number(steps["riser"]["value"]) + number(steps["tread"]["value"]) <= 27 * INCH, key
    assert (rules["riser-height"]["value"], rules["tread-depth"]["value"]) == (7.75, 10.0)


def test_rates_with_a_published_source_equal_it():
    # Interlocking Concrete Pavement Institute, productivity estimates, February 2011: base 1 ton per person-hour in a
    # small yard by barrow, bedding screeded 100 sq ft, edge restraint 30 ft
    stone = read("materials/aggregates.toml")["material"]["base-stone-34"]
    cu_ft_per_ton = POUNDS_PER_TON / number(stone["placed_density"])
    assert rate("earthwork", "spread-and-compact") * cu_ft_per_ton == pytest.approx(1.0, rel=0.03)
    assert 1 / rate("surfaces", "screed-bedding") == pytest.approx(100)
    assert 1 / rate("surfaces", "set-edge") == pytest.approx(30, rel=0.02)


def test_hand_digging_covers_the_published_range():
    # Guild of Project Controls compendium: 1.16 to 2.01 person-hours per cu yd by soil, to 5 ft deep
    low, _, high = read("tasks/earthwork.toml")["task"]["dig-by-hand"]["hours"]
    assert low <= 1.2
    assert high >= 2.01


def test_dry_well_holds_the_published_storm():
    # New England dry-well fact sheet: 2 in on 1,000 sq ft is 166.7 cu ft of water, 416.7 cu ft of stone at 0.40 open
    amount = part("dry-well", "drain stone")["amount"]
    values = {"count": 1, "roof": (1000, AREA), "storm": (2 * INCH, LENGTH), "open_share": 0.40}
    scope_chamber = (0.0, LENGTH * LENGTH * LENGTH)
    assert number(amount, **values, chamber=scope_chamber) == pytest.approx(416.7, abs=0.05)


def test_tree_fence_radius_follows_the_extension_rule():
    # North Carolina State extension: 1.25 ft of radius to the inch of trunk, at least 6 ft
    radius = assembly("protect-tree")["parameter"]["radius"]["value"]
    assert number(radius, trunk=(10 * INCH, LENGTH)) == pytest.approx(12.5)
    assert number(radius, trunk=(2 * INCH, LENGTH)) == pytest.approx(6)


def test_rules_hold_the_published_limits():
    # IRC R401.3 (2 % within 10 ft), R311.7.8 (4 risers), R312.1.1 (30 in), R105.2 (4 ft); IFC 307.4.2 (25 ft);
    # Interlocking Concrete Pavement Institute (2 %, 4 in, 6 in); 29 CFR 1926.1153 Table 1 (4 h); 40 CFR 745 (1978)
    rules = {key: rule["value"] for key, rule in read("rules/first.toml")["rule"].items()}
    published = {
        "fall-away-from-house": 0.02,
        "fall-reach": 10,
        "paver-fall": 0.02,
        "base-thickness": 4,
        "base-thickness-drive": 6,
        "handrail": 4,
        "guard": 30,
        "wall-height": 4,
        "fire-distance-wood": 25,
        "silica": 4,
        "lead-paint": 1978,
    }
    assert {key: rules[key] for key in published} == published
