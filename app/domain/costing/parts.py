"""The build-up of the parts of a job: zone, phase or class with its share of every step; rows and columns add up."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate
from app.domain.costing.grouping import By, Group, grouped
from app.domain.costing.price import COST_STEPS, NOT_COST_STEPS, PASSED_ON_STEPS, margin_left
from app.domain.job import Job
from app.domain.takeoff.trace import Trace, number_text

COST, PROFIT, PRICE, MARGIN, MARKUP = "cost", "profit kept", "price", "margin", "markup"
PARTS: Mapping[str, By] = {"zone": "zone", "phase": "phase", "class": "class"}
SUMS: Mapping[str, tuple[str, ...]] = {  # figures of a part that are sums of its steps
    COST: COST_STEPS,
    PROFIT: tuple(one for one in NOT_COST_STEPS if one not in PASSED_ON_STEPS),
    PRICE: (*COST_STEPS, *NOT_COST_STEPS),
}
_WORDS: Mapping[str, str] = {
    COST: "its share of every step of cost",
    PROFIT: "its profit, with its share of what was adjusted and rounded",
    PRICE: "its direct cost and its share of every step",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartBuildUp:
    """A part of a job with its share of every step [cents], by the step's name."""

    group: Group
    steps: Mapping[str, int]

    def sum_of(self, name: str) -> int:
        """Cost, the profit that is kept, or the price [cents]: a sum of steps."""
        return sum(self.steps[one] for one in SUMS[name])

    @property
    def margin(self) -> Decimal | None:
        """Profit over what is sold of this part, without tax and allowances; None where nothing is."""
        cost, profit = self.sum_of(COST), self.sum_of(PROFIT)
        return margin_left(cost + profit, cost) if cost and cost + profit else None

    @property
    def markup(self) -> Decimal | None:
        """The same profit over cost; None where there is no cost."""
        cost = self.sum_of(COST)
        return Decimal(self.sum_of(PROFIT)) / cost if cost else None


def by_part(by: By, job: Job, basis: Basis, worked: Estimate) -> tuple[PartBuildUp, ...]:
    """Every part of a job; over all of them each step adds up to the job's, to the cent."""
    return tuple(_part(one, worked) for one in grouped(by, job, basis, worked))


def _part(group: Group, worked: Estimate) -> PartBuildUp:
    steps = {one.name: sum(one.shares[at] for at in group.lines) for one in worked.build_up.steps}
    return PartBuildUp(group=group, steps=steps)


def explain_part(job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    """`part:BY:KEY:WHAT`: a step's share, a sum, margin or markup of a part. None for what is none."""
    _, by, key, what = (*figure.split(":", 3), "", "", "")[:4]
    kind = PARTS.get(by)
    found = next((one for one in by_part(kind, job, basis, worked) if one.group.key == key), None) if kind else None
    if found is None:
        return None
    if what in found.steps:
        return _step(found, worked, what, basis.firm.currency)
    if what in SUMS:
        return _sum(found, worked, what, basis.firm.currency)
    return _share(found, worked, what, basis.firm.currency)


def _step(part: PartBuildUp, worked: Estimate, name: str, currency: str) -> Trace:
    whole = worked.build_up.step(name).cents
    told = "sum of its lines" if name == "direct" else "its share of the step, by what each line brings to it"
    return Trace(
        label=f"{part.group.title}: {name}",
        expression=told,
        filled=f"of {number_text(whole / 100)} for the whole job",
        result=part.steps[name] / 100,
        unit=currency,
    )


def _sum(part: PartBuildUp, worked: Estimate, name: str, currency: str) -> Trace:
    steps = [_step(part, worked, one, currency) for one in SUMS[name] if part.steps[one]]
    return Trace(
        label=f"{part.group.title}: {name}",
        expression=_WORDS[name],
        filled=" + ".join(number_text(one.result) for one in steps).replace("+ -", "− "),
        result=part.sum_of(name) / 100,
        unit=currency,
        steps=tuple(steps),
    )


def _share(part: PartBuildUp, worked: Estimate, what: str, currency: str) -> Trace | None:
    share = {MARGIN: part.margin, MARKUP: part.markup}.get(what)
    if share is None:
        return None
    cost, profit = (_sum(part, worked, name, currency) for name in (COST, PROFIT))
    below = number_text(cost.result + profit.result) if what == MARGIN else number_text(cost.result)
    return Trace(
        label=f"{part.group.title}: {what}",
        expression="profit / (cost + profit)" if what == MARGIN else "profit / cost",
        filled=f"{number_text(profit.result)} / {below}",
        result=float(share * 100),
        unit="%",
        steps=(profit, cost),
    )
