"""A crew's paid day: what goes off it, whole days, what nobody works, overtime, and who is in the crew."""

from dataclasses import replace
from decimal import Decimal
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.basis import Firm, LaborClass
from app.domain.costing.crew_day import cleaned_twice, counts_the_yard, crew_days, day_of, short_day
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import Explaining
from app.domain.costing.labor import Rate, overtime_cost
from app.domain.findings import Severity
from app.domain.pay import BurdenItem, CrewDay, PayYear
from tests.domain.costing.three_zones import BASIS, FIRST, JOB, firm_with

DAY = CrewDay(loading=Decimal("0.5"), driving=Decimal(15), cleanup=Decimal("0.25"), overtime_extra=Decimal("0.5"))
FIRM = Firm(crew_day_hours=Decimal(9), crew_size=3, crew_day=DAY)


def person(key: str, wage: int) -> LaborClass:
    return LaborClass(key=key, title=key, wage=Decimal(wage))


RATES = {
    "operator": Rate(person("operator", 40), Decimal(60), Decimal(20)),
    "installer": Rate(person("installer", 30), Decimal(45), Decimal(15)),
}


def test_day_is_paid_whole_and_worked_in_part() -> None:
    day = day_of(FIRM, {})
    assert dict(day.lost) == {"loading": 0.5, "driving": 0.5, "cleanup": 0.25}
    assert (day.paid, day.worked) == (9, 7.75)
    # 40 hours / (7.75 × 3) = 1.72 → 2 days; 46.5 worked at most, 6.5 of them idle; 6 × … by hand
    one = crew_days({"1": [(40.0, 50.0, 12.0)]}, day)[0]
    assert (one.days, one.idle_hours, one.idle_cents) == (2, 6.5, 325_00)
    assert [(paid.kind, paid.hours, paid.cents) for paid in one.beside] == [
        ("loading", 3.0, 150_00),
        ("driving", 3.0, 150_00),
        ("cleanup", 1.5, 75_00),
        ("overtime", 6.0, 72_00),  # 5 × 9 − 40 = 5 a week, one a day
    ]
    assert one.hours + one.idle_hours + 7.5 == one.days * 9 * 3


def test_minutes_of_the_site_go_before_the_usual_ones_and_nothing_is_counted_unless_the_firm_does() -> None:
    assert dict(day_of(FIRM, {}, 45.0).lost)["driving"] == 1.5
    assert "driving" not in dict(day_of(FIRM, {}, 0.0).lost)
    assert day_of(replace(FIRM, crew_day=None), {}, 45.0).lost == ()


def test_idle_and_unproductive_hours_cost_the_crews_own_mix() -> None:
    firm = replace(FIRM, crew_day=replace(DAY, people={"operator": 1, "installer": 2}))
    day = day_of(firm, RATES)
    assert (day.people, day.mean) == (3, 50)  # (60 + 2 × 45) / 3
    assert day.extra == pytest.approx(50 / 3)
    one = crew_days({"1": [(40.0, 99.0, 7.0)]}, day)[0]
    assert (one.idle_cents, one.beside[0].cents, one.beside[3].cents) == (325_00, 150_00, 100_00)
    assert day_of(firm, {"operator": RATES["operator"]}).unpaid == ("installer",)


@pytest.mark.parametrize(
    ("hours", "days", "overtime"), [("8", 5, 0.0), ("9", 5, 1.0), ("10", 4, 0.0), ("10", 5, 2.0), ("8", 6, 8 / 6)]
)
def test_overtime_is_what_the_week_goes_beyond_40(hours: str, days: int, overtime: float) -> None:
    firm = Firm(crew_day_hours=Decimal(hours), crew_day=CrewDay(days_a_week=days, overtime_extra=Decimal("0.5")))
    assert day_of(firm, {}).overtime == pytest.approx(overtime)
    assert day_of(replace(firm, crew_day=CrewDay(days_a_week=days)), {}).overtime == 0


def test_overtime_bears_the_items_that_go_by_all_pay_until_their_cap() -> None:
    items = (
        BurdenItem(title="a", share=Decimal("0.0765")),
        BurdenItem(title="capped", share=Decimal("0.03"), capped_at=Decimal(7000)),
        BurdenItem(title="wage", share=Decimal("0.1"), base="wage"),
    )
    labor = replace(person("c", 20), year=PayYear(items=items))
    assert overtime_cost(labor, Decimal("0.5")) == Decimal("10.765")
    assert overtime_cost(labor, Decimal(0)) == 0
    averaged = replace(labor, year=PayYear(items=items, overtime_hours=Decimal(100)))
    assert overtime_cost(averaged, Decimal("0.5")) == 0  # its year has it in already


def test_firm_that_counts_nothing_prices_as_before() -> None:
    for told in (None, CrewDay()):
        worked = estimate(JOB, firm_with(crew_day=told))
        assert [line.cents for line in worked.lines] == [line.cents for line in estimate(JOB, BASIS).lines]


