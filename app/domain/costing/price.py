"""From direct cost to price: each step a total worked out once and shared to cells, so that every sum is exact.

Order of the steps: direct cost by class, tax the firm pays on materials, warranty reserve, overhead, contingency; then
profit as a margin (profit over price); then tax the client pays on materials; allowances at their printed amount; and
the last rounding, which is a cell like any other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.domain.basis import CostClass, Firm
from app.domain.money import cents, share

STEPS = (
    "direct",
    "material tax",
    "warranty",
    "overhead",
    "contingency",
    "profit",
    "sales tax",
    "allowances",
    "rounding",
)


@dataclass(frozen=True, slots=True)
class DirectCell:
    """Direct cost of one line, in one zone and phase [cents]; `hours` of labor for overhead by the hour."""

    line: int
    zone: str
    phase: str
    cost_class: CostClass
    cents: int
    hours: float = 0.0


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the build-up: its total, and each cell's share of it, in the order of the cells."""

    name: str
    cents: int
    shares: tuple[int, ...]
    words: str = ""


@dataclass(frozen=True, slots=True)
class BuildUp:
    """All steps, and what each cell sells for. `cost_cents` is all but profit, the client's tax and the rounding."""

    steps: tuple[Step, ...]
    selling: tuple[int, ...]
    cost_cents: int
    price_cents: int

    def step(self, name: str) -> Step:
        """A step by name."""
        return next(step for step in self.steps if step.name == name)


def build_up(cells: Sequence[DirectCell], firm: Firm) -> BuildUp:
    """The price of direct cells by the firm's method. Cells of class ALLOWANCE are sold as they stand."""
    direct = [cell.cents for cell in cells]
    priced = [0 if cell.cost_class is CostClass.ALLOWANCE else cell.cents for cell in cells]
    materials = [amount if cells[at].cost_class is CostClass.MATERIAL else 0 for at, amount in enumerate(priced)]
    running = list(priced)
    steps = [Step("direct", sum(priced), tuple(priced))]

    def add(name: str, total: int, weights: Sequence[float], words: str = "") -> None:
        shares = share(total, weights) if total else (0,) * len(direct)
        steps.append(Step(name, total, shares, words))
        for at, part in enumerate(shares):
            running[at] += part

    own_tax = firm.tax_rate if firm.tax_mode == "consumer" else Decimal(0)
    add("material tax", cents(_money(sum(materials)) * own_tax), materials, "tax paid when buying, a cost")
    add("warranty", cents(_money(sum(priced)) * firm.warranty_reserve), priced)
    add("overhead", *_overhead(cells, firm))
    add("contingency", cents(_money(sum(priced)) * firm.contingency), priced)
    cost = sum(running)
    add("profit", profit_cents(cost, firm.margin), running)
    add("sales tax", *_sales_tax(running, materials, firm))
    allowances = [amount if cells[at].cost_class is CostClass.ALLOWANCE else 0 for at, amount in enumerate(direct)]
    add("allowances", sum(allowances), allowances)
    price = sum(running)
    add("rounding", rounded(price, firm.round_to_cents) - price, running)
    return BuildUp(tuple(steps), tuple(running), cost, sum(running))


def _money(amount_cents: int) -> Decimal:
    return Decimal(amount_cents) / 100


def _overhead(cells: Sequence[DirectCell], firm: Firm) -> tuple[int, list[float]]:
    """By class of direct cost, by labor hour, or both; the weights are what each cell brings in."""
    per_hour = float(firm.overhead_per_hour)
    weights = [
        0.0
        if cell.cost_class is CostClass.ALLOWANCE
        else cell.cents * float(firm.overhead.get(cell.cost_class.value, Decimal(0))) + cell.hours * per_hour * 100
        for cell in cells
    ]
    return cents(sum(weights) / 100), weights


def profit_cents(cost_cents: int, margin: Decimal) -> int:
    """Profit so that profit over price is the margin: cost ÷ (1 − margin) − cost.

    >>> profit_cents(2_000, Decimal("0.25"))
    667
    """
    return cents(_money(cost_cents) * margin / (1 - margin))


def markup_of(margin: Decimal) -> Decimal:
    """The markup on cost that gives a margin on price: margin ÷ (1 − margin).

    >>> markup_of(Decimal("0.2"))
    Decimal('0.25')
    """
    return margin / (1 - margin)


def margin_left(price_cents: int, cost_cents: int) -> Decimal:
    """The margin that is left when a job costing `cost_cents` is sold at `price_cents`; negative below cost."""
    return Decimal(price_cents - cost_cents) / price_cents if price_cents else Decimal(0)


def _sales_tax(running: Sequence[int], materials: Sequence[int], firm: Firm) -> tuple[int, list[float]]:
    """Tax on the selling price of materials only; labor is never taxed silently."""
    base = [amount if material else 0 for amount, material in zip(running, materials, strict=True)]
    rate = firm.tax_rate if firm.tax_mode == "retailer" else Decimal(0)
    return cents(_money(sum(base)) * rate), [float(amount) for amount in base]


def rounded(price_cents: int, step_cents: int) -> int:
    """A price rounded half up to a whole step; a step of 0 or 1 rounds nothing."""
    return price_cents if step_cents <= 1 else (price_cents + step_cents // 2) // step_cents * step_cents
