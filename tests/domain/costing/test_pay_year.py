"""A year of pay: items on their own bases and up to their caps, and the hours that jobs pay for."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.basis import LaborClass
from app.domain.costing.explain_wage import explain_hour, explain_year
from app.domain.costing.labor import cost_per_hour, has_cost
from app.domain.costing.pay_year import check_year, outdated_caps, starting_year, year_cost
from app.domain.errors import BadValue
from app.domain.pay import BurdenItem, PayYear, UnbilledHours
from app.interchange.starting_pay import starting_pay

SECURITY = BurdenItem(title="Social security", share=Decimal("0.062"), capped_at=Decimal(184_500), cap_year=2026)
FEDERAL = BurdenItem(title="Federal unemployment", share=Decimal("0.006"), capped_at=Decimal(7000))
COMP = BurdenItem(title="Workers' compensation", share=Decimal("0.09"), base="wage")
HEALTH = BurdenItem(title="Health", a_year=Decimal(5200))
YEAR = PayYear(
    paid_hours=Decimal(2200),
    overtime_hours=Decimal(120),
    items=(SECURITY, FEDERAL, COMP, HEALTH),
    unbilled=(UnbilledHours(title="Leave", hours=Decimal(120)), UnbilledHours(title="Yard", hours=Decimal(80), in_day=True)),
    paid_to_date=Decimal(7000),
)  # fmt: skip
LABOR = LaborClass(key="crew", title="Crew", wage=Decimal(20), burden={"a": Decimal("0.3")}, billable=Decimal("0.8"), year=YEAR)  # fmt: skip


def test_each_item_goes_by_its_own_base_and_up_to_its_cap() -> None:
    worked = year_cost(Decimal(20), YEAR)
    # by hand: 20 × 2,200 = 44,000; and half of 20 for 120 hours = 1,200
    assert (worked.wage_pay, worked.pay) == (44_000, 45_200)
    assert [one.a_year for one in worked.items] == [Decimal("0.062") * 45_200, 42, 3_960, 5_200]
    assert worked.burden == Decimal("2802.4") + 42 + 3_960 + 5_200
    assert worked.per_hour == (45_200 + worked.burden) / 2_000


def test_item_at_its_cap_costs_nothing_more_today_and_the_average_prices() -> None:
    today = year_cost(Decimal(20), YEAR)
    before = year_cost(Decimal(20), replace(YEAR, paid_to_date=Decimal("6999.99")))
    assert [one.capped for one in today.items] == [False, True, False, False]
    assert today.items[1].today == 0
    assert before.items[1].today == Decimal("0.006") * 45_200 / 2_200  # all of it on every hour until then
    assert today.per_hour == before.per_hour == Decimal(cost_per_hour(LABOR)).quantize(Decimal("0.0001"))
    assert today.per_hour_today < before.per_hour_today


def test_hours_that_the_days_of_jobs_pay_for_are_not_taken_off_twice() -> None:
    assert year_cost(Decimal(20), YEAR).billable_hours == 2_000
    assert year_cost(Decimal(20), YEAR, day_counts=True).billable_hours == 2_080


def test_shares_count_until_the_year_is_filled_in() -> None:
    by_shares = replace(LABOR, year=None)
    assert cost_per_hour(by_shares) == Decimal("32.5000")
    assert has_cost(by_shares)
    assert cost_per_hour(replace(by_shares, year=PayYear())) == Decimal("20.0000")


@pytest.mark.parametrize(
    ("year", "field"),
    [
        (PayYear(paid_hours=Decimal(0)), "paid_hours"),
        (PayYear(paid_hours=Decimal(8785)), "paid_hours"),
        (PayYear(overtime_hours=Decimal(2081)), "overtime_hours"),
        (PayYear(unbilled=(UnbilledHours(title="All", hours=Decimal(2080)),)), "unbilled"),
    ],
    ids=["no hours", "more than a year", "overtime beyond the hours", "nothing billed"],
)
def test_hours_that_cannot_be_are_refused_and_have_no_cost(year: PayYear, field: str) -> None:
    with pytest.raises(BadValue) as refused:
        check_year(year)
    assert refused.value.field == field
    assert not has_cost(replace(LABOR, year=year))


def test_hours_at_their_limits_are_taken() -> None:
    check_year(PayYear(paid_hours=Decimal(8784)))
    check_year(PayYear(overtime_hours=Decimal(2080)))
    check_year(PayYear(unbilled=(UnbilledHours(title="Most", hours=Decimal("2079.9")),)))


def test_year_to_begin_from_keeps_what_the_class_has() -> None:
    burden = {"social security": "0.062", "state unemployment": "0.021", "paid leave": "0.05", "boots": "0.004"}
    labor = LaborClass(
        key="c", title="", wage=Decimal(20), burden={k: Decimal(v) for k, v in burden.items()}, billable=Decimal("0.8")
    )
    begun = starting_year(labor, starting_pay())
    assert [(one.title, one.share) for one in begun.items] == [
        ("Social security", Decimal("0.062")),
        ("State unemployment", Decimal("0.021")),
        ("Boots", Decimal("0.004")),
    ]
    # a fifth of 2,080 hours, and a twentieth for leave, are lost in all
    assert sum(one.hours for one in begun.unbilled) == 520
    assert [one.in_day for one in begun.unbilled][-1]
    check_year(begun)


@given(
    st.decimals(8, 90, places=2),
    st.decimals(0, 1, places=4),
    st.decimals(0, 60_000, places=2),
    st.decimals(0, 400, places=1),
)
def test_more_burden_or_fewer_billed_hours_never_make_an_hour_cheaper(
    wage: Decimal, share: Decimal, cap: Decimal, lost: Decimal
) -> None:
    item = BurdenItem(title="a", share=share, capped_at=cap)
    year = PayYear(items=(item,), unbilled=(UnbilledHours(title="b", hours=lost),))
    worked = year_cost(wage, year)
    assert worked.per_hour >= wage
    assert worked.items[0].a_year <= worked.pay * share
    assert year_cost(wage, replace(year, unbilled=())).per_hour <= worked.per_hour
    assert year_cost(wage, replace(year, items=())).per_hour <= worked.per_hour


def test_explanation_of_an_hour_is_the_hour_and_so_is_each_figure_below_it() -> None:
    worked, trace = year_cost(LABOR.wage, YEAR), explain_hour(LABOR, "USD")
    assert trace.result == float(cost_per_hour(LABOR))
    assert [one.result for one in trace.steps] == [float(worked.pay), float(worked.burden), 2000]
    assert sum(one.result for one in trace.steps[1].steps) == pytest.approx(float(worked.burden))
    for figure, amount in (("burdened", worked.burdened), ("average", worked.average_pay), ("today", worked.today)):
        found = explain_year(LABOR, "USD", figure)
        assert found is not None
        assert found.result == pytest.approx(float(amount), abs=0.0001)
    item = explain_year(LABOR, "USD", "item:1")
    assert item is not None
    assert (item.result, item.filled) == (42, "0.006 × 7,000")
    assert "first 7,000" in item.expression


@pytest.mark.parametrize("figure", ["item:4", "item:x", "item:²", "none", ""])
def test_figure_that_is_not_on_the_worksheet_is_none(figure: str) -> None:
    assert explain_year(LABOR, "USD", figure) is None


def test_every_figure_of_a_year_by_hand() -> None:
    worked = year_cost(Decimal(20), YEAR)
    burden = Decimal("12004.4")  # 2,802.40 + 42 + 3,960 + 5,200
    assert worked.burden == burden
    assert worked.burden_share == burden / 45_200
    assert worked.average_pay == Decimal(45_200) / 2_200
    assert worked.burdened == (45_200 + burden) / 2_200
    # today the federal tax is done with: 45,200 + 12,004.40 − 42 over the paid hours
    assert worked.today == pytest.approx((45_200 + burden - 42) / 2_200)
    assert worked.items[3].today == Decimal(5_200) / 2_200
    assert worked.billable == Decimal(2_000) / 2_200
    assert worked.per_hour_today == pytest.approx((45_200 + burden - 42) / 2_000)
    assert worked.items[0].cents == 280_240
    assert year_cost(Decimal(0), YEAR).burden_share == 0  # nobody is paid: no share of nothing


@pytest.mark.parametrize(
    ("year", "known"),
    [
        (PayYear(paid_hours=Decimal(1)), True),
        (PayYear(paid_hours=Decimal(8784)), True),
        (PayYear(overtime_hours=Decimal(2080)), True),
        (PayYear(overtime_hours=Decimal(2081)), False),
        (PayYear(unbilled=(UnbilledHours(title="a", hours=Decimal(2079)),)), True),
        (PayYear(unbilled=(UnbilledHours(title="a", hours=Decimal(2080)),)), False),
        (PayYear(unbilled=(UnbilledHours(title="a", hours=Decimal(-1)),)), False),
        (PayYear(paid_hours=Decimal("8784.5")), False),
    ],
)
def test_year_that_adds_up_has_a_cost_and_no_other(year: PayYear, known: bool) -> None:
    assert has_cost(replace(LABOR, year=year)) is known


def test_year_to_begin_from_a_class_without_leave_or_usual_hours() -> None:
    labor = LaborClass(
        key="c", title="", wage=Decimal(20), burden={"Medicare": Decimal("0.02")}, billable=Decimal("0.9")
    )
    usual = PayYear(
        items=(
            BurdenItem(title="Medicare", a_year=Decimal(12)),
            BurdenItem(title="Rare", share=Decimal("0.1")),
        ),
        unbilled=(UnbilledHours(title="Rain", hours=Decimal(8)),),
    )
    begun = starting_year(labor, usual)
    assert begun.items == (BurdenItem(title="Medicare", a_year=Decimal(12)),)  # what has a sum of its own keeps it
    # a tenth of 2,080 without the eight of rain, for yard and road
    assert [(one.title, one.hours, one.in_day) for one in begun.unbilled] == [
        ("Rain", 8, False),
        ("Yard, loading and driving", 200, True),
    ]
    with_road = replace(usual, unbilled=(UnbilledHours(title="Road", in_day=True), *usual.unbilled))
    assert [one.title for one in starting_year(labor, with_road).unbilled] == ["Rain", "Road"]
    full = replace(labor, billable=Decimal(1))
    assert starting_year(full, usual).unbilled[1].hours == 0  # never less than none


def test_cap_of_an_earlier_year_is_said() -> None:
    assert outdated_caps(YEAR, 2026) == ()
    assert [one.title for one in outdated_caps(YEAR, 2027)] == ["Social security"]  # the others name no year
    uncapped = replace(YEAR, items=(replace(SECURITY, capped_at=Decimal(0)),))
    assert outdated_caps(uncapped, 2027) == ()