def test_every_piece_is_a_line_and_opens_to_itself() -> None:
    for people in ({}, {"crew": 3}):
        basis = firm_with(crew_day=replace(DAY, people=people))
        worked = estimate(JOB, basis)
        explaining = Explaining(JOB, basis, worked)
        lines = [line for line in worked.lines if line.kind in ("idle", "loading", "driving", "cleanup", "overtime")]
        assert {line.kind for line in lines} == {"idle", "loading", "driving", "cleanup", "overtime"}
        for line in lines:
            trace = explaining.figure(line.figure)
            assert round(trace.result * 100) == line.cents
            assert trace.steps
        assert sum(line.cents for line in worked.lines) >= sum(line.cents for line in estimate(JOB, BASIS).lines)
        paid = sum(one.days for one in worked.crew_days) * 27
        crew = {line.work_id for line in worked.lines if line.key == "supervise"}
        assert sum(line.hours for line in worked.lines if line.work_id not in crew) == pytest.approx(paid)


def test_days_open_to_what_goes_off_them() -> None:
    trace = Explaining(JOB, basis := firm_with(crew_day=DAY), estimate(JOB, basis)).figure(f"days:{FIRST}")
    assert trace.steps[0].filled == "9 − 0.5 − 0.5 − 0.25"
    assert trace.steps[0].steps[1].filled == "15 × 2 / 60"


@pytest.mark.parametrize(
    ("minutes", "said"), [(None, None), (108.0, None), (109.0, Severity.WARN), (242.9, Severity.WARN), (243.0, Severity.STOP)]
)  # fmt: skip
def test_day_that_leaves_little_for_work_is_said(minutes: float | None, said: Severity | None) -> None:
    firm = Firm(crew_day_hours=Decimal(9), crew_day=CrewDay(week_hours=Decimal(45)))
    found = short_day(day_of(firm, {}, minutes))
    assert [one.severity for one in found] == ([said] if said else [])
    assert day_of(firm, {}, 600.0).worked > 0


def test_cleaning_up_that_is_paid_for_twice_is_said() -> None:
    assert [one.rule for one in cleaned_twice(day_of(FIRM, {}), ["lay", "daily-cleanup"])] == ["cleanup-twice"]
    assert cleaned_twice(day_of(FIRM, {}), ["lay"]) == []
    without = replace(FIRM, crew_day=replace(DAY, cleanup=Decimal(0)))
    assert cleaned_twice(day_of(without, {}), ["daily-cleanup"]) == []


@given(st.floats(0.1, 4000), st.decimals(0, 4, places=2), st.decimals(0, 120, places=0), st.decimals(0, 1, places=2))
def test_more_lost_never_makes_a_phase_cheaper_and_days_are_paid_whole(
    hours: float, loading: Decimal, driving: Decimal, extra: Decimal
) -> None:
    firm = replace(FIRM, crew_day=CrewDay(loading=loading, driving=driving, overtime_extra=extra))
    day = day_of(firm, {})
    one = crew_days({"1": [(hours, 40.0, 10.0)]}, day)[0]
    plain = crew_days({"1": [(hours, 40.0, 10.0)]}, day_of(replace(firm, crew_day=None), {}))[0]
    assert one.days >= plain.days >= ceil(hours / 27 - 1e-6)
    paid = one.hours + one.idle_hours + sum(part.hours for part in one.beside if part.kind != "overtime")
    if sum(part for _, part in day.lost) <= 0.9 * day.paid:
        assert paid == pytest.approx(one.days * 27)
    spent = one.idle_cents + sum(part.cents for part in one.beside)
    assert spent >= plain.idle_cents - len(one.beside)


@pytest.mark.parametrize(
    ("told", "minutes", "counts"),
    [
        (None, 30.0, False),
        (CrewDay(), None, False),
        (CrewDay(cleanup=Decimal(1)), None, False),  # cleaning up is done on the job, not in the yard
        (CrewDay(loading=Decimal("0.1")), 0.0, True),
        (CrewDay(driving=Decimal("0.5")), None, True),
        (CrewDay(driving=Decimal(5)), 0.0, False),
        (CrewDay(), 0.5, True),
    ],
)
def test_hours_of_the_year_in_the_yard_are_left_to_the_day_where_it_counts_them(
    told: CrewDay | None, minutes: float | None, counts: bool
) -> None:
    assert counts_the_yard(replace(FIRM, crew_day=told), minutes) is counts


def test_overtime_makes_every_paid_hour_dearer_by_its_part() -> None:
    day = day_of(replace(FIRM, crew_day=replace(DAY, people={"operator": 1, "installer": 2})), RATES)
    assert day.overtime_each == pytest.approx(50 / 3 / 9)  # one hour of nine at 16.67 more
    assert day_of(FIRM, RATES).overtime_each == 0  # whose hours they are is not known
    assert replace(day, paid=0.0).overtime_each == 0


def test_work_without_hours_needs_no_days_and_pays_nothing() -> None:
    one = crew_days({"1": [(0.0, 50.0, 12.0)]}, day_of(FIRM, {}))[0]
    assert (one.days, one.idle_cents, one.beside) == (0, 0, ())


def test_overtime_needs_a_week_and_hours_without_one_cost_no_more() -> None:
    week = replace(DAY, days_a_week=1)
    assert day_of(replace(FIRM, crew_day=week), {}).overtime == 0
    assert day_of(replace(FIRM, crew_day=replace(week, week_hours=Decimal(8))), {}).overtime == 1
    assert day_of(replace(FIRM, crew_day=replace(week, days_a_week=0)), {}).overtime == 0
    plain = crew_days({"1": [(40.0, 50.0)]}, day_of(FIRM, {}))[0]  # no extra told for these hours
    assert [part.cents for part in plain.beside if part.kind == "overtime"] == [0]
