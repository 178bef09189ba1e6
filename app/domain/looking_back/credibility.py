"""How far a firm's own jobs move a figure: by credibility, so few jobs move little; robustly, so a wild one does not.

A task is bid at `amount x rate + places x set-up` hours. Each job says how its hours compare with that, as a multiple,
and how much of them the rate should have had. Rate and set-up are both believed to lie about where they stand (a prior
of spread `tau` around 1); jobs differ among themselves by `sigma`. The factors a (of the rate) and b (of the set-up)
are those at which

    sum of H((y - p a - (1 - p) b) / sigma)  +  (a - 1)^2 / (2 tau_a^2)  +  (b - 1)^2 / (2 tau_b^2)

is least, where H is Huber's loss: quadratic up to `CUT`, straight beyond, so that a job far off pulls no harder than
one `CUT` spreads off. Where there is no set-up this is a = 1 + Z (mean - 1) with Z = n / (n + k), k = sigma^2 / tau^2.

Sources (from memory): Z = n / (n + k): H. Buehlmann, Experience rating and credibility, ASTIN Bulletin 4 (1967); the
same is the mean of a normal belief after normal observations (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.5).
H and 1.345 (95 % efficient): P. J. Huber, Robust estimation of a location parameter, Ann. Math. Stat. 35 (1964).
1.4826 makes the median of distances a standard deviation: Rousseeuw & Croux, JASA 88 (1993). A sixth of the span from
low to high as a standard deviation: Malcolm, Roseboom, Clark & Fazar, Operations Research 7 (1959).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, median

CUT = 1.345  # spreads: a job farther off pulls no harder
MEDIAN_TO_SPREAD = 1.4826
USUAL_SPREAD = 0.25  # how far jobs of one firm differ, as a share: assumption, until its own jobs say so
USUAL_COUNTS_AS = 4  # jobs that the assumed spread counts as
LEAST_TAU, MOST_TAU = (
    0.10,
    0.18,
)  # a figure without a span still learns; of the widest span one job weighs a third, no more (assumption)
ROUNDS, NEAR = 200, 1e-12
LEAST_FACTOR, MOST_FACTOR = 0.25, 4.0


@dataclass(frozen=True, slots=True)
class Seen:
    """What one job says: hours as a multiple of those expected, and the share of these that the rate has (0 to 1)."""

    times: float
    by_rate: float = 1.0


@dataclass(frozen=True, slots=True)
class Moved:
    """Where jobs move a figure: factors of rate and set-up, each with its weight (0: as before, 1: jobs alone).

    `spread` is how far jobs differ from one another, as a share; `counts` is how much each job counts beside a usual
    one (1: in full).
    """

    rate: float
    setup: float
    rate_weight: float
    setup_weight: float
    spread: float
    counts: tuple[float, ...]


def tau_of(three: tuple[float, float, float]) -> float:
    """How far a figure of low, likely, high may lie from where it stands, as a share: a sixth of its span, in bounds.

    >>> round(tau_of((0.05, 0.07, 0.10)), 3), tau_of((1.0, 1.0, 1.0))
    (0.119, 0.1)
    """
    low, likely, high = three
    return min(MOST_TAU, max(LEAST_TAU, (high - low) / (6 * likely))) if likely > 0 else LEAST_TAU


def spread_of(times: Sequence[float], usual: float = USUAL_SPREAD) -> float:
    """How far jobs differ: by the median distance from their median, held to the usual spread while they are few.

    The weighing is that of a scaled inverse chi-square belief about a variance (Gelman et al., 2.6).

    >>> spread_of([1.0]), round(spread_of([1.0, 1.0, 1.0, 1.0, 1.0]), 4)
    (0.25, 0.1768)
    """
    middle = median(times)
    own = MEDIAN_TO_SPREAD * median(abs(one - middle) for one in times)
    more = len(times) - 1
    return sqrt((USUAL_COUNTS_AS * usual**2 + more * own**2) / (USUAL_COUNTS_AS + more))


def moved(
    seen: Sequence[Seen],
    tau_rate: float,
    tau_setup: float = LEAST_TAU,
    *,
    spread: float | None = None,
    cut: float = CUT,
) -> Moved:
    """Where these jobs move rate and set-up.

    >>> few = moved([Seen(1.3)], 0.125)
    >>> round(few.rate, 2), round(few.rate_weight, 2)
    (1.06, 0.2)
    """
    if not seen:
        return Moved(1.0, 1.0, 0.0, 0.0, USUAL_SPREAD, ())
    sigma = spread if spread is not None else spread_of([one.times for one in seen])
    a = b = 0.0
    counts = [1.0] * len(seen)
    for _ in range(ROUNDS):
        before = (a, b)
        a, b = _least(seen, counts, sigma, (tau_rate, tau_setup))
        counts = [_count((one.times - 1 - one.by_rate * a - (1 - one.by_rate) * b) / sigma, cut) for one in seen]
        if abs(a - before[0]) + abs(b - before[1]) < NEAR:
            break
    known_a, known_b = _variances(seen, counts, sigma, (tau_rate, tau_setup))
    return Moved(
        rate=_bounded(1 + a),
        setup=_bounded(1 + b),
        rate_weight=1 - known_a / tau_rate**2,
        setup_weight=1 - known_b / tau_setup**2,
        spread=sigma,
        counts=tuple(counts),
    )


def pull_at_most(tau: float, spread: float) -> float:
    """The farthest that one more job can move a rate, however wild it is: the loss beyond `CUT` is straight.

    The slope of one job is at most CUT / sigma, and what is believed bends by 1 / tau^2.

    >>> round(pull_at_most(0.12, 0.25), 3)
    0.077
    """
    return CUT * tau**2 / spread


def _count(off: float, cut: float) -> float:
    return min(1.0, cut / abs(off)) if off else 1.0


def _system(
    seen: Sequence[Seen], counts: Sequence[float], sigma: float, taus: tuple[float, float]
) -> tuple[float, float, float]:
    """How sharply both factors are held, and together."""
    pairs = list(zip(seen, counts, strict=True))
    held_a = sum(count * one.by_rate**2 for one, count in pairs) / sigma**2 + taus[0] ** -2
    held_b = sum(count * (1 - one.by_rate) ** 2 for one, count in pairs) / sigma**2 + taus[1] ** -2
    both = sum(count * one.by_rate * (1 - one.by_rate) for one, count in pairs) / sigma**2
    return held_a, held_b, both


def _least(
    seen: Sequence[Seen], counts: Sequence[float], sigma: float, taus: tuple[float, float]
) -> tuple[float, float]:
    """What both factors lie above 1 by, at the least of the weighted squares (two equations, two unknowns)."""
    held_a, held_b, both = _system(seen, counts, sigma, taus)
    pairs = list(zip(seen, counts, strict=True))
    pull_a = sum(count * one.by_rate * (one.times - 1) for one, count in pairs) / sigma**2
    pull_b = sum(count * (1 - one.by_rate) * (one.times - 1) for one, count in pairs) / sigma**2
    area = held_a * held_b - both * both
    return (pull_a * held_b - pull_b * both) / area, (pull_b * held_a - pull_a * both) / area


def _variances(
    seen: Sequence[Seen], counts: Sequence[float], sigma: float, taus: tuple[float, float]
) -> tuple[float, float]:
    """What is left of not knowing each factor, as a variance."""
    held_a, held_b, both = _system(seen, counts, sigma, taus)
    area = held_a * held_b - both * both
    return held_b / area, held_a / area


def _bounded(factor: float) -> float:
    return min(MOST_FACTOR, max(LEAST_FACTOR, factor))


def mean_times(seen: Sequence[Seen], counts: Sequence[float]) -> float:
    """The mean of jobs, each as much as it counts."""
    whole = sum(counts)
    if not whole:
        return fmean(one.times for one in seen)
    return sum(one.times * count for one, count in zip(seen, counts, strict=True)) / whole
