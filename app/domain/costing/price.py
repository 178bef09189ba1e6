"""From direct cost to price: each step a total worked out once and shared to cells, so that every sum is exact.

Order of the steps: direct cost; tax the firm pays on materials (consumer); warranty reserve, overhead and contingency,
each on direct cost; what the risks that the firm carries cost on average; then profit as a margin (profit over price:
price = cost ÷ (1 − margin)), at the firm's margin or the job's own; what the owner took off or put on by name
(adjustment), over all that is sold; then tax the client pays on the selling price of materials (retailer), never on
labor unless the firm says so (`tax_rules`); allowances at their printed amount, without markup; and the last rounding,
which is a cell of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from math import fsum

import numpy as np
from numpy.typing import NDArray

from app.domain.basis import CostClass, Firm
from app.domain.costing.sharing import Cents, shared
from app.domain.costing.tax_rules import CLIENTS, OURS, class_rules
from app.domain.costing.warranty import reserved
from app.domain.errors import BadValue
from app.domain.money import cents
from app.domain.units import format_share

COST_STEPS = ("direct", "material tax", "warranty", "overhead", "contingency", "risks")
PASSED_ON_STEPS = ("sales tax", "allowances")  # the client pays them through the firm: none of it is profit
NOT_COST_STEPS = ("profit", "adjustment", *PASSED_ON_STEPS, "rounding")
STEPS = (*COST_STEPS, *NOT_COST_STEPS)
MOST_CENTS = 10**13  # a line above this is a slip of the hand
FINER = 1000  # overhead is shared by thousandths of a cent
FINEST = 10_000  # contingency by class is shared by hundredths of a percent


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Direct cost [cents] of each cell, the class it belongs to, and its labor hours; `rounding` is the cell's place.

    Cells of class ALLOWANCE are sold as they stand.
    """

    cents: Sequence[int]
    classes: Sequence[CostClass]
    hours: Sequence[float]
    kinds: Sequence[str] = ()  # of work, for the warranty reserve; none: one share for all
    rounding: int | None = None  # None: the price is not rounded
    taxes: Sequence[str] | None = None  # how each is treated for sales tax; None: by its class
    tax_rate: Decimal | None = None  # None: the firm's
    risks: Cents | None = None  # expected cost of the risks the firm carries [cents], by cell; None: there are none


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTerms:
    """What one job is sold at in place of the firm's margin, and what is put on or taken off it by name [cents]."""

    margin: Decimal | None = None  # profit over price; None: the firm's
    adjustment_cents: int = 0
    adjustment_title: str = ""


AS_THE_FIRM = OwnTerms()


@dataclass(frozen=True)
class Step:
    """One step of the build-up: its total, and each cell's part of it [cents], in the order of the cells."""

    name: str
    cents: int
    parts: Cents
    words: str = ""

    def __eq__(self, other: object) -> bool:
        """Whether both come to the same in every cell, by the same name."""
        if not isinstance(other, Step):
            return NotImplemented
        return (self.name, self.words) == (other.name, other.words) and np.array_equal(self.parts, other.parts)

    __hash__ = None  # type: ignore[assignment]

    @cached_property
    def shares(self) -> tuple[int, ...]:
        """The parts listed, once they are asked for."""
        return tuple(self.parts.tolist())


@dataclass(frozen=True, slots=True)
class BuildUp:
    """All steps, and what each cell sells for.

    `cost_cents` is all but profit, what was adjusted, the client's tax, allowances and the rounding.
    """

    steps: tuple[Step, ...]
    selling: tuple[int, ...]
    cost_cents: int
    price_cents: int

    def step(self, name: str) -> Step:
        """A step by name."""
        return next(step for step in self.steps if step.name == name)

    @property
    def fixed_cents(self) -> int:
        """What of the price stays as it is when direct cost moves: the adjustment, allowances, the rounding."""
        return sum(self.step(name).cents for name in ("adjustment", "allowances", "rounding"))

    @property
    def passed_on_cents(self) -> int:
        """What the client pays that is not the firm's: tax on the selling price, and allowances."""
        return sum(self.step(name).cents for name in PASSED_ON_STEPS)

    @property
    def profit_cents(self) -> int:
        """What is left of the price for the firm: profit with the adjustment and the rounding; below 0 a loss."""
        return self.price_cents - self.passed_on_cents - self.cost_cents


