"""What an employer pays on top of pay, against published figures."""

from decimal import Decimal

import pytest

from app.domain.costing.pay_year import year_cost
from app.domain.pay import BurdenItem, PayYear, UnbilledHours
from app.interchange.starting_pay import starting_pay

USUAL = {one.title: one for one in starting_pay().items}


def hour(wage: str, *items: BurdenItem, **more: Decimal):
    return year_cost(Decimal(wage), PayYear(items=items, **more))


def test_federal_unemployment_is_42_dollars_a_year_from_the_first_7000():
    # 26 U.S.C. 3301 and 3306: 6.0% of the first $7,000, 0.6% after the usual credit: $420 and $42, whatever the wage
    for wage in ("15", "30", "60"):
        assert hour(wage, USUAL["Federal unemployment"]).items[0].a_year == 42
    assert USUAL["Federal unemployment"].share * 10 * USUAL["Federal unemployment"].capped_at == 420


def test_most_social_security_of_2026():
    # Social Security Administration, October 24, 2025: wage base 184,500; 11,439 at most, matched by the employer
    worked = hour("100", USUAL["Social security"])
    assert worked.items[0].a_year == 11_439
    # 2025, same notice: 176,100 and 10,918.20
    then = BurdenItem(title="", share=Decimal("0.062"), capped_at=Decimal(176_100))
    assert hour("100", then).items[0].a_year == Decimal("10918.2")


def test_legally_required_cost_of_an_hour_by_item():
    # US Bureau of Labor Statistics, The Economics Daily, June 2023, natural resources, construction and maintenance, an
    # hour: social security 2.05, Medicare 0.48, federal unemployment 0.02. The pay that gives 2.05 is our arithmetic.
    pay = "33.06"
    worked = hour(pay, *(USUAL[one] for one in ("Social security", "Medicare", "Federal unemployment")))
    per_hour = [round(one.a_year / worked.paid_hours, 2) for one in worked.items]
    assert per_hour == [Decimal("2.05"), Decimal("0.48"), Decimal("0.02")]


def test_burden_is_another_share_of_pay_than_of_the_wage():
    # Bureau of Labor Statistics, employer costs, June 2022, construction (quoted by the Economic Policy Institute): pay
    # 33.97 of which wage 30.39; insurance and retirement 5.55, legally required 4.03; total 43.56 (rounded rows 43.55).
    on_pay = [BurdenItem(title="", share=Decimal(one) / Decimal("33.97")) for one in ("5.55", "4.03")]
    worked = hour("33.97", *on_pay)
    assert worked.burdened == pytest.approx(Decimal("43.56"), abs=Decimal("0.011"))
    assert worked.burden_share == pytest.approx(Decimal("0.282"), abs=Decimal("0.001"))
    assert worked.burdened / Decimal("30.39") - 1 == pytest.approx(Decimal("0.433"), abs=Decimal("0.001"))


@pytest.mark.parametrize(("base", "premium"), [("pay", "60.50"), ("wage", "55.00")])
def test_workers_compensation_with_and_without_the_extra_of_overtime(base, premium):
    # worked example of a payroll glossary: $20 an hour, 40 hours and 10 of overtime at $30, 5.5%: $60.50 on all pay,
    # $55.00 where the extra of overtime is left out
    item = BurdenItem(title="", share=Decimal("0.055"), base=base)
    worked = hour("20", item, paid_hours=Decimal(50), overtime_hours=Decimal(10))
    assert worked.pay == 1_100
    assert worked.items[0].a_year == Decimal(premium)


def test_pennsylvania_unemployment_stops_at_10000():
    # Westmoreland County PA, page on unemployment compensation: on the first $10,000; new construction employers 10.4%
    item = BurdenItem(title="", share=Decimal("0.104"), capped_at=Decimal(10_000))
    assert hour("22", item).items[0].a_year == 1_040


def test_productive_hours_of_a_month():
    # a trade forum (common practice, no source): 4.3 weeks × 40 = 172 hours, 78% productive, printed as 134 hours, and
    # $1,000 over them as $7.47 an hour (7.45 on unrounded hours)
    lost = UnbilledHours(title="", hours=Decimal(172) * Decimal("0.22"))
    worked = hour("10", paid_hours=Decimal(172), unbilled=(lost,))
    assert worked.billable == Decimal("0.78")
    assert round(worked.billable_hours) == 134
    assert worked.per_hour == pytest.approx(Decimal(10) / Decimal("0.78"))
