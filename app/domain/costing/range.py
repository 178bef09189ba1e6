"""How far the price may move: every input low, likely, high; what moves together is one group.

The inputs of a group (labor, a supplier) turn out high or low together: in a share u of cases each is below its own
quantile of u. Groups are apart from one another, but for what is common to several of them (how well the yard was
measured, a wet season, dearer prices everywhere): it stretches each input by its own share. What may happen or not (the
risk list) is apart from all of that. The closed form takes the
first four moments of the whole, exactly as the table of `pert` stands, and reads a distribution with the same ones;
`simulation` draws the same groups and what is common to them.

Source: Malcolm, Roseboom, Clark and Fazar, Operations Research 7 (1959), from memory.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from app.domain.costing.chances import RISKS, Chance, Summed, summed
from app.domain.costing.fitted import Fitted, Moments
from app.domain.costing.pert import MODES, Floats, gauss, places, quantiles, weights
from app.domain.errors import BadValue

A_POINT = 1e-6  # cents: what deviates by less is a point; powers of it would vanish


@dataclass(frozen=True, slots=True)
class Spread:
    """What something may come to [cents]: low, likely, high, in order."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise BadValue("Low, likely and high must be in order.")

    @property
    def at(self) -> float:
        """Where the likely lies between low and high, 0 to 1."""
        width = self.high - self.low
        return (self.likely - self.low) / width if width > 0 else 0.0


class Input(NamedTuple):
    """One input [cents]: the group it moves with, low, likely, high; how much each common cause stretches it.

    `line` is its place in the estimate's lines, −1 where it is of none.
    """

    group: str
    low: float
    likely: float
    high: float
    loads: tuple[float, ...] = ()
    line: int = -1


@dataclass(frozen=True, slots=True)
class Common:
    """A cause common to several groups: by which share it stretches what bears all of it, low, likely and high."""

    name: str
    spread: Spread


@dataclass(frozen=True, slots=True)
class Range:
    """A band [cents]: 10th percentile, what the estimate says, 90th percentile."""

    low: int
    likely: int
    high: int


class Rows(NamedTuple):
    """Inputs as columns, one place each: names of groups, low, likely, high [cents], and loads, a row each."""

    groups: Sequence[str]
    low: Floats
    likely: Floats
    high: Floats
    loads: Floats


@dataclass(frozen=True)
class Inputs:
    """All that may move: inputs with their groups, and what is common, in the order of each input's loads.

    Figures are worked out from `pooled`: inputs of one group and shape that bear the same may stand there as one, since
    they are high or low together; `hours` are beside them, as columns. `each` gives all of it line by line, where that
    is asked for.
    """

    pooled: tuple[Input, ...]
    common: tuple[Common, ...] = ()
    each: Callable[[], tuple[Input, ...]] | None = field(default=None, repr=False, compare=False)
    chances: tuple[Chance, ...] = ()  # what may happen: its mean is no part of the inputs, it widens around it
    hours: Rows | None = field(default=None, repr=False, compare=False)

    @cached_property
    def inputs(self) -> tuple[Input, ...]:
        """Every input, line by line."""
        return self.each() if self.each else self.pooled

    @cached_property
    def rows(self) -> Rows:
        """Everything as columns."""
        names, *ends, borne_by, _lines = zip(*self.pooled, strict=True) if self.pooled else ((), (), (), (), (), ())
        none = (0.0,) * len(self.common)
        loads = np.array([one or none for one in borne_by], dtype=np.float64).reshape(len(names), len(none))
        low, likely, high = np.array(ends, dtype=np.float64)
        own = Rows(names, low, likely, high, loads)
        if self.hours is None:
            return own
        low, likely, high, loads = (np.concatenate(both) for both in zip(self.hours[1:], own[1:], strict=True))
        return Rows([*self.hours.groups, *names], low, likely, high, loads)

    @cached_property
    def numbered(self) -> tuple[Sequence[str], NDArray[np.int64]]:
        """The names of the groups in order, and the number of each row's group."""
        names = self.rows.groups
        groups = sorted(set(names))
        number = {name: at for at, name in enumerate(groups)}
        return groups, np.array([number[name] for name in names], dtype=np.int64)

    @cached_property
    def groups(self) -> Mapping[str, Spread]:
        """What each group may come to: the sums of its inputs, by name."""
        groups, of = self.numbered
        sums = [np.bincount(of, ends, len(groups)).tolist() for ends in self.rows[1:4]]
        return {name: Spread(*row) for name, *row in zip(groups, *sums, strict=True)}

    @cached_property
    def loaded(self) -> Mapping[str, float]:
        """Likely cents that each common cause stretches, by its name: what it bears times its share."""
        borne = (self.rows.likely @ self.rows.loads).tolist()
        return {cause.name: cents for cause, cents in zip(self.common, borne, strict=True)}

    @cached_property
    def distribution(self) -> "Distribution":
        """The whole in closed form."""
        return distribution(self)


