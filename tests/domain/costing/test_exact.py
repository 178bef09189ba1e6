"""The estimate against a second one in exact fractions, on random jobs; and what must hold for any of them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.costing.estimate import estimate
from tests.domain.costing.exact import ExactEstimate
from tests.domain.costing.random_jobs import bases, jobs, shuffled
from tests.domain.costing.three_zones import BASIS, JOB


def steps(worked) -> dict[str, int]:
    return {step.name: step.cents for step in worked.build_up.steps}


def unforeseen(worked) -> list[str]:
    """Findings, but that a load has no price of delivery: random prices may leave one out."""
    return [one.rule for one in worked.findings if one.rule != "delivery-not-priced"]


@settings(max_examples=60, deadline=None)
@given(jobs(), bases())
def test_estimate_agrees_with_exact_fractions_to_the_cent(job, basis):
    worked, exact = estimate(job, basis), ExactEstimate(job, basis)
    found = steps(worked)
    assert found.pop("risks") == 0
    if basis.firm.tax_mode == "retailer":  # taxed are the cells' selling prices: held by the test of sharing
        found = {name: cents for name, cents in found.items() if name not in ("adjustment", "sales tax", "rounding")}
        exact.steps.pop("rounding")
    else:
        assert found.pop("sales tax") == found.pop("adjustment") == 0
        assert worked.price_cents == exact.total
    assert found == exact.steps
    assert unforeseen(worked) == []


@settings(max_examples=40, deadline=None)
@given(jobs(), bases())
def test_direct_cells_agree_with_exact_fractions(job, basis):
    worked, exact = estimate(job, basis), ExactEstimate(job, basis)
    ours = sorted(
        (line.zone, line.phase, line.cents) for line in worked.lines if line.kind in ("material", "task", "idle")
    )
    theirs = sorted((cell[2], cell[3], cents) for cell, cents in exact.direct.items())
    # remainders that are equal in fractions may fall either way in floats: a cent from one line to the next
    assert [row[:2] for row in ours] == [row[:2] for row in theirs]
    assert all(abs(a[2] - b[2]) <= 1 for a, b in zip(ours, theirs, strict=True))


def test_exact_estimate_gives_what_was_worked_by_hand():
    assert ExactEstimate(JOB, BASIS).total == estimate(JOB, BASIS).price_cents == 12_472_00


@settings(max_examples=50, deadline=None)
@given(jobs(), bases())
def test_sums_are_exact_at_every_level(job, basis):
    worked = estimate(job, basis)
    price = worked.price_cents
    tables = (worked.price_by_zone, worked.price_by_phase, worked.price_by_class, worked.price_by_work)
    for table in (*tables, worked.price_by_zone_and_phase):
        assert sum(table.values()) == price
    assert sum(worked.selling) == price == sum(step.cents for step in worked.build_up.steps)
    assert all(sum(step.shares) == step.cents for step in worked.build_up.steps)
    assert sum(line.cents for line in worked.lines) == steps(worked)["direct"] + steps(worked)["allowances"]
    assert sum(one.total_cents for one in worked.purchases) == sum(
        line.cents for line in worked.lines if line.kind == "material"
    )
    step = basis.firm.round_to_cents
    assert price % step == 0
    assert abs(steps(worked)["rounding"]) <= step / 2


@settings(max_examples=50, deadline=None)
@given(jobs(), bases(), st.randoms(use_true_random=False))
def test_order_of_entry_never_changes_a_total(job, basis, chance):
    one, other = estimate(job, basis), estimate(shuffled(job, chance), basis)
    if basis.firm.tax_mode == "retailer":
        assert other.price_cents == pytest.approx(one.price_cents, abs=2 + basis.firm.round_to_cents)
        return
    assert steps(one) == steps(other)
    assert one.price_cents == other.price_cents


@settings(max_examples=50, deadline=None)
@given(jobs(), bases())
def test_low_is_never_above_likely_nor_likely_above_high(job, basis):
    band = estimate(job, basis).range
    assert 0 <= band.low <= band.likely <= band.high
