"""The estimate: takeoff, purchase, labor, cells, price, range. Pure: the same job on the same basis, the same cents.

A cell is a line in its zone and phase. What a material's purchase costs is shared once, to the lines that asked for it;
every step of the build-up is shared once, to the cells; every total is a sum of cells.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property, partial
from operator import attrgetter
from typing import TypeVar

from app.domain.basis import Basis, CostClass
from app.domain.costing.crew_day import CrewDays, Worked, cleaned_twice, crew_days, short_day
from app.domain.costing.firmness import reasons_against, set_aside
from app.domain.costing.forgotten import unanswered
from app.domain.costing.known import Facts
from app.domain.costing.labor import Hours, unpaid
from app.domain.costing.learned import far_from_learned
from app.domain.costing.lines import (
    ALLOWANCE,
    ROUNDING,
    LaborLine,
    Line,
    Paying,
    allowance_lines,
    beside_lines,
    idle_line,
    labor_line,
    labor_lines,
    paying_of,
    required_lines,
    rounding_line,
)
from app.domain.costing.own_hours import unsaid_own_hours
from app.domain.costing.price import BuildUp, Cells, OwnTerms, build_up
from app.domain.costing.quoted import Deals, deals, quoted_lines, scope_points
from app.domain.costing.range import Inputs, Range, closed_form
from app.domain.costing.risks import risk_points, risk_shares
from app.domain.costing.site_factors import SiteFactor
from app.domain.costing.tax_rules import tax_rules
from app.domain.costing.uncertain import uncertain
from app.domain.findings import Finding, Severity, in_order
from app.domain.job import Job, only_included
from app.domain.takeoff.purchases import Purchase, purchases
from app.domain.takeoff.requirements import CrewDaysOf, Requirement, requirements

T = TypeVar("T")


@dataclass(frozen=True)
class Estimate:
    """What a job costs and is sold for.

    `lines` begin with one for each of `requirements`, in their order; then come idle crew hours, what goes off each
    day, allowances and the rounding. `hours` go by requirement (None for materials).
    """

    requirements: tuple[Requirement, ...]
    lines: tuple[Line, ...]
    purchases: tuple[Purchase, ...]
    hours: tuple[Hours | None, ...]
    crew_days: tuple[CrewDays, ...]
    paying: Paying
    uncertainty: Callable[[], Inputs] = field(repr=False, compare=False)  # asked for when the range is
    cells: Cells
    build_up: BuildUp
    findings: tuple[Finding, ...]
    reasons: tuple[str, ...]  # why the price is not firm yet; empty when it is

    @property
    def price_cents(self) -> int:
        """The price of everything."""
        return self.build_up.price_cents

    @property
    def cost_cents(self) -> int:
        """What it costs the firm: direct, tax paid, warranty reserve, overhead and contingency in."""
        return self.build_up.cost_cents

    @property
    def spent_cents(self) -> int:
        """Cost, the tax the client pays and allowances: all of the price that is not profit."""
        return self.cost_cents + self.build_up.passed_on_cents

    @property
    def unpriced(self) -> int:
        """How many materials or wages have no price yet: until then a total says less than the job will cost."""
        rules = {"price-missing", "wage-missing"}
        return sum(1 for one in self.findings if one.rule in rules and one.severity is Severity.STOP)

    @property
    def materials_unpriced(self) -> frozenset[str]:
        """The materials in it without a price, by key; what an allowance stands for is not among them."""
        found = (one for one in self.findings if one.rule == "price-missing" and one.severity is Severity.STOP)
        return frozenset(one.where.removeprefix("material:") for one in found)

    @cached_property
    def lacking(self) -> frozenset[str]:
        """Ids of works, zones (`job` for the whole) and phases in which something has no price yet.

        What such a part sells for is a least: its band would say too little.
        """
        to_price = self.materials_unpriced
        waiting = [one for one in self.lines if not one.priced and (one.kind == "task" or one.key in to_price)]
        return frozenset(place for one in waiting for place in (one.work_id, one.zone, one.phase) if place)

    @property
    def firm(self) -> bool:
        """Whether the price may be firm: then it is a point, else a band, never both."""
        return not self.reasons

    @property
    def firm_price_cents(self) -> int | None:
        """The price when it may be firm, else None: until then there is a band and no point."""
        return None if self.reasons else self.price_cents

    @cached_property
    def inputs(self) -> Inputs:
        """All that may move."""
        return self.uncertainty()

    @cached_property
    def range(self) -> Range:
        """The band of the selling price: closed form on direct cost, carried through the build-up in proportion."""
        low, _, high = closed_form(self.inputs)
        return self.as_price(low, high)

    @property
    def scale(self) -> float:
        """What a cent of direct cost is in the price; what is fixed in the price stands as it is."""
        direct = self.build_up.step("direct").cents
        return (self.price_cents - self.build_up.fixed_cents) / direct if direct else 0.0

    def price_of(self, direct: float) -> int:
        """What the price would be if direct cost came to so much [cents]."""
        return max(0, round(direct * self.scale) + self.build_up.fixed_cents)

    def as_price(self, low: float, high: float) -> Range:
        """Low and high of direct cost [cents] as a band of the price around what the estimate says."""
        price = self.price_cents
        return Range(min(self.price_of(low), price), price, max(self.price_of(high), price))

    @property
    def site_factors(self) -> Mapping[str, SiteFactor]:
        """How much the site slows work, by cause."""
        return self.paying.slowing.site

    @property
    def selling(self) -> tuple[int, ...]:
        """What each line sells for [cents], in the order of the lines."""
        return self.build_up.selling

    def _sum(self, by: Iterable[T], amounts: Iterable[int]) -> dict[T, int]:
        sums: dict[T, int] = defaultdict(int)
        for key, amount in zip(by, amounts, strict=True):
            sums[key] += amount
        return dict(sums)

    @cached_property
    def price_by_zone(self) -> Mapping[str, int]:
        """Selling price by zone id, and `job` for what belongs to the whole."""
        return self._sum([line.zone for line in self.lines], self.selling)

    @cached_property
    def price_by_phase(self) -> Mapping[str, int]:
        """Selling price by phase id (empty: no phase)."""
        return self._sum([line.phase for line in self.lines], self.selling)

    @cached_property
    def price_by_class(self) -> Mapping[str, int]:
        """Selling price by cost class, and `rounding`."""
        return self._sum(
            [ROUNDING if line.kind == ROUNDING else line.cost_class.value for line in self.lines], self.selling
        )

    @cached_property
    def price_by_work(self) -> Mapping[str, int]:
        """Selling price by work id; empty for what belongs to no work."""
        return self._sum(["" if line.kind == ALLOWANCE else line.work_id for line in self.lines], self.selling)

    @cached_property
    def price_by_zone_and_phase(self) -> Mapping[tuple[str, str], int]:
        """Selling price by zone and phase."""
        return self._sum([(line.zone, line.phase) for line in self.lines], self.selling)

    @cached_property
    def cost_by_class(self) -> Mapping[str, int]:
        """Direct cost by cost class."""
        return self._sum([line.cost_class.value for line in self.lines], [line.cents for line in self.lines])

    @cached_property
    def hours_by_zone(self) -> Mapping[str, float]:
        """Person-hours by zone id, and `job`."""
        sums: dict[str, float] = defaultdict(float)
        for line in self.lines:
            sums[line.zone] += line.hours
        return dict(sums)

    @cached_property
    def hours_by_work(self) -> Mapping[str, float]:
        """Person-hours by work id; empty for what belongs to no work."""
        sums: dict[str, float] = defaultdict(float)
        for line in self.lines:
            sums[line.work_id] += line.hours
        return dict(sums)

    @cached_property
    def hours_by_phase(self) -> Mapping[str, float]:
        """Person-hours by phase id (empty: no phase)."""
        sums: dict[str, float] = defaultdict(float)
        for line in self.lines:
            sums[line.phase] += line.hours
        return dict(sums)

    def band_of(self, price_cents: int) -> Range:
        """A part of the price as a band, as wide in proportion as the whole's."""
        low, high = self._width
        return Range(round(price_cents * low), price_cents, round(price_cents * high))

    @cached_property
    def _width(self) -> tuple[float, float]:
        """The ends of the band as shares of the price."""
        whole = self.range
        return (whole.low / whole.likely, whole.high / whole.likely) if whole.likely else (1.0, 1.0)


