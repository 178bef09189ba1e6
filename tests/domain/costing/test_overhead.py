"""A year of overhead: rates that recover it, and where sales pay for it. Sources stand beside published values."""

from decimal import Decimal
from math import ceil

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.domain.basis import Firm
from app.domain.costing.overhead import (
    CLASSES,
    break_even,
    brought_in_cents,
    firm_rates,
    profit_cents_of,
    recovering_rates,
    sales_at_margin_cents,
    yearly_cents,
)
from app.domain.costing.price import Cells, build_up
from app.domain.errors import BadValue
from app.domain.year import OverheadItem, YearAhead

ITEMS = (
    OverheadItem(title="Rent of the yard", cents=18_000_00),
    OverheadItem(title="Office", cents=6_000_00, carried_by="hours"),
    OverheadItem(title="Yard forklift", cents=4_000_00, carried_by="material"),
)
YEAR = YearAhead(
    direct_cents={"material": 200_000_00, "labor": 120_000_00, "own hours": 30_000_00, "subcontract": 50_000_00},
    sales_cents=560_000_00,
    billable_hours=Decimal(4_000),
    jobs=14,
)


def firm(**fields) -> Firm:
    return Firm(**{"overhead_items": ITEMS, "year": YEAR, **fields})


def test_break_even_of_a_remodeling_firm():
    # Source: "How to find your break-even point", hgtvremodels.com: fixed cost $100,000 a year, average contract
    # $15,000, margin 28 %: $4,200 a job, 23.81, that is 24 jobs
    year = YearAhead(direct_cents={"labor": 10_800_00}, sales_cents=15_000_00, jobs=1)
    found = break_even(Firm(overhead_items=(OverheadItem(title="All", cents=100_000_00),), year=year))
    assert found.contribution == Decimal("0.28")
    assert float(found.jobs) == pytest.approx(23.81, abs=0.005)
    assert ceil(found.jobs) == 24


def test_break_even_by_contribution_ratio():
    # Source: a course on break-even (slideshare.net, slideshow 256704620): fixed 200,000, price 5, variable 3:
    # ratio 40 %, break-even sales $500,000
    year = YearAhead(direct_cents={"material": 3_00}, sales_cents=5_00)
    found = break_even(Firm(overhead_items=(OverheadItem(title="All", cents=200_000_00),), year=year))
    assert (found.contribution, found.sales_cents) == (Decimal("0.4"), 500_000_00)
    assert found.hours is None
    assert found.jobs is None


def test_overhead_per_productive_hour():
    # Source: a contractors' forum (lawnsite.com, "overhead charges"; common practice): 4.3 weeks × 40 h = 172 h, 78 %
    # of them productive = 134 h; $1,000 over them is printed as 7.47. Exactly 7.4538: we round up to the cent
    year = YearAhead(billable_hours=Decimal("4.3") * 40 * Decimal("0.78"))
    one = Firm(overhead_items=(OverheadItem(title="All", cents=1_000_00),), overhead_method="hour", year=year)
    assert recovering_rates(one).per_hour == Decimal("7.46")


def test_rates_by_hand():
    # direct 400,000 with 150,000 of hours: rent 18,000 / 400,000 = 4.5 %; office 6,000 / 150,000 = 4 % on labor and own
    # hours; forklift 4,000 / 200,000 = 2 % on material
    rates = recovering_rates(firm())
    assert rates.by_class["material"] == Decimal("0.065")
    assert rates.by_class["labor"] == rates.by_class["own hours"] == Decimal("0.085")
    assert rates.by_class["subcontract"] == Decimal("0.045")
    assert rates.per_hour == 0
    both = recovering_rates(firm(overhead_method="both"))
    assert (both.by_class["labor"], both.per_hour) == (Decimal("0.045"), Decimal("1.5"))  # 6,000 / 4,000 h
    hour = recovering_rates(firm(overhead_method="hour"))
    assert (hour.by_class, hour.per_hour) == ({}, Decimal(7))  # 28,000 / 4,000 h


def test_year_by_hand():
    # sales 560,000 − direct 400,000 − overhead 28,000 = 132,000; (400,000 + 28,000) / (1 − 0.2) = 535,000
    assert profit_cents_of(firm()) == 132_000_00
    assert sales_at_margin_cents(firm(margin=Decimal("0.2"))) == 535_000_00
    # 28,000 / (160,000 / 560,000) = 98,000; 4,000 h × 0.175 = 700 h; 14 × 0.175 = 2.45 jobs
    found = break_even(firm())
    assert (found.sales_cents, found.hours, found.jobs) == (98_000_00, Decimal(700), Decimal("2.45"))


MONEY = st.integers(0, 50_000_000)


@given(
    st.lists(st.tuples(st.sampled_from(["all", "hours", *CLASSES]), MONEY), min_size=1, max_size=6),
    st.dictionaries(st.sampled_from(CLASSES), st.integers(1_00, 10**9), min_size=1),
    st.decimals(1, 20_000, places=1),
    st.sampled_from(["class", "hour", "both"]),
)
def test_rates_bring_in_the_overhead_and_hardly_more(items, direct, hours, method):
    year = YearAhead(direct_cents=direct, billable_hours=hours)
    listed = tuple(OverheadItem(title="x", cents=cents, carried_by=by) for by, cents in items)
    one = Firm(overhead_items=listed, overhead_method=method, year=year)
    try:
        rates = recovering_rates(one)
    except BadValue:
        assume(False)
    over = brought_in_cents(rates, year) - yearly_cents(listed)
    # rounded up: 0.01 % of each class and a cent of each hour at most
    assert 0 <= over <= sum(direct.values()) * 0.0001 + float(hours) + 1


def test_taken_rates_bring_the_same_in_on_jobs_of_a_whole_year():
    rates = recovering_rates(firm(overhead_method="both"))
    taken = Firm(overhead=rates.by_class, overhead_per_hour=rates.per_hour)
    classes = list(YEAR.direct_cents)
    hours = [0.0, 3_000.0, 1_000.0, 0.0]
    from app.domain.basis import CostClass

    cells = Cells(cents=list(YEAR.direct_cents.values()), classes=[CostClass(one) for one in classes], hours=hours)
    assert build_up(cells, taken).step("overhead").cents == brought_in_cents(rates, YEAR) == 28_000_00
    assert brought_in_cents(firm_rates(taken), YEAR) == 28_000_00


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"overhead_method": "hour", "year": YearAhead(direct_cents=YEAR.direct_cents)}, "no hours that jobs pay for"),
        ({"year": YearAhead(direct_cents={"labor": 1_00})}, "no direct cost of material"),
        ({"year": None}, "no direct cost of any class"),
    ],
)
def test_base_that_is_missing_is_said(fields, said):
    with pytest.raises(BadValue, match=said):
        recovering_rates(firm(**fields))


@pytest.mark.parametrize("sales", [0, 400_000_00])
def test_sales_that_pay_no_overhead_are_said(sales):
    with pytest.raises(BadValue, match="more than its direct cost"):
        break_even(firm(year=YearAhead(direct_cents=YEAR.direct_cents, sales_cents=sales)))