@dataclass(frozen=True)
class Distribution:
    """What the whole comes to [cents]: a distribution with its first four moments, and what widens it.

    `parts` are shares of the variance by group or common cause, each alone; they add up to nearly 1.
    """

    fitted: Fitted | Summed
    parts: Mapping[str, float]

    @property
    def mean(self) -> float:
        """The mean [cents]."""
        return self.fitted.moments.mean

    def at(self, share: float) -> float:
        """What a share of all cases stays below [cents]."""
        return self.fitted.at(share)

    def above(self, cents: float) -> float:
        """The share of cases above an amount."""
        return self.fitted.above(cents)


def closed_form(inputs: Inputs) -> tuple[float, float, float]:
    """10th percentile, mean, 90th percentile of the whole [cents]."""
    found = inputs.distribution
    return found.at(0.1), found.mean, found.at(0.9)


def distribution(inputs: Inputs) -> Distribution:
    """The whole of all inputs in closed form.

    Given what the common causes come to, groups are apart: their cumulants add. Three nodes a cause then give the mean
    over it exactly, since nothing above the fourth power occurs.
    """
    found = _of_inputs(inputs)
    if not inputs.chances or not isinstance(found.fitted, Fitted):
        return found
    whole = summed(found.fitted, inputs.chances)
    before, after = found.fitted.moments.second, whole.moments.second
    less = before / after if after > 0 else 0.0
    parts = {name: part * less for name, part in found.parts.items()}
    return Distribution(whole, {**parts, RISKS: 1 - less if after > 0 else 0.0})


def _of_inputs(inputs: Inputs) -> Distribution:
    if not inputs.rows.groups:
        return Distribution(Fitted(Moments(0.0, 0.0, 0.0, 0.0)), {})
    groups, curves, exact = _curves(inputs)
    stretched, chances = _cases(inputs.common)
    parts = weights()
    values = np.tensordot(stretched, curves, axes=(1, 0))  # case, group, share of cases
    apart = values - (values @ parts)[:, :, None]
    means = stretched @ exact
    squared = apart * apart
    second, third, fourth = squared @ parts, (squared * apart) @ parts, (squared * squared) @ parts
    whole = _mixed(chances, (means.sum(1), second.sum(1), third.sum(1), (fourth - 3 * second**2).sum(1)))
    return Distribution(Fitted(whole), _parts(inputs.common, groups, chances, means.sum(1), second, whole.second))


def _curves(inputs: Inputs) -> tuple[Sequence[str], Floats, Floats]:
    """By cause (first: as it stands), group and share of cases: what the group's inputs come to, times their loads.

    Beside it their means, exactly: (low + 4 likely + high)/6.
    """
    groups, of = inputs.numbered
    _, low, likely, high, loads = inputs.rows
    width = high - low
    below, toward = places(np.divide(likely - low, width, out=np.zeros_like(width), where=width > 0))
    cell, cells, many = of * MODES + below, len(groups) * MODES, len(groups)
    curves, means = [], []
    for load in (np.ones(len(of)), *loads.T):
        borne = width * load
        spread = np.bincount(cell, borne * (1 - toward), cells) + np.bincount(cell + 1, borne * toward, cells)
        curves.append(np.bincount(of, low * load, many)[:, None] + spread.reshape(many, MODES) @ quantiles())
        means.append(np.bincount(of, load * (low + 4 * likely + high) / 6, many))
    return groups, np.array(curves), np.array(means)


@lru_cache(maxsize=64)
def _cases(common: tuple[Common, ...]) -> tuple[Floats, Floats]:
    """Every combination of the common causes' nodes: how far each stretches (first 1: as it stands), and its chance."""
    nodes = [gauss(round(one.spread.at, 9)) for one in common]
    widths = [(one.spread.low, one.spread.high - one.spread.low) for one in common]
    rows = [
        (1.0, *(low + width * at for (low, width), at in zip(widths, found, strict=True)))
        for found in product(*(one[0] for one in nodes))
    ]
    chances = [float(np.prod(found)) for found in product(*(one[1] for one in nodes))]
    return np.array(rows), np.array(chances)


def _mixed(chances: Floats, cumulants: tuple[Floats, Floats, Floats, Floats]) -> Moments:
    """The moments over all cases from the first four cumulants in each."""
    first, second, third, fourth = cumulants
    mean = float(chances @ first)
    d = first - mean
    return Moments(
        mean,
        float(chances @ (second + d**2)),
        float(chances @ (third + 3 * d * second + d**3)),
        float(chances @ (fourth + 3 * second**2 + 6 * d**2 * second + 4 * d * third + d**4)),
    )


def _parts(
    common: Sequence[Common], groups: Sequence[str], chances: Floats, means: Floats, second: Floats, whole: float
) -> Mapping[str, float]:
    """The share of the variance of each group, and of each common cause: how far its own nodes carry the mean."""
    if whole <= A_POINT**2:
        return {}
    found = {name: float(chances @ second[:, at]) / whole for at, name in enumerate(groups)}
    by_node = chances.reshape((3,) * len(common)), means.reshape((3,) * len(common))
    for at, cause in enumerate(common):
        others = tuple(axis for axis in range(len(common)) if axis != at)
        chance = by_node[0].sum(axis=others)
        mean = (by_node[0] * by_node[1]).sum(axis=others) / chance
        found[cause.name] = float(chance @ (mean - float(chances @ means)) ** 2) / whole
    return found
