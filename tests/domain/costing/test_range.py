"""The band: closed form and simulation agree, what moves together widens it, order and signs hold."""

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from app.domain.basis import Basis
from app.domain.costing.chances import RISKS, Chance, drawn
from app.domain.costing.estimate import estimate
from app.domain.costing.fitted import Fitted, Moments
from app.domain.costing.pert import gauss, quantiles, shares_of_cases
from app.domain.costing.range import Common, Input, Inputs, Spread, closed_form, distribution
from app.domain.costing.simulation import Simulated, simulate
from app.domain.errors import BadValue
from app.domain.job import Job
from app.interchange.library_file import load_library
from tests.domain.costing.random_jobs import bases, jobs
from tests.domain.costing.test_estimate import sketched
from tests.domain.costing.three_zones import BASIS, JOB

WITHIN = 0.02  # of the width
MEASURES = Common("measures", Spread(-1, 0, 1))


def of(*groups: Spread, measured: float = 0.0) -> Inputs:
    """Groups of one input each."""
    rows = [Input(f"g{at}", one.low, one.likely, one.high, (measured,)) for at, one in enumerate(groups)]
    return Inputs(tuple(rows), (MEASURES,))


def at_random(seed: int) -> Inputs:
    """A few or many inputs of any shape, some certain at an end, in groups, with causes common to some of them."""
    rng = Random(seed)
    causes = tuple(
        Common(f"c{at}", Spread(-rng.random() / 5, 0, rng.random() * 3 / 10)) for at in range(rng.randrange(4))
    )
    groups = rng.randrange(1, 12)
    rows = []
    for _ in range(rng.choice([1, 3, 20, 500])):
        low, likely, high = sorted(rng.random() * 1e5 for _ in range(3))
        likely = rng.choice([likely, likely, likely, low, high])
        loads = tuple(rng.random() * (rng.random() < 0.7) for _ in causes)
        rows.append(Input(f"g{rng.randrange(groups)}", low, likely, high, loads))
    return Inputs(tuple(rows), causes)


def apart(inputs: Inputs, found: Simulated) -> float:
    """How far closed form and simulation lie apart at the worst of six figures, as a share of the width."""
    closed = distribution(inputs)
    width = closed.at(0.9) - closed.at(0.1)
    figures = [closed.at(share) - found.at(share) for share in (0.1, 0.2, 0.5, 0.8, 0.9)]
    return max(abs(one) for one in (*figures, closed.mean - found.mean)) / width


JOBS = [estimate(job, BASIS).inputs for job in (JOB, sketched(JOB))]
SKEWED = of(Spread(60, 80, 200), Spread(90, 100, 130), measured=0.12)
ONE_END = of(Spread(0, 0, 1000))
MANY = of(*(Spread(90.0 - n, 100.0, 115.0 + n) for n in range(20)), measured=0.12)


@pytest.mark.parametrize(
    "inputs", [*JOBS, SKEWED, ONE_END, MANY], ids=["taped", "sketched", "skewed", "one end", "many"]
)
def test_ten_thousand_trials_agree_with_the_closed_form_within_two_percent_of_the_width(inputs: Inputs) -> None:
    assert apart(inputs, simulate(inputs)) < WITHIN


@pytest.mark.parametrize("seed", range(40))
def test_they_agree_on_random_inputs_with_groups_and_common_causes(seed: int) -> None:
    inputs = at_random(seed)
    assert apart(inputs, simulate(inputs)) < WITHIN


RISKY = (Chance(0.3, 80_000, 200_000, 450_000), Chance(0.05, 1e6, 1.5e6, 4e6), Chance(0.5, 20_000, 30_000, 90_000))


@pytest.mark.parametrize("seed", range(12))
def test_what_may_happen_widens_the_range_alike_in_closed_form_and_trials(seed: int) -> None:
    rng = Random(seed)
    at_hand = tuple(
        Chance(rng.choice([0.03, 0.1, 0.25, 0.6, 1.0]), *sorted(rng.random() * 3e6 for _ in range(3)))
        for _ in range(rng.randrange(1, 7))
    )
    inputs = Inputs(at_random(seed).pooled, at_random(seed).common, chances=at_hand)
    assert apart(inputs, simulate(inputs)) < WITHIN
    alone = Inputs((), chances=at_hand)
    assert distribution(alone).mean == 0.0, "its mean is in the price, not here"


def test_what_may_happen_moves_no_mean_and_is_ranked_by_its_part_of_the_variance() -> None:
    calm, risky = Inputs(MANY.pooled, MANY.common), Inputs(MANY.pooled, MANY.common, chances=RISKY)
    assert distribution(risky).mean == distribution(calm).mean
    assert distribution(risky).at(0.9) > distribution(calm).at(0.9)
    assert sum(distribution(risky).parts.values()) == pytest.approx(1.0, abs=0.02)
    found = simulate(risky)
    assert found.mean == pytest.approx(distribution(risky).mean, abs=0.02 * (found.at(0.9) - found.at(0.1)))
    assert found.parts[RISKS] == pytest.approx(distribution(risky).parts[RISKS], abs=0.02)


