"""Where every figure comes from: down to measures, formulas, conversions and sources.

A figure is named by a text: `line:KIND:ID:INDEX` (a line's direct cost), `amount:ID:INDEX` (what a work needs in
place), `wanted:ID:INDEX` (the same as bought, with losses), `worked:ID:INDEX` (hours of a task),
`purchase:MATERIAL:PHASE`, `ordered:MATERIAL:PHASE`, `loads:MATERIAL:PHASE` (what its trucks carry), `step:NAME`,
`zone:ID`, `phase:ID`, `class:NAME`, `hours:ZONE`,
`days:PHASE`, `wage:CLASS`, `place:KIND:ID` (what is built on a run, feature, edge or existing thing), `laid:ID:WHAT`
(units in a pattern), `measure:NAME` (see `explain_measures`), `factor:CAUSE` and
`factor:CAUSE:PHASE` (what slows the work), `share:NAME`
(margin, markup, left of the price), `price`, `cost`, `range`. Money is told in whole units of the firm's currency.
"""

from collections.abc import Callable, Iterable, Mapping
from uuid import UUID

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.explain_laid import laid_figure
from app.domain.costing.explain_lines import ExplainingLines
from app.domain.costing.explain_measures import measured
from app.domain.costing.explain_range import explain_range
from app.domain.costing.explain_risks import explain_risks
from app.domain.costing.explain_warranty import warranty_steps
from app.domain.costing.explain_words import unit_text, whole_money
from app.domain.costing.lines import ALLOWANCE, ROUNDING, Line
from app.domain.costing.price import COST_STEPS, STEPS, margin_left, markup_of
from app.domain.errors import NotFound
from app.domain.job import Job
from app.domain.takeoff.trace import Trace, number_text


def explain(job: Job, basis: Basis, figure: str, worked: Estimate | None = None) -> Trace:
    """How one figure of an estimate came about.

    `worked` is the estimate of this job on this basis where it is at hand. Raises: NotFound for a figure that is not
    in the estimate (any more).
    """
    return Explaining(job, basis, worked or estimate(job, basis)).figure(figure)