def build_up(cells: Cells, firm: Firm, own: OwnTerms = AS_THE_FIRM) -> BuildUp:
    """The price of direct cells by the firm's method, on the job's own terms where it has any.

    Raises: BadValue for a margin of 100% and more.
    """
    costing = costed(cells, firm)
    margin = firm.margin if own.margin is None else own.margin
    words = _percent(margin) + (" of the price" if own.margin is None else " of the price, this job's own")
    return sold(costing, firm, profit_cents(costing.total, margin), own, words)


def costed(cells: Cells, firm: Firm) -> "Costed":
    """What direct cells cost the firm: all steps before profit."""
    amounts = np.array(cells.cents, dtype=np.int64)
    set_aside = np.zeros(len(amounts), dtype=bool)
    if CostClass.ALLOWANCE in cells.classes:
        set_aside = np.array([one is CostClass.ALLOWANCE for one in cells.classes], dtype=bool)
    rate = firm.tax_rate if cells.tax_rate is None else cells.tax_rate
    ours, clients = _taxed(cells, firm)
    priced = np.where(set_aside, 0, amounts)
    built = _Building(len(amounts))
    built.take("direct", priced)
    taxed = priced * ours
    built.add("material tax", _part(int(taxed.sum()), rate), taxed, _percent(rate))
    built.take("warranty", *reserved(priced, cells.kinds, firm))
    built.add("overhead", *_overhead(cells, firm))
    built.add("contingency", *_contingency(cells.classes, priced, firm))
    built.take("risks", built.nothing if cells.risks is None else cells.risks, "chance × cost, one by one")
    return Costed(tuple(built.steps), built.running, built.total, clients, rate, amounts * set_aside, cells.rounding)


def sold(costing: "Costed", firm: Firm, profit: int, own: OwnTerms = AS_THE_FIRM, words: str = "") -> BuildUp:
    """What was costed, sold at a profit [cents]: the steps after cost. An adjustment leaves no price below nothing."""
    built = _sold(costing, profit, own, words)
    built.round_to(firm.round_to_cents, costing.rounding)
    return BuildUp(tuple(built.steps), tuple(built.running.tolist()), costing.total, built.total)


def before_rounding(costing: "Costed", profit: int, adjustment: int = 0) -> int:
    """The price [cents] before its last rounding, at a profit and an adjustment [cents]."""
    return _sold(costing, profit, OwnTerms(adjustment_cents=adjustment), "").total


def _sold(costing: "Costed", profit: int, own: OwnTerms, words: str) -> "_Building":
    built = _Building(len(costing.running), costing)
    built.add("profit", profit, built.running, words)
    taken = max(own.adjustment_cents, -built.total)
    built.add("adjustment", taken, built.running, own.adjustment_title or "put on or taken off by name")
    taxed = built.running * costing.taxed
    built.add("sales tax", _part(int(taxed.sum()), costing.rate), taxed, _percent(costing.rate))
    built.take("allowances", costing.allowances)
    return built


@dataclass(frozen=True, slots=True, eq=False)
class Costed:
    """Cells with all that they cost the firm; `taxed` marks those the client pays tax on, `allowances` go on top."""

    steps: tuple[Step, ...]
    running: Cents
    total: int
    taxed: NDArray[np.bool_]
    rate: Decimal
    allowances: Cents
    rounding: int | None


class _Building:
    """Steps as they are added, and what every cell has come to."""

    def __init__(self, cells: int, after: Costed | None = None) -> None:
        self.steps: list[Step] = list(after.steps) if after else []
        self.nothing: Cents = np.zeros(cells, dtype=np.int64)
        self.running: Cents = after.running if after else self.nothing
        self.total = after.total if after else 0

    def take(self, name: str, parts: Cents, words: str = "") -> int:
        """A step whose shares are known. Returns its total."""
        total = int(parts.sum())
        if not total and not parts.any():  # most steps of most jobs come to nothing
            self.steps.append(Step(name, 0, self.nothing))
            return 0
        self.running = self.running + parts
        self.total += total
        self.steps.append(Step(name, total, parts, words if total else ""))
        return total

    def add(self, name: str, total: int, weights: Cents, words: str = "") -> None:
        """A step whose total is known, shared by weights."""
        self.take(name, shared(total, weights) if total else self.nothing, words)

    def round_to(self, step_cents: int, place: int | None) -> None:
        """The last step: what rounds the price, in the one cell at `place`."""
        parts = np.zeros(len(self.running), dtype=np.int64)
        if place is not None:
            parts[place] = rounded(self.total, step_cents) - self.total
        self.take("rounding", parts)


