"""How far jobs move a figure: against published values, brute force, simulated truth, and what must hold of any jobs."""

from math import exp, sqrt
from statistics import NormalDist, fmean, median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.looking_back.credibility import (
    CUT,
    MEDIAN_TO_SPREAD,
    USUAL_SPREAD,
    Seen,
    moved,
    pull_at_most,
    spread_of,
    tau_of,
)

# Copper in wholemeal flour, 24 determinations [parts per million], with two wild ones (Analytical Methods Committee,
# 1989); median 3.385, median distance as a spread 0.526323, Huber's location at 1.5 spreads 3.206724: W. N. Venables &
# B. D. Ripley, Modern Applied Statistics with S, 4th ed., 5.5 (data set `chem`), from memory
COPPER = [
    2.9, 3.1, 3.4, 3.4, 3.7, 3.7, 2.8, 2.5, 2.4, 2.4, 2.7, 2.2, 5.28, 3.37, 3.03, 3.03, 28.95, 3.77, 3.4, 2.2, 3.5,
    3.6, 3.7, 3.7,
]  # fmt: skip


def test_published_location_and_spread() -> None:
    middle = median(COPPER)
    spread = MEDIAN_TO_SPREAD * median(abs(one - middle) for one in COPPER)
    assert middle == pytest.approx(3.385)
    assert spread == pytest.approx(0.526323, abs=5e-7)
    found = moved([Seen(one) for one in COPPER], 1e6, spread=spread, cut=1.5)  # a belief so wide that it says nothing
    assert found.rate == pytest.approx(3.206724, abs=5e-7)
    assert found.counts[COPPER.index(28.95)] < 0.04


@pytest.mark.parametrize(("jobs", "weight"), [(1, 1 / 5), (2, 2 / 6), (4, 0.5), (12, 0.75), (36, 0.9)])
def test_weight_is_jobs_over_jobs_and_k(jobs: int, weight: float) -> None:
    """Z = n / (n + k) with k = (0.2 / 0.1)^2 = 4: Buehlmann 1967, worked by hand."""
    found = moved([Seen(1.1)] * jobs, 0.1, spread=0.2)
    assert found.rate_weight == pytest.approx(weight)
    assert found.rate == pytest.approx(1 + weight * 0.1)


def test_belief_after_usual_jobs_is_that_of_bayes() -> None:
    """The mean and spread of belief by summing prior x likelihood over a grid: no formula of ours in it."""
    tau, sigma, times = 0.12, 0.25, [1.1, 0.95, 1.2, 1.05]
    prior = NormalDist(1.0, tau)
    grid = [0.4 + n * 0.0005 for n in range(2401)]
    weights = [prior.pdf(a) * exp(-sum((one - a) ** 2 for one in times) / (2 * sigma**2)) for a in grid]
    mean = sum(a * w for a, w in zip(grid, weights, strict=True)) / sum(weights)
    variance = sum((a - mean) ** 2 * w for a, w in zip(grid, weights, strict=True)) / sum(weights)
    found = moved([Seen(one) for one in times], tau, spread=sigma)
    assert found.counts == (1.0,) * 4
    assert found.rate == pytest.approx(mean, abs=1e-6)
    assert found.rate_weight == pytest.approx(1 - variance / tau**2, abs=1e-5)


def test_rate_and_set_up_are_told_apart_by_places_of_different_size() -> None:
    """The least of the loss over a fine grid of both factors."""
    seen = [Seen(1.35, 0.95), Seen(1.05, 0.3), Seen(1.3, 0.9), Seen(1.0, 0.2), Seen(2.9, 0.8), Seen(1.25, 0.7)]
    tau_rate, tau_setup, sigma = 0.2, 0.2, 0.15

    def loss(a: float, b: float) -> float:
        total = ((a - 1) / tau_rate) ** 2 / 2 + ((b - 1) / tau_setup) ** 2 / 2
        for one in seen:
            off = abs(one.times - one.by_rate * a - (1 - one.by_rate) * b) / sigma
            total += off**2 / 2 if off <= CUT else CUT * off - CUT**2 / 2
        return total

    found = moved(seen, tau_rate, tau_setup, spread=sigma)
    near = [n * 0.002 for n in range(-50, 51)]
    lowest = min((loss(found.rate + da, found.setup + db), da, db) for da in near for db in near)
    assert lowest[1:] == (0.0, 0.0)
    assert found.rate > 1.15
    assert found.setup < 1.05
    assert found.counts[4] < 0.2


