"""The range drawn case by case: every input of every line, by groups that move together and what is common to them.

Each group and each common cause is drawn once a case, evenly over all shares of cases (a Latin hypercube), from a
seeded generator whose numbers are the same everywhere; the arithmetic is plain, so the same inputs and seed give the
same figures to the last cent on every machine.

Source: McKay, Beckman and Conover, Technometrics 21 (1979), from memory.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum

import numpy as np

from app.domain.costing.chances import RISKS, drawn
from app.domain.costing.pert import Floats, places, quantiles, shares_of_cases
from app.domain.costing.range import Input, Inputs, Spread

TRIALS = 10_000
SEED = 20_270_301
KEPT = 1_000  # steps between the quantiles that are handed on
Tell = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Simulated:
    """What came out [cents]: mean, and quantiles from the lowest to the highest case at even shares of them.

    `parts` are shares of the variance by group or common cause: its own covariance with the whole, over the variance.
    """

    trials: int
    mean: float
    quantiles: tuple[float, ...]
    parts: Mapping[str, float]

    def at(self, share: float) -> float:
        """What a share of all cases stayed below [cents]."""
        return float(np.interp(share, np.linspace(0.0, 1.0, len(self.quantiles)), self.quantiles))

    def above(self, cents: float) -> float:
        """The share of cases above an amount."""
        if self.quantiles[0] == self.quantiles[-1]:
            return float(self.quantiles[0] > cents)
        return 1.0 - float(np.interp(cents, self.quantiles, np.linspace(0.0, 1.0, len(self.quantiles))))


def simulate(inputs: Inputs, *, seed: int = SEED, trials: int = TRIALS, tell: Tell | None = None) -> Simulated:
    """Draw all inputs `trials` times."""
    drawing = _Drawing(seed, trials)
    causes = [_between(one.spread, drawing.shares()) for one in inputs.common]
    by_group: dict[str, list[Input]] = {}
    for one in inputs.inputs:
        by_group.setdefault(one.group, []).append(one)
    total = np.zeros(trials)
    alone: dict[str, Floats] = {}
    stretched = [np.zeros(trials) for _ in causes]
    for done, name in enumerate(sorted(by_group)):
        own = _group(by_group[name], drawing.shares(), causes, stretched)
        total += own[0]
        alone[name] = own[1]
        if tell is not None:
            tell((done + 1) / len(by_group))
    for cause, moved in zip(inputs.common, stretched, strict=True):
        alone[cause.name] = moved
    if inputs.chances:
        alone[RISKS] = np.sum([drawn(one, drawing.shares()) - one.mean for one in inputs.chances], axis=0)
        total += alone[RISKS]
    return _told(total, alone, trials)


def _group(
    members: Sequence[Input], shares: Floats, causes: Sequence[Floats], stretched: Sequence[Floats]
) -> tuple[Floats, Floats]:
    """What a group comes to in each case, with and without what is common; what each cause adds goes to `stretched`."""
    nodes = shares_of_cases()
    at = np.clip(np.searchsorted(nodes, shares, side="right") - 1, 0, len(nodes) - 2)
    toward = (shares - nodes[at]) / (nodes[at + 1] - nodes[at])
    spans = np.array([(one.high - one.low, one.likely - one.low) for one in members])
    below, near = places(np.divide(spans[:, 1], spans[:, 0], out=np.zeros(len(members)), where=spans[:, 0] > 0))
    table = quantiles()
    own, whole = np.zeros(len(shares)), np.zeros(len(shares))
    for place, one in enumerate(members):
        row = table[below[place]] * (1 - near[place]) + table[below[place] + 1] * near[place]
        drawn = one.low + spans[place, 0] * (row[at] + (row[at + 1] - row[at]) * toward)
        own += drawn
        whole += drawn
        for cause, load in enumerate(one.loads):
            if load:
                added = drawn * (causes[cause] * load)
                whole += added
                np.add(stretched[cause], added, out=stretched[cause])
    return whole, own


def _between(spread: Spread, shares: Floats) -> Floats:
    """A beta-PERT value in each case."""
    below, near = places(np.array([spread.at]))
    row = quantiles()[below[0]] * (1 - near[0]) + quantiles()[below[0] + 1] * near[0]
    drawn: Floats = spread.low + (spread.high - spread.low) * np.interp(shares, shares_of_cases(), row)
    return drawn


class _Drawing:
    """Shares of cases between 0 and 1, one in each of `trials` even strata, in a seeded order."""

    def __init__(self, seed: int, trials: int) -> None:
        self.raw = np.random.PCG64(seed)
        self.trials = trials

    def shares(self) -> Floats:
        """The next column."""
        order = np.argsort(self._even(), kind="stable")
        drawn = np.empty(self.trials)
        drawn[order] = (np.arange(self.trials) + self._even()) / self.trials
        return drawn

    def _even(self) -> Floats:
        drawn: Floats = (self.raw.random_raw(self.trials) >> np.uint64(11)).astype(np.float64) * 2.0**-53
        return drawn


def _told(total: Floats, alone: Mapping[str, Floats], trials: int) -> Simulated:
    mean = fsum(total) / trials
    apart = total - mean
    variance = fsum(apart * apart)
    parts = {name: fsum(apart * moved) / variance for name, moved in alone.items()} if variance > 0 else {}
    ordered = np.sort(total)
    kept = np.interp(np.linspace(0, trials - 1, KEPT + 1), np.arange(trials), ordered)
    return Simulated(trials, mean, tuple(kept.tolist()), parts)