class Explaining(ExplainingLines):
    """Explains every figure of one estimate."""

    def figure(self, name: str) -> Trace:
        """The trace of a figure by its name."""
        kind, _, rest = name.partition(":")
        say = _FIGURES.get(kind)
        found = say(self, rest) if say else None
        if found is None:
            raise NotFound("This figure is not part of the estimate any more. Open the estimate again.")
        return found

    def line(self, rest: str) -> Trace | None:
        """A line's direct cost; the rounding is a step."""
        return self.step(ROUNDING) if rest.startswith(ROUNDING) else super().line(rest)

    def step(self, name: str) -> Trace | None:
        """One step of the build-up."""
        if name not in STEPS:
            return None
        step = self.worked.build_up.step(name)
        if name == "direct":
            return self.money("Direct cost", step.cents, ("sum of all lines", ""), *self._by_class())
        if name == "risks":
            return explain_risks(self.job, self.currency, step.cents)
        if name == "contingency" and self.basis.firm.contingency_by_class:
            return self._contingency(step.cents)
        if name == "warranty" and self.basis.firm.warranty_by_group:
            return self._warranty(step.cents)
        words, of = _STEP_WORDS[name]
        filled = f"{step.words} of {whole_money(self._base(of))}" if of and step.words else step.words
        source = self.job.head.adjustment_reason if name == "adjustment" else "firm settings"
        return self.money(_named(name), step.cents, (words, filled), source=source)

    def _contingency(self, cents: int) -> Trace:
        """Contingency by class, class by class."""
        firm = self.basis.firm
        parts = []
        for name, direct in self.worked.cost_by_class.items():
            share = firm.contingency_by_class.get(name, firm.contingency)
            if direct and share and name != ALLOWANCE:
                told = ("share × direct cost of the class", f"{share:f} × {number_text(direct / 100)}")
                parts.append(self.money(name.capitalize(), round(direct * share), told))
        return self.money("Contingency", cents, ("sum by class of cost", ""), *parts, source="firm settings")

    def _warranty(self, cents: int) -> Trace:
        parts = warranty_steps(self.worked.cells, self.basis.firm)
        return self.money("Warranty", cents, ("sum of the kinds of work", _sum(parts)), *parts, source="firm settings")

    def _base(self, of: str) -> int:
        worked = self.worked
        if of == "cost":
            return worked.cost_cents
        return worked.cost_by_class.get("material", 0) if of == "material" else worked.build_up.step("direct").cents

    def _by_class(self) -> Iterable[Trace]:
        for name, cents in self.worked.cost_by_class.items():
            if cents and name != ALLOWANCE:
                yield self.money(name.capitalize(), cents, ("sum of lines", ""))

    def factor(self, name: str) -> Trace | None:
        """What the site, or with `CAUSE:PHASE` the month a phase begins in, makes of the hours of tasks it slows."""
        cause, _, phase = name.partition(":")
        found = self.worked.paying.slowing.of(phase).get(cause)
        return self.slowing(found) if found else None

    def share(self, name: str) -> Trace | None:
        """Profit as a share: of the price without tax and allowances, of the cost, of the whole price."""
        worked, own = self.worked, self.job.head.own_margin
        margin = self.basis.firm.margin if own is None else own
        if name == "margin":
            told = "profit over price, " + ("as the firm set it" if own is None else "this job's own")
            source = "firm settings" if own is None else self.job.head.own_margin_reason
            return _percent("Margin", told, "", float(margin), source)
        if name == "markup":
            told = f"{margin:f} / (1 − {margin:f})"
            return _percent("Markup", "margin / (1 − margin)", told, float(markup_of(margin)))
        if name != "left" or not worked.price_cents:
            return None
        spent = worked.spent_cents
        told = f"({whole_money(worked.price_cents)} − {whole_money(spent)}) / {whole_money(worked.price_cents)}"
        parts = [self.money("Price", worked.price_cents, ("sum of the steps", "")), self._spent(spent)]
        left = float(margin_left(worked.price_cents, spent))
        return _percent(
            "Profit in the whole price", "(price − cost, tax and allowances) / price", told, left, "", *parts
        )

    def _spent(self, cents: int) -> Trace:
        names = ("sales tax", "allowances")
        steps = [self.cost("")] + [one for name in names if (one := self.step(name)) and one.result]
        return self.money("Cost, tax and allowances", cents, ("sum", _sum(steps)), *steps)

    def price(self, _rest: str) -> Trace:
        """The price of everything."""
        steps = [one for name in STEPS if (one := self.step(name)) and (one.result or name == "direct")]
        return self.money("Price", self.worked.price_cents, ("sum of the steps", _sum(steps)), *steps)

    def cost(self, _rest: str) -> Trace:
        """What the job costs the firm."""
        steps = [one for name in COST_STEPS if (one := self.step(name)) and one.result]
        return self.money("Cost", self.worked.cost_cents, ("sum of the steps", _sum(steps)), *steps)

    def zone(self, key: str) -> Trace | None:
        """Selling price of a zone: its cells' direct cost and their share of every step."""
        title = next((f"{zone.letter} {zone.title}".strip() for zone in self.job.zones if str(zone.id) == key), "Job")
        return self._sold(title, lambda line: line.zone == key)

    def phase(self, key: str) -> Trace | None:
        """Selling price of a phase."""
        number = next((f"Phase {phase.number}" for phase in self.job.phases if str(phase.id) == key), "No phase")
        return self._sold(number, lambda line: line.phase == key)

    def cost_class(self, key: str) -> Trace | None:
        """Selling price of a class of cost."""
        return self._sold(key.capitalize(), lambda line: line.cost_class.value == key and line.kind != ROUNDING)

    def place(self, key: str) -> Trace | None:
        """Selling price of all that is built on a run, feature, edge or existing thing."""
        kind, _, place_id = key.partition(":")
        works = {str(one.id) for one in self.job.works if one.place == kind and str(one.place_id) == place_id}
        job = self.job
        titles = {str(one.id): one.title for things in (job.runs, job.features, job.existing) for one in things}
        return self._sold(titles.get(place_id) or "What is built here", lambda line: line.work_id in works)

    def measure(self, name: str) -> Trace | None:
        """A measure of the plan."""
        return measured(self.job, name)

    def laid(self, name: str) -> Trace | None:
        """A count of units laid in a pattern."""
        return laid_figure(self.job, self.basis, name)

    def _sold(self, title: str, inside: Callable[[Line], bool]) -> Trace | None:
        worked = self.worked
        places = [at for at, line in enumerate(worked.lines) if inside(line)]
        if not places:
            return None
        parts = []
        for step in worked.build_up.steps:
            cents = sum(step.shares[at] for at in places)
            lines = [self._short(at) for at in places] if step.name == "direct" else []
            if cents or lines:
                told = ("sum of its lines" if lines else f"its share of {whole_money(step.cents)}", "")
                parts.append(self.money(_named(step.name), cents, told, *lines))
        cents = sum(worked.selling[at] for at in places)
        return self.money(title, cents, ("direct cost + its share of every step", _sum(parts)), *parts)

    def _short(self, at: int) -> Trace:
        line = self.worked.lines[at]
        told = (f"{number_text(line.amount)} {unit_text(line.unit, line.amount)}", "")
        return self.money(line.title, 0 if line.kind == ALLOWANCE else line.cents, told)

    def hours(self, zone: str) -> Trace | None:
        """Person-hours of a zone."""
        if zone not in self.worked.hours_by_zone:
            return None
        parts = []
        for at, hours in enumerate(self.worked.hours):
            if hours and self.worked.lines[at].zone == zone:
                parts.append(self._hours(self.worked.requirements[at], hours))
        return Trace(
            label="Hours",
            expression="sum of its tasks",
            filled=" + ".join(number_text(one.result) for one in parts),
            result=self.worked.hours_by_zone[zone],
            unit="hours",
            steps=tuple(parts),
        )

    def spread(self, _rest: str) -> Trace:
        """The width of the band, by what moves together."""
        return explain_range(self.worked, self.basis)

    def amount(self, rest: str) -> Trace | None:
        """What a work needs in place."""
        work, _, index = rest.partition(":")
        try:
            return self.takeoff.of(UUID(work), int(index))
        except ValueError:
            return None

    def wanted(self, rest: str) -> Trace | None:
        """What one work wants of a material, losses and what is left with the client in it."""
        at = self.places.get(f"line:material:{rest}")
        return None if at is None else self._wanted(self.worked.requirements[at], at)

    def labor(self, rest: str) -> Trace | None:
        """The hours of one task of one work."""
        at = self.places.get(f"line:task:{rest}")
        hours = None if at is None else self.worked.hours[at]
        return self._hours(self.worked.requirements[at], hours) if at is not None and hours else None