def estimate(job: Job, basis: Basis, today: date | None = None) -> Estimate:
    """Work out what is included of a job on its basis. What is missing is a finding, never a zero without a word.

    `today`, the day at the site, says how old prices are, where the firm asks for that before a price is firm.

    Raises: BadValue when a line comes to more than can be counted, or a firm setting leaves no price.
    """
    job = only_included(job)
    paying = paying_of(job, basis)
    quoted = deals(job)
    needed, found = requirements(job, basis, crew_days=counting_days(paying, quoted))
    bought, missing = purchases(quoted.ours(needed) if quoted else needed, basis, job.site.soil)
    labor = _labor_lines(needed, paying, quoted)
    days = crew_days(_crew_hours(labor), paying.day)
    lines = required_lines(needed, labor, bought, basis.materials)
    lines = quoted_lines(quoted, needed, lines, basis, _by_the_book(paying)) if quoted else lines
    lines += [idle_line(one) for one in days if one.idle_cents]
    lines += [line for one in days for line in beside_lines(one)]
    lines += allowance_lines(job)
    lines += [rounding_line(job, lines)] if lines else []
    cells = cells_of(lines, job, basis)
    without_wage = unpaid((*_without_wage(labor, basis), *(paying.day.unpaid if days else ())))
    own = unsaid_own_hours(job, basis, lines) if days else ()
    of_days = (*short_day(paying.day), *cleaned_twice(paying.day, map(attrgetter("key"), lines)))
    asked = (*unanswered(job, basis, needed), *(scope_points(quoted, needed) if quoted else ()))
    of_job = (*of_days, *own, *far_from_learned(labor, basis.tasks), *asked, *risk_points(job))
    findings = in_order((*found, *set_aside(job, missing), *without_wage, *of_job))
    return Estimate(
        requirements=needed,
        lines=tuple(lines),
        purchases=bought,
        hours=tuple(one.hours if one else None for one in labor),
        crew_days=days,
        paying=paying,
        uncertainty=partial(uncertain, job, basis, lines, labor, bought),
        cells=cells,
        build_up=build_up(cells, basis.firm, own_terms(job)),
        findings=findings,
        reasons=reasons_against(Facts(job, basis, needed, bought, findings, today), [line.cents for line in lines]),
    )