def test_a_risk_alone_is_the_mixture_it_is_worked_out_by_hand() -> None:
    # in 30% of cases a beta-PERT cost, else nothing; P(cost ≤ x) of scipy's beta with shapes 1 + 4t and 5 − 4t
    one = Chance(0.3, 1_000.0, 2_000.0, 5_000.0)
    beta = stats.beta(1 + 4 * 0.25, 5 - 4 * 0.25, loc=1_000, scale=4_000)
    found = distribution(Inputs((), chances=(one,)))
    for share in (0.75, 0.85, 0.95):
        exact = beta.ppf((share - 0.7) / 0.3) - one.mean
        assert found.at(share) == pytest.approx(exact, abs=20)
    assert found.at(0.5) == pytest.approx(-one.mean, abs=2)
    assert one.variance == pytest.approx(0.3 * (beta.var() + beta.mean() ** 2) - one.mean**2)
    shares = (np.arange(100_000) + 0.5) / 100_000
    assert drawn(one, shares).mean() == pytest.approx(one.mean, rel=0.002)


def test_chances_agree_as_well() -> None:
    for inputs in (*JOBS, SKEWED, MANY):
        closed, drawn = distribution(inputs), simulate(inputs)
        for share in (0.05, 0.3, 0.7, 0.95):
            assert drawn.above(closed.at(share)) == pytest.approx(1 - share, abs=WITHIN)
            assert closed.above(closed.at(share)) == pytest.approx(1 - share, abs=1e-3)


def test_same_seed_gives_the_same_figures_and_another_seed_others() -> None:
    one = simulate(SKEWED, seed=1, trials=1000)
    assert one == simulate(SKEWED, seed=1, trials=1000)
    assert one != simulate(SKEWED, seed=2, trials=1000)


def test_drawn_figures_are_those_of_every_machine() -> None:
    # worked out once; plain arithmetic on a fixed stream, so they never differ
    found = simulate(SKEWED)
    assert [round(found.at(share), 6) for share in (0.1, 0.5, 0.9)] == [169.111427, 196.670759, 236.267937]


def test_what_is_common_is_told_apart_from_groups_and_all_parts_make_the_whole() -> None:
    causes = (Common("wet", Spread(0, 0, 0.3)),)
    rows = (Input("a", 80, 100, 140, (1.0,)), Input("b", 90, 100, 120, (0.0,)))
    for parts in (distribution(Inputs(rows, causes)).parts, simulate(Inputs(rows, causes)).parts):
        assert sum(parts.values()) == pytest.approx(1, abs=0.02)
        assert parts["a"] > parts["b"] > parts["wet"] > 0.05
    alone = distribution(Inputs(tuple(one._replace(loads=()) for one in rows))).parts
    assert set(alone) == {"a", "b"}


def test_what_moves_together_is_wider_than_what_moves_apart() -> None:
    one = Spread(80, 100, 140)
    low, _, high = closed_form(of(*[one] * 9))
    together = closed_form(Inputs(tuple(Input("all", 80, 100, 140) for _ in range(9))))
    assert (together[2] - together[0]) == pytest.approx(3 * (high - low), rel=0.1)  # √9


def test_members_of_a_group_of_unlike_shapes_are_low_together() -> None:
    # in a share u of cases both lie below their own quantile of u, so the sum's quantile is the sum of theirs
    inputs = Inputs((Input("g", 0, 0, 100), Input("g", 0, 100, 100)))
    for share in (0.1, 0.5, 0.9):
        exact = 100 * (stats.beta(1, 5).ppf(share) + stats.beta(5, 1).ppf(share))
        assert simulate(inputs).at(share) == pytest.approx(exact, abs=0.1)
        assert distribution(inputs).at(share) == pytest.approx(exact, abs=1)


def test_measures_off_stretch_every_group_at_once() -> None:
    # a fixed cost of 1,000 measured ± 12 %: measures are off by a beta(3, 3) value on −1 … 1, whose distribution is
    # x³ (10 − 15x + 6x²) on 0 … 1; a tenth lies below x = 0.2466, that is 0.5068 × 120 below the middle
    x = 0.2466
    assert x**3 * (10 - 15 * x + 6 * x * x) == pytest.approx(0.1, abs=1e-4)
    low, mean, high = closed_form(of(Spread(1000, 1000, 1000), measured=0.12))
    assert mean == pytest.approx(1000)
    assert high - mean == pytest.approx(mean - low)
    assert high - mean == pytest.approx((1 - 2 * x) * 120, rel=0.005)


