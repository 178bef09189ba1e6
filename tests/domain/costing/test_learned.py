"""Rates: the size they were learned on, what is said of work far from it, and whose own hours they are."""

from dataclasses import replace

import pytest

from app.domain.basis import Basis, Firm, Task
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import Explaining
from app.domain.costing.labor import hours_of
from app.domain.findings import Severity
from app.domain.takeoff.rates import third_of, times_off
from tests.domain.costing.three_zones import BASIS, JOB, firm_with

LAY = Task(key="lay", title="Lay", unit="foot**2", hours=(0.05, 0.07, 0.11), learned_on="200*foot**2")


def learned(on: str, **more) -> Basis:
    basis = firm_with(**more)
    return replace(basis, tasks={**basis.tasks, "lay": replace(basis.tasks["lay"], learned_on=on)})


@pytest.mark.parametrize(
    ("amount", "times"),
    [(20.0, 1.0), (19.99, 19.99 / 200), (2000.0, 1.0), (2000.1, 2000.1 / 200), (200.0, 1.0), (0.0, 1.0)],
)
def test_ten_times_smaller_or_larger_is_far(amount: float, times: float) -> None:
    assert times_off(LAY, amount) == pytest.approx(times)


def test_size_is_read_in_its_own_unit_and_nothing_is_said_without_one() -> None:
    assert times_off(replace(LAY, learned_on="8*yard**2"), 5) == pytest.approx(5 / 72)
    assert times_off(replace(LAY, learned_on=""), 5) == 1.0
    assert times_off(replace(LAY, learned_on="much"), 5) == 1.0
    assert times_off(replace(LAY, unit="hour", learned_on="40*hour"), 0.5) == 1.0  # planned hours are no size


def test_work_far_from_the_size_learned_on_is_one_note_and_costs_the_same() -> None:
    # terrace 20 × 15 = 300 sq ft, path 4 × 25 = 100 sq ft
    worked = estimate(JOB, learned("4000*foot**2"))
    notes = [one for one in worked.findings if one.rule == "size-far"]
    assert [(one.severity, one.measured, one.limit) for one in notes] == [
        (Severity.NOTE, "100 sq ft", "learned on 4,000 sq ft")
    ]
    assert "and one other place" in notes[0].what
    assert worked.price_cents == estimate(JOB, BASIS).price_cents
    assert worked.firm
    assert not [one for one in estimate(JOB, learned("150*foot**2")).findings if one.rule == "size-far"]


def test_size_learned_on_is_told_where_the_hours_are_explained() -> None:
    basis = learned("150*foot**2")
    line = next(one for one in estimate(JOB, basis).lines if one.key == "lay")
    hours = Explaining(JOB, basis, estimate(JOB, basis)).figure(f"worked:{line.work_id}:{line.index}")
    assert "learned on 150 sq ft" in hours.source
    assert "0.05, 0.07, 0.1 hours low, likely, high; priced at the usual pace" in hours.source


def test_hours_of_the_firms_own_jobs_are_priced_at_the_usual_pace() -> None:
    new = Firm(rate_third="high")
    own = replace(LAY, own_jobs=3)
    assert (third_of(LAY, new), third_of(replace(LAY, own_jobs=2), new), third_of(own, new)) == (
        "high",
        "high",
        "likely",
    )
    assert hours_of(100, LAY, new, {}).priced == pytest.approx(9)  # 0.05 + 2/3 × 0.06 = 0.09 an sq ft
    assert hours_of(100, own, new, {}).priced == pytest.approx(7)
    assert hours_of(100, LAY, replace(new, rate_third="likely"), {}).priced == pytest.approx(7)