def drawn(truth: float, noise: float, jobs: int) -> list[Seen]:
    """Jobs about a known true rate: quantiles of a normal, so that no chance is in it."""
    spread = NormalDist(truth, noise)
    return [Seen(spread.inv_cdf((n + 0.5) / jobs)) for n in range(jobs)]


@pytest.mark.parametrize("truth", [0.7, 0.85, 1.0, 1.2, 1.4])
def test_with_many_jobs_the_estimate_nears_the_truth_and_one_or_two_move_little(truth: float) -> None:
    tau = tau_of((0.05, 0.07, 0.10))  # 0.119
    off = [abs(moved(drawn(truth, 0.2, jobs), tau).rate - truth) for jobs in (1, 2, 5, 10, 20, 40, 80, 160)]
    assert off == sorted(off, reverse=True)
    assert off[5] <= 0.15 * abs(truth - 1) + 1e-9
    assert off[7] < 0.02
    for few, most in ((1, 0.25), (2, 0.4)):
        assert abs(moved(drawn(truth, 0.2, few), tau).rate - 1) <= most * abs(truth - 1) + 1e-9


@pytest.mark.parametrize("wild", [0.01, 3.0, 10.0, 1000.0])
@pytest.mark.parametrize("jobs", [1, 2, 3, 5, 12, 40])
def test_one_wild_job_moves_it_less_than_the_bound(jobs: int, wild: float) -> None:
    tau = 0.12
    usual = drawn(1.2, 0.15, jobs)
    before, after = moved(usual, tau), moved([*usual, Seen(wild)], tau)
    assert abs(after.rate - before.rate) <= pull_at_most(tau, spread_of([one.times for one in usual])) + 0.01
    assert abs(after.rate - before.rate) < 0.1
    if jobs >= 5:
        assert abs(after.rate - 1.2) <= abs(before.rate - 1.2) + 0.05
    if wild >= 10:
        plain = fmean([*(one.times for one in usual), wild]) - fmean([one.times for one in usual])
        assert abs(after.rate - before.rate) < plain / 5


many = st.lists(st.floats(0.2, 5.0), min_size=1, max_size=30)


@given(many, st.floats(0.1, 0.35), st.floats(0.0, 3.0), st.integers(0, 29))
def test_a_slower_job_never_makes_the_rate_faster(times: list[float], tau: float, more: float, at: int) -> None:
    before = moved([Seen(one) for one in times], tau, spread=0.25)
    slower = [one + (more if n == at % len(times) else 0) for n, one in enumerate(times)]
    assert moved([Seen(one) for one in slower], tau, spread=0.25).rate >= before.rate - 1e-6


@given(many, st.floats(0.1, 0.35))
def test_it_stays_between_belief_and_jobs_whatever_their_order(times: list[float], tau: float) -> None:
    found = moved([Seen(one) for one in times], tau)
    assert min(1.0, *times) - 1e-9 <= found.rate <= max(1.0, *times) + 1e-9
    assert 0 < found.rate_weight < 1
    again = moved([Seen(one) for one in reversed(times)], tau)
    assert again.rate == pytest.approx(found.rate, abs=1e-6)


@given(many, st.floats(0.1, 0.3))
def test_more_of_the_same_jobs_weigh_more(times: list[float], tau: float) -> None:
    once = moved([Seen(one) for one in times], tau, spread=0.25)
    twice = moved([Seen(one) for one in times * 2], tau, spread=0.25)
    assert twice.rate_weight > once.rate_weight
    assert abs(twice.rate - 1) >= abs(once.rate - 1) - 1e-6


def test_one_job_weighs_a_third_at_most_however_little_is_known_of_a_rate() -> None:
    for three in ((1.0, 1.0, 1.0), (0.5, 1.0, 2.0), (0.0, 1.0, 9.0)):
        assert moved([Seen(1.3)], tau_of(three)).rate_weight <= 0.35


def test_spread_is_the_usual_one_until_own_jobs_say_otherwise() -> None:
    assert spread_of([1.7]) == USUAL_SPREAD
    assert spread_of([0.9, 1.0, 1.1, 9.0]) < 0.3, "one wild job does not make all of them wide"
    even = [1.0 + NormalDist(0, 0.1).inv_cdf((n + 0.5) / 400) for n in range(400)]
    assert spread_of(even) == pytest.approx(0.1, abs=0.003)
    assert tau_of((1.0, 1.0, 1.0)) == 0.10
    assert tau_of((0.0, 1.0, 9.0)) == 0.18
    assert sqrt(moved([], 0.1).rate) == 1.0
