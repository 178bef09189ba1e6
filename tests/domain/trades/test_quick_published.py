"""Quantities of stone, concrete, masonry and slopes against what was printed."""

import pytest

from app.domain.trades import concrete, masonry, selling_sums, slopes, stone
from app.domain.trades.registry import CALCULATIONS
from app.domain.trades.validity import OutsideValidity
from app.domain.trades.working_out import read_typed, worked_out

YARD = 27.0


def values(key: str, **typed: str):
    one = CALCULATIONS[key]
    return worked_out(one, read_typed(one, typed)).values


@pytest.mark.parametrize(
    ("found", "printed", "near"),
    [
        # Brick Industry Association, Seven Easy Steps, part 2: 200 sq ft of 1 in bedding, 0.62 cu yd
        (stone.layer_volume(200, 1 / 12) / YARD, 0.62, 0.005),
        # the same: base of 4 in, 0.01235 cu yd a sq ft
        (stone.layer_volume(1, 4 / 12) / YARD, 0.01235, 5e-6),
        # geometry: a cubic yard covers 324 sq ft an inch deep, so 40 × 100 ft at 4 in take 49.4 cu yd
        (stone.layer_volume(4000, 4 / 12) / YARD, 49.4, 0.05),
        # Estimating in Building Construction, example 9-2: 1,000 cu yd of clay, swell 30 %, is 1,300 loose
        (stone.loosened(1000, 0.30), 1300, 1e-9),
        # the same: 186 loads of 7 cu yd
        (stone.loads(1300, 7), 186, 0),
        # a college problem book: walk of 3 × 60 ft, 3 in, 5/3 cu yd, and 2 whole yards are ordered
        (concrete.slab_volume(180, 3 / 12, 0) / YARD, 5 / 3, 1e-9),
        (concrete.truck_yards(45, 1), 2, 0),
        # a published worked answer: 366 sq ft ring at 4 in, 122 cu ft, 4.52 cu yd
        (concrete.slab_volume(366, 4 / 12, 0) / YARD, 4.52, 0.005),
        # printed on bags of dry mix: 45, 60, 90 bags of 80, 60, 40 lb a cubic yard
        (concrete.bags(YARD, concrete.BAG_YIELDS["80"]), 45, 0),
        (concrete.bags(YARD, concrete.BAG_YIELDS["60"]), 60, 0),
        (concrete.bags(YARD, concrete.BAG_YIELDS["40"]), 90, 0),
        # a worked example with a short pi: r 0.5 ft, 2 ft 9 in is 2.15 cu ft; 4 bags of 80 lb, 8 of 40 lb
        (concrete.pier_volume(1, 2.75), 2.15, 0.011),
        (concrete.bags(concrete.pier_volume(1, 2.75), 0.60), 4, 0),
        (concrete.bags(concrete.pier_volume(1, 2.75), 0.30), 8, 0),
        # geometry: ten post holes of 1 × 3 ft, 0.873 cu yd
        (10 * concrete.pier_volume(1, 3) / YARD, 0.873, 0.0005),
        # NCMA TEK 14 (1969): 112.5 blocks of 8 × 8 × 16 in 100 sq ft
        (masonry.units_by_face(100, 16 / 12, 8 / 12), 112.5, 1e-9),
        # NAVEDTRA 14045, Builder Advanced: 100 × 10 ft, 75 a course, 15 courses
        (masonry.per_course(100, 16 / 12), 75, 0),
        (masonry.courses(10, 8 / 12), 15, 0),
        # NAVEDTRA 14043, Builder Basic, rule 38: 9.5 sacks in a cubic yard of 1 : 3 mortar
        (masonry.sacks_by_rule(YARD, 3), 9.5, 1e-9),
        # Brick Industry Association, part 3: 1/4 in per ft is 2.083 %; geometry beside it
        (slopes.slope_of(0.25 / 12, 1), 0.02083, 5e-6),
        (slopes.angle_of(0.5), 26.57, 0.005),
        (slopes.fall_over(20, 0.02) * 12, 4.8, 1e-9),
        # definition of markup and margin: 25 % on cost is 20 % of the price
        (selling_sums.markup_of(0.20), 0.25, 1e-12),
        (selling_sums.price_at_margin(80, 0.20), 100, 1e-9),
    ],
)
def test_published_value(found, printed, near) -> None:
    assert found == pytest.approx(printed, abs=near)