_FIGURES: Mapping[str, Callable[[Explaining, str], Trace | None]] = {
    "line": Explaining.line,
    "amount": Explaining.amount,
    "wanted": Explaining.wanted,
    "worked": Explaining.labor,
    "purchase": Explaining.purchase,
    "step": Explaining.step,
    "zone": Explaining.zone,
    "phase": Explaining.phase,
    "class": Explaining.cost_class,
    "place": Explaining.place,
    "measure": Explaining.measure,
    "factor": Explaining.factor,
    "ordered": Explaining.ordered,
    "loads": Explaining.loads,
    "share": Explaining.share,
    "laid": Explaining.laid,
    "hours": Explaining.hours,
    "days": Explaining.days,
    "wage": Explaining.wage,
    "price": Explaining.price,
    "cost": Explaining.cost,
    "range": Explaining.spread,
}
_STEP_WORDS = {  # how each step is worked out, and what it is a part of
    "material tax": ("tax rate × what the firm pays tax on when buying; which lines, and why: under Sales tax", ""),
    "warranty": ("reserve × direct cost", "direct"),
    "overhead": ("share of each class of cost + rate × labor hours", ""),
    "contingency": ("share × direct cost", "direct"),
    "profit": ("cost × margin / (1 − margin): profit over price is the margin", "cost"),
    "adjustment": ("put on or taken off this job by name, shared over all that is sold", ""),
    "sales tax": ("tax rate × selling price of what is taxed, no labor unless said; which: under Sales tax", ""),
    "allowances": ("as printed, without markup", ""),
    "rounding": ("to the step that prices are rounded to", ""),
}


def _percent(label: str, told: str, filled: str, share: float, source: str = "", *steps: Trace) -> Trace:
    return Trace(
        label=label, expression=told, filled=filled, result=share * 100, unit="%", source=source, steps=tuple(steps)
    )


def _named(step: str) -> str:
    return "Direct cost" if step == "direct" else step.capitalize()


def _sum(parts: Iterable[Trace]) -> str:
    return " + ".join(number_text(one.result) for one in parts).replace("+ -", "− ")
