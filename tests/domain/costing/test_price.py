"""The build-up on its own: margin, tax, rounding, what is refused."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.basis import CostClass, Firm, LaborClass, Material, Price
from app.domain.costing.crew_day import crew_days, day_of
from app.domain.costing.estimate import estimate
from app.domain.costing.labor import hours_of
from app.domain.costing.price import Cells, build_up, margin_left, margin_of, markup_of, profit_cents, rounded
from app.domain.costing.site_factors import site_factors
from app.domain.errors import BadValue
from app.domain.job import Site
from tests.domain.costing.three_zones import BASIS, FIRM, JOB, TASKS, firm_with

MARGINS = st.decimals(0, "0.9", places=3)


@given(st.integers(0, 10**9), MARGINS)
def test_profit_over_price_is_the_margin(cost, margin):
    profit = profit_cents(cost, margin)
    assert abs(profit - (cost + profit) * margin) <= 1


@given(MARGINS)
def test_markup_and_margin_turn_into_one_another(margin):
    assert margin_of(markup_of(margin)) == pytest.approx(margin)


@pytest.mark.parametrize("margin", [Decimal(1), Decimal("1.5")])
def test_margin_of_the_whole_price_is_refused_in_words(margin):
    with pytest.raises(BadValue, match="below 100%"):
        profit_cents(100, margin)
    with pytest.raises(BadValue, match="below 100%"):
        estimate(JOB, firm_with(margin=margin))


def test_line_beyond_counting_is_refused_in_words():
    dear = Price(material="stone", unit_price=Decimal(10) ** 12)
    with pytest.raises(BadValue, match="Crushed stone comes to more than"):
        estimate(JOB, replace(BASIS, prices={**BASIS.prices, "stone": dear}))


def test_dearest_line_is_counted_and_a_cent_more_is_refused():
    def permit_at(dollars: str):
        return replace(BASIS, prices={**BASIS.prices, "permit": Price(material="permit", unit_price=Decimal(dollars))})

    assert estimate(JOB, permit_at("100_000_000_000.00")).cost_by_class["fee"] == 10_000_000_000_000
    with pytest.raises(BadValue, match="Permit comes to more than 100,000,000,000"):
        estimate(JOB, permit_at("100_000_000_000.01"))


def test_rates_are_said_to_four_decimals_of_a_percent():
    step = estimate(JOB, firm_with(tax_rate=Decimal("0.07123449"))).build_up.step
    assert step("material tax").words == "7.1234%"
    assert step("profit").words == "15% of the price"


def test_cells_whose_hours_are_not_told_are_refused():
    with pytest.raises(ValueError, match="shorter"):
        build_up(Cells(cents=[100, 100], classes=[CostClass.LABOR] * 2, hours=[1.0]), FIRM)


@pytest.mark.parametrize(("markup", "margin"), [(Decimal("-0.5"), Decimal(-1)), (Decimal(0), 0), (Decimal(3), 0.75)])
def test_margin_of_a_markup(markup, margin):
    assert margin_of(markup) == margin


@pytest.mark.parametrize("markup", [Decimal(-1), Decimal("-1.5"), Decimal(-3)])
def test_markup_that_leaves_no_price_is_refused_in_words(markup):
    with pytest.raises(BadValue, match="no price at all"):
        margin_of(markup)


@pytest.mark.parametrize(
    ("price", "step", "is_now"),
    [
        (1249, 100, 1200),
        (1250, 100, 1300),
        (1250, 1, 1250),
        (1251, 1, 1251),
        (1251, 0, 1251),
        (1249, 2, 1250),
        (0, 500, 0),
    ],
)
def test_price_is_rounded_half_up_to_its_step(price, step, is_now):
    assert rounded(price, step) == is_now


@pytest.mark.parametrize(("price", "cost", "left"), [(100, 80, Decimal("0.2")), (100, 120, Decimal("-0.2")), (0, 5, 0)])
def test_margin_left_at_a_price(price, cost, left):
    assert margin_left(price, cost) == left


def test_overhead_by_class_and_by_hour_is_carried_by_what_brings_it():
    firm = Firm(
        overhead={"labor": Decimal("0.5")},
        overhead_per_hour=Decimal(10),
        warranty_reserve=Decimal(0),
        contingency=Decimal(0),
    )
    cells = Cells(
        cents=[10_000, 10_000, 10_000],
        classes=[CostClass.LABOR, CostClass.MATERIAL, CostClass.ALLOWANCE],
        hours=[4.0, 0.0, 0.0],
    )
    # 100.00 × 50 % + 4 h × 10.00 = 90.00, all of it on the labor; an allowance carries none
    assert build_up(cells, firm).step("overhead").shares == (9_000, 0, 0)


def test_nothing_to_price_is_nothing():
    bare = build_up(Cells(cents=[], classes=[], hours=[]), FIRM)
    assert (bare.price_cents, bare.cost_cents, bare.selling) == (0, 0, ())


def test_set_up_is_paid_once_at_each_place():
    # 100 sq ft in one place: 100 × 0.07 + 2 = 9 h; in two places of 50: 2 × (50 × 0.07 + 2) = 11 h
    lay, open_yard = TASKS[0], site_factors(Site(id=JOB.site.id))
    assert hours_of(100, lay, FIRM, open_yard).priced == pytest.approx(9)
    assert 2 * hours_of(50, lay, FIRM, open_yard).priced == pytest.approx(11)
    assert hours_of(0, lay, FIRM, open_yard).priced == 0


@pytest.mark.parametrize(
    ("width", "factor"), [(None, 1.0), (5.0, 1.0), (4.99, 1.2), (3.0, 1.2), (2.99, 1.35), (0.0, 1.35)]
)
def test_narrow_way_in_slows_at_its_limits(width, factor):
    assert site_factors(Site(id=JOB.site.id, access_width=width))["access"].factor == factor


def test_what_was_told_counts_until_the_way_in_is_measured():
    assert site_factors(Site(id=JOB.site.id, access="hard"))["access"].factor == 1.35
    assert site_factors(Site(id=JOB.site.id, access="hard", access_width=8.0))["access"].factor == 1.0


def test_whole_day_has_no_rest_and_a_minute_more_pays_for_another_day():
    rate = Decimal("37.5000")
    exactly = crew_days({"1": [(13.5, rate), (13.5, rate)]}, day_of(FIRM, {}))[0]
    assert (exactly.days, exactly.idle_hours, exactly.idle_cents) == (1, 0, 0)
    more = crew_days({"1": [(27.0, rate), (1 / 60, rate)]}, day_of(FIRM, {}))[0]
    assert more.days == 2
    assert more.idle_hours == pytest.approx(27 - 1 / 60)


def test_firm_without_crew_hours_has_no_crew_days():
    one = crew_days({"1": [(5.0, Decimal(30))]}, day_of(Firm(crew_size=0), {}))[0]
    assert (one.days, one.idle_cents) == (0, 0)


def test_own_hours_fill_no_crew_day():
    people = {**BASIS.labor_classes, "crew": LaborClass(key="crew", title="Owner", wage=Decimal(24), own=True)}
    worked = estimate(JOB, replace(BASIS, labor_classes=people))
    assert worked.crew_days == ()
    assert not [line for line in worked.lines if line.kind == "idle"]


def test_equipment_and_trades_are_costs_of_their_own_class():
    rented = Material(
        key="stone",
        title="Loader",
        role="base stone",
        buy="ton",
        placed_density="140*lb/foot**3",
        cost_class=CostClass.EQUIPMENT,
    )
    worked = estimate(JOB, replace(BASIS, materials={**BASIS.materials, "stone": rented}))
    assert worked.cost_by_class["equipment"] > 0
    # 2,370.00 + 138.75 of materials × 7 %: tax is paid on materials alone
    assert worked.build_up.step("material tax").cents == 175_61