def test_residential_code_wants_six_inches_in_ten_feet_which_is_five_percent_not_six() -> None:
    """IRC R401.3; some pages print 6 %."""
    assert slopes.slope_of(0.5, 10) == pytest.approx(0.05)


def test_block_of_four_walls_comes_to_504_as_the_navy_prints_it() -> None:
    """NAVEDTRA 14045: 20 × 8 ft plan, 8 ft high: 56 ft of wall, 42 a course, 12 courses."""
    found = values("block", length="56 ft", height="8 ft", loss="0")
    assert (found["in_course"], found["courses"], found["units"], found["ordered"]) == (42, 12, 504, 504)


def test_topsoil_of_an_irregular_footprint_takes_three_loads() -> None:
    """A student's excavation section, arithmetic verified: 577.25 sq ft, 9 in, swell 10 %, 7 cu yd trucks."""
    bank = stone.layer_volume(10.5 * 17 + 14.5 * 12.5 + 15 * 14.5, 0.75) / YARD
    assert bank == pytest.approx(16.03, abs=0.01)
    assert stone.loads(stone.loosened(bank, 0.10), 7) == 3


def test_loosening_adds_no_weight() -> None:
    loose = values("loads", bank="10", swell="0"), values("loads", bank="10", swell="50")
    assert loose[0]["weight"] == loose[1]["weight"]
    assert loose[1]["loose"] == pytest.approx(1.5 * loose[0]["loose"])


def test_a_loan_is_paid_off_by_its_payments() -> None:
    """The balance run month by month, apart from the annuity formula."""
    paid = selling_sums.monthly_payment(25_000, 0.08, 60)
    left = 25_000.0
    for _ in range(60):
        left = left * (1 + 0.08 / 12) - paid
    assert left == pytest.approx(0, abs=1e-6)
    assert selling_sums.monthly_payment(1200, 0, 12) == 100


def test_bars_are_counted_one_by_one() -> None:
    count = concrete.bars_across(12, 0.25, 1.5)
    assert 11.5 / (count - 1) <= 1.5 < 11.5 / (count - 2)
    longer = concrete.bar_length(30, 10, cover=0.25, spacing=1.5, stock=20, lap=2)
    assert longer == pytest.approx(8 * (29.5 + 2) + 21 * 9.5)


@pytest.mark.parametrize(
    ("function", "good", "bad"),
    [
        (lambda x: stone.layer_volume(1, x), 20, 20.1),
        (lambda x: stone.weight_bought(1, x, 0), 5, 4.9),
        (lambda x: stone.loosened(1, x), 1.0, 1.01),
        (lambda x: stone.base_footprint(1, 1, x), 5, 5.1),
        (lambda x: concrete.slab_volume(1, x, 0), 2 / 12, 1.9 / 12),
        (lambda x: concrete.pier_volume(x, 1), 0.25, 0.2),
        (lambda x: concrete.bags(1, x), 1.5, 1.6),
        (concrete.most_joint_spacing, 3 / 12, 2.9 / 12),
        (lambda x: concrete.bars_across(x, 1, 1), 2.1, 2),
        (lambda x: masonry.mortar_volume(1, x), 15, 15.1),
        (lambda x: masonry.sacks_by_rule(1, x), 4, 4.1),
        (lambda x: slopes.fall_over(1, x), 2, 2.01),
        (slopes.slope_at, 63.4, 64),
        (lambda x: selling_sums.price_at_margin(1, x), 0.95, 0.96),
        (selling_sums.margin_of, 20, 21),
        (lambda x: selling_sums.monthly_payment(1, 0.1, x), 480, 481),
        (lambda x: stone.loads(1, x), 0.1, 0),
    ],
)
def test_both_sides_of_each_validity(function, good, bad) -> None:
    function(good)
    with pytest.raises(OutsideValidity, match=r"\.$"):
        function(bad)