def _percent(share: Decimal) -> str:
    return format_share(share, 4)


def _part(amount_cents: int, share: Decimal) -> int:
    return cents(Decimal(amount_cents) * share / 100)


def _taxed(cells: Cells, firm: Firm) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """The cells on whose cost the firm pays tax, and those on whose selling price the client does."""
    by_class = class_rules(firm)
    codes = {OURS: 1, CLIENTS: 2}
    if cells.taxes is None:
        of_class = {one: codes.get(how, 0) for one, how in by_class.items()}
        coded = np.array([of_class[one] for one in cells.classes], dtype=np.int8)
    else:
        coded = np.array([codes.get(how, 0) for how in cells.taxes], dtype=np.int8)
    return coded == codes[OURS], coded == codes[CLIENTS]


def _overhead(cells: Cells, firm: Firm) -> tuple[int, Cents, str]:
    """By class of direct cost, by labor hour, or both; each cell carries what it brings in."""
    words = "by class of cost and by labor hour"
    if not firm.overhead_per_hour and not any(firm.overhead.values()):
        return 0, np.zeros(len(cells.cents), dtype=np.int64), words
    by_class = {one: float(firm.overhead.get(one.value, Decimal(0))) for one in CostClass}
    by_class[CostClass.ALLOWANCE] = 0.0
    per_hour = float(firm.overhead_per_hour) * 100
    brings = [
        amount * by_class[one] + hours * per_hour
        for amount, one, hours in zip(cells.cents, cells.classes, cells.hours, strict=True)
    ]
    weights = np.rint(np.array(brings) * FINER).astype(np.int64)
    return cents(fsum(brings) / 100), weights, words


def _contingency(classes: Sequence[CostClass], priced: Cents, firm: Firm) -> tuple[int, Cents, str]:
    """One share of all direct cost, or a class's own share where the firm has set one."""
    own = firm.contingency_by_class
    if not own:
        return _part(int(priced.sum()), firm.contingency), priced, _percent(firm.contingency)
    shares = {one: own.get(one.value, firm.contingency) for one in CostClass}
    total = sum((amount * shares[one] for amount, one in zip(priced.tolist(), classes, strict=True)), Decimal(0))
    weights = priced * np.array([int(shares[one] * FINEST) for one in classes], dtype=np.int64)
    return cents(total / 100), weights, "by class of cost"


def profit_cents(cost_cents: int, margin: Decimal) -> int:
    """Profit so that profit over price is the margin: cost ÷ (1 − margin) − cost.

    Raises: BadValue for a margin of 100 % and more.

    >>> profit_cents(2_000, Decimal("0.25"))
    667
    """
    return cents(Decimal(cost_cents) * markup_of(margin) / 100)


def markup_of(margin: Decimal) -> Decimal:
    """The markup on cost that gives a margin on price: margin ÷ (1 − margin).

    >>> markup_of(Decimal("0.2"))
    Decimal('0.25')
    """
    if margin >= 1:
        raise BadValue(f"A margin of {_percent(margin)} leaves nothing of the price for the cost; below 100% works.")
    return margin / (1 - margin)


def margin_of(markup: Decimal) -> Decimal:
    """The margin on price that a markup on cost gives: markup ÷ (1 + markup).

    >>> margin_of(Decimal("0.25"))
    Decimal('0.2')
    """
    if markup <= -1:
        raise BadValue(f"A markup of {_percent(markup)} leaves no price at all.")
    return markup / (1 + markup)


def margin_left(price_cents: int, cost_cents: int) -> Decimal:
    """The margin that is left when a job costing `cost_cents` is sold at `price_cents`; negative below cost."""
    return Decimal(price_cents - cost_cents) / price_cents if price_cents else Decimal(0)


def rounded(price_cents: int, step_cents: int) -> int:
    """A price rounded half up to a whole step; a step of 0 or 1 rounds nothing."""
    step = max(1, step_cents)
    return (price_cents + step // 2) // step * step