def days_of(job: Job, basis: Basis) -> CrewDaysOf:
    """Counts crew-days as the estimate of this job does: what is bought and built is what is paid for."""
    return counting_days(paying_of(job, basis), deals(job))


def counting_days(paying: Paying, quoted: Deals | None = None) -> CrewDaysOf:
    """Counts the whole crew-days of all phases, for the works that go by them: supervision, toilet, small supplies.

    They are counted over all other works; what supervision itself brings adds no day to supervise.
    """

    def count(needed: Sequence[Requirement]) -> float:
        labor = _labor_lines(needed, paying, quoted)
        return float(sum(one.days for one in crew_days(_crew_hours(labor), paying.day)))

    return count


def _labor_lines(needed: Sequence[Requirement], paying: Paying, quoted: Deals | None = None) -> list[LaborLine | None]:
    """The labor of each requirement that is a task; none where a subcontractor does it."""
    if quoted:
        needed_by_us = [None if quoted.of(one) else one for one in needed]
        return [labor_line(one, paying) if one and one.kind == "task" else None for one in needed_by_us]
    return labor_lines(needed, paying)


def _by_the_book(paying: Paying) -> Callable[[Requirement], LaborLine | None]:
    return lambda one: labor_line(one, paying) if one.kind == "task" else None


def _without_wage(labor: Sequence[LaborLine | None], basis: Basis) -> list[str]:
    return [basis.tasks[one.line.key].crew for one in labor if one and not one.line.priced]


def _crew_hours(labor: Sequence[LaborLine | None]) -> dict[str, list[Worked]]:
    """Hours and rate by phase of everybody but the owner."""
    by_phase: dict[str, list[Worked]] = {}
    phase, rows = "", by_phase.setdefault("", [])
    for one in labor:
        if one is not None and one.in_crew is not None:
            if one.line.phase != phase:
                phase = one.line.phase
                rows = by_phase.setdefault(phase, [])
            rows.append(one.in_crew)
    return by_phase


def own_terms(job: Job) -> OwnTerms:
    """On what terms of its own a job is sold."""
    head = job.head
    return OwnTerms(
        margin=head.own_margin, adjustment_cents=head.adjustment_cents, adjustment_title=head.adjustment_title
    )


def _taxed_as(line: Line) -> tuple[str, str, CostClass]:
    """What a line's tax goes by: its work, its material, its class; an allowance has no work."""
    material = line.key if line.kind == "material" else ""
    return ("" if line.kind == ALLOWANCE else line.work_id), material, line.cost_class


def cells_of(lines: Sequence[Line], job: Job, basis: Basis) -> Cells:
    """The cells that lines make: one a line, the last one takes the rounding."""
    kinds, tax = _kinds(job, basis), tax_rules(job, basis)
    return Cells(
        cents=[line.cents for line in lines],
        classes=[line.cost_class for line in lines],
        hours=[line.hours for line in lines],
        kinds=[kinds.get(line.work_id, "") for line in lines] if kinds else (),
        rounding=len(lines) - 1 if lines else None,
        risks=risk_shares(job, lines) if job.risks else None,
        taxes=None if tax.only_classes else [tax.of(*_taxed_as(one))[0] for one in lines],
        tax_rate=job.head.tax_rate,
    )


def _kinds(job: Job, basis: Basis) -> Mapping[str, str]:
    """The kind of each work, where the firm keeps a warranty reserve by kind."""
    if not basis.firm.warranty_by_group:
        return {}
    known = basis.assemblies
    return {str(work.id): known[work.assembly].group for work in job.works if work.assembly in known}
