"""Where each figure of a change order comes from: what was signed, what it will be, and at which prices.

`total`, `contract`, `whole` (what the job as a whole moves by), `zone:ID`, `item:ZONE:ID`, `found:ID`. Money is told in
whole units of the firm's currency.
"""

from app.domain.basis import Basis
from app.domain.contract.contract_sum import ContractSum
from app.domain.contract.difference import Difference, Item, ZoneDifference
from app.domain.contract.found import FoundItem
from app.domain.contract.standing import Standing, cells_in_contract
from app.domain.costing.compared import sold_of
from app.domain.costing.estimate import Estimate
from app.domain.costing.explain import explain
from app.domain.job import Job, only_included
from app.domain.takeoff.trace import Trace, number_text
from app.domain.units import format_day

SELLS = "what it sells for: direct cost with its share of overhead, contingency, profit and tax, all as signed"
WHOLE = "what the job as a whole moves by: crew days, supervision, deliveries, the rounding"


def explain_change(found: Difference, standing: Standing, summed: ContractSum, figure: str) -> Trace | None:
    """How one figure came about; None for one that is not there (any more)."""
    kind, _, key = figure.partition(":")
    told = _Telling(found, standing, summed)
    if kind in ("total", "contract", "whole"):
        return {"total": told.total, "contract": told.contract, "whole": told.whole}[kind]()
    if kind == "zone":
        return next((told.zone(one) for one in found.zones if one.zone == key), None)
    if kind == "item":
        return next((told.item(one) for one in found.items if f"{one.zone}:{one.key}" == key), None)
    if kind == "found":
        return next((told.found(one) for one in found.found if one.key == key), None)
    return None


class _Telling:
    """Tells the figures of one difference."""

    def __init__(self, found: Difference, standing: Standing, summed: ContractSum) -> None:
        self.difference, self.standing, self.summed = found, standing, summed
        self.unit = found.basis.firm.currency

    def money(self, label: str, cents: int, told: str = "", steps: tuple[Trace, ...] = (), filled: str = "") -> Trace:
        """A figure of money."""
        return Trace(label=label, expression=told, filled=filled, result=cents / 100, unit=self.unit, steps=steps)

    def total(self) -> Trace:
        """What is added to the contract sum."""
        steps = tuple(self.zone(one) for one in self.difference.zones)
        return self.money("Added by this change order", self.difference.by, "sum of the zones that change", steps)

    def contract(self) -> Trace:
        """The new contract sum."""
        signed = self.money("Signed proposal", self.summed.signed_cents)
        changes = [self.money(f"{one.kind.capitalize()} {one.number}", one.cents) for one in self.summed.changes]
        told = "signed proposal + what was signed after it + this change order"
        return self.money("New contract sum", self.difference.after_cents, told, (signed, *changes, self.total()))

    def whole(self) -> Trace:
        """What the job as a whole moves by beside the works that change."""
        sides = self._sides()
        full = [sum(c for _, c in cells_in_contract(only_included(job), sold_of(worked))) for job, _, worked in sides]
        items = sum(one.by for one in self.difference.items)
        steps = (
            self.money("Full estimate of today's plan, on signed terms", full[1]),
            self.money("Full estimate of what is signed", full[0]),
            self.money("The works that change, by themselves", items),
        )
        told = "full estimate after − full estimate before − the works that change"
        return self.money("The job as a whole", self.difference.whole_job, told, steps)

    def zone(self, one: ZoneDifference) -> Trace:
        """What a zone adds."""
        steps = [*(self.item(item) for item in one.items), *(self.found(row) for row in one.found)]
        if one.with_it:
            steps.append(self.money("For the job as a whole", one.with_it, WHOLE))
        return self.money(f"{one.letter} {one.title}".strip(), one.by, "sum of what changes", tuple(steps))

    def item(self, one: Item) -> Trace:
        """What a work adds: its price as it will be, less its signed price."""
        before, after = self._sides()
        steps = []
        if one.will_cents is not None:
            told = " ".join([SELLS, *self._todays(one)])
            steps.append(self.money("Will be", one.will_cents, told, self._lines(one.key, *after)))
        if one.was_cents is not None:
            told = "its signed price" if one.will_cents is not None else "credited at its signed price"
            steps.append(self.money("As signed", one.was_cents, told, self._lines(one.key, *before)))
        return self.money(one.title, one.by, "will be − as signed", tuple(steps))

    def _todays(self, one: Item) -> list[str]:
        return [f"({title}: today's price{f', {format_day(day)}' if day else ''})" for title, day in one.todays]

    def _sides(self) -> tuple[tuple[Job, Basis, Estimate], tuple[Job, Basis, Estimate]]:
        before = (self.standing.job, self.standing.basis, self.difference.before)
        return before, (self.difference.job, self.difference.basis, self.difference.after)

    def _lines(self, key: str, job: Job, basis: Basis, worked: Estimate) -> tuple[Trace, ...]:
        cells = cells_in_contract(only_included(job), sold_of(worked))
        return tuple(
            self.money(line.title, cents, SELLS, (explain(job, basis, line.figure, worked),))
            for line, cents in cells
            if line.work_id == key
        )

    def found(self, one: FoundItem) -> Trace:
        """What was found: quantity × price of a unit, less what of it is signed."""
        told = "quantity × " + ("the unit price agreed at signing" if one.agreed else "today's price, none was agreed")
        filled = f"{number_text(float(one.quantity))} × {number_text(one.each_cents / 100)}"
        steps = (self.money("Signed before", one.was_cents),) if one.was_cents else ()
        return self.money(one.title, one.by, told + (" − signed before" if steps else ""), steps, filled)