def test_nothing_uncertain_is_a_point() -> None:
    assert closed_form(of(Spread(5, 5, 5))) == (5, 5, 5)
    assert closed_form(Inputs(())) == (0, 0, 0)
    assert closed_form(of(Spread(0, 0, 1e-135))) == pytest.approx((0, 0, 0))
    drawn = simulate(of(Spread(5, 5, 5)), trials=10)
    assert (drawn.mean, drawn.at(0.1), drawn.above(4), drawn.above(6), drawn.parts) == (5, 5, 1, 0, {})


def test_spread_out_of_order_is_refused() -> None:
    with pytest.raises(BadValue):
        Spread(2, 1, 3)


@settings(max_examples=40, deadline=None)
@given(jobs(), bases())
def test_every_cent_of_direct_cost_is_an_input(job: Job, basis: Basis) -> None:
    worked = estimate(job, basis)
    likely = sum(one.likely for one in worked.inputs.inputs)
    assert likely == pytest.approx(worked.build_up.step("direct").cents, abs=len(worked.lines))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000))
def test_band_is_in_order_and_inside_what_is_possible(seed: int) -> None:
    inputs = at_random(seed)
    found = distribution(inputs)
    most = sum(one.high * (1 + sum(load * 0.3 for load in one.loads)) for one in inputs.inputs)
    values = [found.at(share) for share in (0.0, 0.1, 0.5, 0.8, 0.9, 1.0)]
    assert values == sorted(values)
    assert values[-2] <= most
    assert found.at(0.1) <= found.mean <= found.at(0.9)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0, 1e6), min_size=3, max_size=3).map(sorted))
def test_mean_of_one_value_is_a_sixth_of_low_four_likely_and_high(three: list[float]) -> None:
    low, likely, high = three
    found = distribution(Inputs((Input("g", low, likely, high),))).mean
    assert found == pytest.approx((low + 4 * likely + high) / 6, rel=1e-9, abs=1e-6)


def test_table_and_nodes_are_those_of_the_beta_distribution() -> None:
    # reference: scipy.stats.beta
    for at in range(0, 65, 4):
        shape = stats.beta(1 + at / 16, 5 - at / 16)
        assert np.abs(quantiles()[at] - shape.ppf(shares_of_cases())).max() < 1e-5
        nodes, chances = gauss(at / 64)
        for power in range(6):
            exact = shape.moment(power) if power else 1.0
            assert sum(c * x**power for x, c in zip(nodes, chances, strict=True)) == pytest.approx(exact, abs=1e-9)


@pytest.mark.parametrize(("a", "b"), [(1, 5), (2, 7), (40, 60), (0.7, 3)])
def test_a_distribution_is_found_again_from_its_moments(a: float, b: float) -> None:
    # reference: scipy.stats.beta, also mirrored
    shape = stats.beta(a, b)
    mean, variance, skew, excess = (float(one) for one in shape.stats("mvsk"))
    third, fourth = skew * variance**1.5, (excess + 3) * variance**2
    same, mirrored = Fitted(Moments(mean, variance, third, fourth)), Fitted(Moments(-mean, variance, -third, fourth))
    for share in (0.1, 0.5, 0.9):
        exact = shape.ppf(share)
        assert same.at(share) == pytest.approx(exact, abs=0.01 * variance**0.5)
        assert mirrored.at(1 - share) == pytest.approx(-exact, abs=0.01 * variance**0.5)


def test_nearly_normal_is_read_as_normal() -> None:
    found = Fitted(Moments(10, 4, 0, 48))
    assert found.at(0.9) == pytest.approx(10 + 2 * 1.28155, abs=1e-3)
    # the tail checks of tests/published: mean 17, variance 9: P(≤ 20) = 0.8413
    assert Fitted(Moments(17, 9, 0, 243)).above(20) == pytest.approx(1 - 0.8413, abs=1e-3)


def test_shipped_rules_let_the_weather_reach_labor_and_dearer_times_what_is_bought() -> None:
    basis = BASIS.__class__(**{**{f: getattr(BASIS, f) for f in BASIS.__slots__}, "rules": load_library().rules})
    plain, ruled = estimate(JOB, BASIS).inputs, estimate(JOB, basis).inputs
    assert [one.name for one in plain.common] == ["measures"]
    assert [one.name for one in ruled.common] == ["measures", "weather", "market"]
    loads = {one.group: one.loads for one in ruled.inputs if one.loads}
    assert {one.loads for one in ruled.inputs if one.group == "labor"} == {(0.02, 1.0, 0.0), (0.0, 1.0, 0.0)}
    assert loads["own hours"] == (0.0, 0.0, 0.0)
    assert {one.loads[1:] for one in ruled.inputs if one.group.startswith("supplier:") and one.loads[0]} == {(0.0, 1.0)}
    assert ruled.distribution.at(0.9) > plain.distribution.at(0.9)
