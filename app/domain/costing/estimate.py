"""The estimate: takeoff, purchase, labor, cells, price, range. Pure: the same job on the same basis, the same cents."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from app.domain.basis import Basis, CostClass
from app.domain.costing.firmness import reasons_against
from app.domain.costing.labor import CrewDays, Hours, cost_per_hour, crew_days, hours_of
from app.domain.costing.price import BuildUp, DirectCell, build_up
from app.domain.costing.range import Range, Spread, closed_form, grouped
from app.domain.costing.site_factors import SiteFactor, site_factors
from app.domain.findings import Finding, Severity, Stop, in_order
from app.domain.job import Job, Measured
from app.domain.money import cost, share
from app.domain.takeoff.purchases import Purchase, purchases, wanted_of
from app.domain.takeoff.requirements import Requirement, requirements

T = TypeVar("T")
WHOLE_JOB = "job"
IDLE = "idle"  # kind of the line that pays the rest of a phase's last crew day
ALLOWANCE = "allowance"
SKETCH_APART = 0.12  # share by which a sketched measure may be off (assumption)
TAPED_APART = 0.02  # share by which a taped one may (assumption)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the estimate. `kind`: material, task, idle or allowance; `requirement` its place, or −1.

    `amount` is in the unit the thing is bought or done by; `cents` is its direct cost.
    """

    kind: str
    key: str
    title: str
    work_id: str
    index: int
    zone: str
    phase: str
    cost_class: CostClass
    amount: float
    unit: str
    hours: float
    cents: int
    requirement: int
    priced: bool = True

    @property
    def figure(self) -> str:
        """The name by which this line is explained."""
        return f"line:{self.kind}:{self.work_id}:{self.index}"


@dataclass(frozen=True)
class Estimate:
    """What a job costs and is sold for. Every total is a sum of cells; a cell is a line in its zone and phase."""

    requirements: tuple[Requirement, ...]
    lines: tuple[Line, ...]
    purchases: tuple[Purchase, ...]
    hours: tuple[Hours | None, ...]  # by requirement
    crew_days: tuple[CrewDays, ...]
    site_factors: Mapping[str, SiteFactor]
    groups: Mapping[str, Spread]  # direct cost by what moves together
    build_up: BuildUp
    findings: tuple[Finding, ...]
    reasons: tuple[str, ...]  # why the price is not firm yet; empty when it is

    @property
    def price_cents(self) -> int:
        """The price of everything."""
        return self.build_up.price_cents

    @property
    def cost_cents(self) -> int:
        """What it costs the firm, overhead and contingency in."""
        return self.build_up.cost_cents

    @property
    def firm_price_cents(self) -> int | None:
        """The price when it may be firm, else None: until then there is a band and no point."""
        return self.price_cents if not self.reasons else None

    @cached_property
    def range(self) -> Range:
        """The band of the selling price: closed form on direct cost, carried through the build-up in proportion."""
        low, _, high = closed_form(self.groups)
        direct = self.build_up.step("direct").cents
        fixed = self.build_up.step("allowances").cents
        scale = (self.price_cents - fixed) / direct if direct else 0.0
        price = self.price_cents
        return Range(min(round(low * scale) + fixed, price), price, max(round(high * scale) + fixed, price))

    @cached_property
    def selling(self) -> tuple[int, ...]:
        """What each line sells for [cents], in the order of the lines."""
        return self.build_up.selling

    def _sum(self, by: Callable[[Line], T], amounts: Iterable[int]) -> dict[T, int]:
        sums: dict[T, int] = defaultdict(int)
        for line, amount in zip(self.lines, amounts, strict=True):
            sums[by(line)] += amount
        return dict(sums)

    @cached_property
    def price_by_zone(self) -> Mapping[str, int]:
        """Selling price by zone id, and `job` for what belongs to the whole."""
        return self._sum(lambda line: line.zone, self.selling)

    @cached_property
    def price_by_phase(self) -> Mapping[str, int]:
        """Selling price by phase id (empty: no phase)."""
        return self._sum(lambda line: line.phase, self.selling)

    @cached_property
    def price_by_class(self) -> Mapping[CostClass, int]:
        """Selling price by cost class."""
        return self._sum(lambda line: line.cost_class, self.selling)

    @cached_property
    def price_by_work(self) -> Mapping[str, int]:
        """Selling price by work id."""
        return self._sum(lambda line: line.work_id, self.selling)

    @cached_property
    def cost_by_zone(self) -> Mapping[str, int]:
        """Direct cost by zone id, and `job`."""
        return self._sum(lambda line: line.zone, (line.cents for line in self.lines))

    @cached_property
    def price_by_zone_and_phase(self) -> Mapping[tuple[str, str], int]:
        """Selling price by zone and phase."""
        return self._sum(lambda line: (line.zone, line.phase), self.selling)

    @cached_property
    def hours_by_zone(self) -> Mapping[str, float]:
        """Person-hours by zone id, and `job`."""
        sums: dict[str, float] = defaultdict(float)
        for line in self.lines:
            sums[line.zone] += line.hours
        return dict(sums)

    @cached_property
    def client_price_by_zone(self) -> Mapping[str, int]:
        """What the client sees: the whole job's cells shared among the zones by the zones' own prices.

        Adds up to the price. Without any zone the whole stands under `job`.
        """
        own = {zone: price for zone, price in self.price_by_zone.items() if zone != WHOLE_JOB}
        whole = self.price_by_zone.get(WHOLE_JOB, 0)
        if not own or not sum(own.values()):
            return dict(self.price_by_zone)
        zones = sorted(own)
        parts = share(whole, [max(0, own[zone]) for zone in zones])
        return {zone: own[zone] + part for zone, part in zip(zones, parts, strict=True)}

    def band_of(self, price_cents: int) -> Range:
        """A part of the price as a band, as wide in proportion as the whole's."""
        whole = self.range
        if not whole.likely:
            return Range(price_cents, price_cents, price_cents)
        low, high = whole.low / whole.likely, whole.high / whole.likely
        return Range(round(price_cents * low), price_cents, round(price_cents * high))


def estimate(job: Job, basis: Basis) -> Estimate:
    """Work out a job on its basis."""
    needed, found = requirements(job, basis)
    bought, missing = purchases(needed, basis)
    factors = site_factors(job.site)
    hours = tuple(hours_of(one, basis, factors) if one.kind == "task" else None for one in needed)
    days = crew_days([(one, worked) for one, worked in zip(needed, hours, strict=True) if worked], basis)
    lines = _lines(job, basis, needed, bought, hours, days)
    cells = [
        DirectCell(at, line.zone, line.phase, line.cost_class, line.cents, line.hours) for at, line in enumerate(lines)
    ]
    findings = in_order((*found, *missing, *_unpaid(needed, basis)))
    return Estimate(
        requirements=needed,
        lines=tuple(lines),
        purchases=bought,
        hours=hours,
        crew_days=days,
        site_factors=factors,
        groups=_groups(job, basis, lines, bought, hours),
        build_up=build_up(cells, basis.firm),
        findings=findings,
        reasons=reasons_against(job, findings, [line.cents for line in lines]),
    )


def _lines(
    job: Job,
    basis: Basis,
    needed: Sequence[Requirement],
    bought: Sequence[Purchase],
    hours: Sequence[Hours | None],
    days: Sequence[CrewDays],
) -> list[Line]:
    paid = {place: (one, part) for one in bought for place, part in zip(one.requirements, one.parts, strict=True)}
    lines: list[Line] = []
    for place, one in enumerate(needed):
        worked = hours[place]
        if worked is not None:
            lines.append(_labor_line(place, one, worked, basis))
        elif place in paid:
            lines.append(_material_line(place, one, *paid[place], basis))
    lines += [_idle_line(one) for one in days if one.idle_cents]
    lines += [_allowance_line(job, at) for at in range(len(job.allowances))]
    return lines


def _labor_line(place: int, one: Requirement, worked: Hours, basis: Basis) -> Line:
    labor = basis.labor_classes.get(worked.labor_class)
    own = labor is not None and labor.own
    return Line(
        "task",
        one.key,
        basis.tasks[one.key].title,
        str(one.work_id),
        one.index,
        one.zone,
        one.phase,
        CostClass.OWN_HOURS if own else CostClass.LABOR,
        one.amount,
        basis.tasks[one.key].unit,
        worked.priced,
        cost(worked.priced, cost_per_hour(labor)) if labor else 0,
        place,
        labor is not None,
    )


def _material_line(place: int, one: Requirement, purchase: Purchase, part: int, basis: Basis) -> Line:
    material = basis.materials[one.key]
    return Line(
        "material",
        one.key,
        material.title,
        str(one.work_id),
        one.index,
        one.zone,
        one.phase,
        material.cost_class,
        wanted_of(one, material),
        material.buy,
        0.0,
        part,
        place,
        purchase.priced,
    )


def _idle_line(days: CrewDays) -> Line:
    return Line(
        IDLE,
        "crew-day",
        "Rest of the last crew day",
        "",
        0,
        WHOLE_JOB,
        days.phase,
        CostClass.LABOR,
        days.idle_hours,
        "hour",
        days.idle_hours,
        days.idle_cents,
        -1,
    )


def _allowance_line(job: Job, at: int) -> Line:
    one = job.allowances[at]
    zone = next((zone for zone in job.zones if zone.id == one.zone_id), None)
    first = str(job.phases[0].id) if job.phases else ""
    phase = one.phase_id or (zone.phase_id if zone else None)
    return Line(
        ALLOWANCE,
        str(one.id),
        one.title,
        "",
        at,
        str(zone.id) if zone else WHOLE_JOB,
        str(phase) if phase else first,
        CostClass.ALLOWANCE,
        1.0,
        "each",
        0.0,
        one.cents,
        -1,
    )


def _unpaid(needed: Sequence[Requirement], basis: Basis) -> list[Finding]:
    """Tasks whose labor class the basis does not hold: they would cost nothing, so they stop a firm price."""
    missing = {
        basis.tasks[one.key].crew
        for one in needed
        if one.kind == "task" and basis.tasks[one.key].crew not in basis.labor_classes
    }
    return [
        Finding(
            rule="wage-missing",
            severity=Severity.STOP,
            where=f"labor_class:{crew}",
            what=f"Nobody is paid as “{crew}” yet: hours of that kind have no cost.",
            remedy="Type a wage for them on the Firm sheet.",
            stop=Stop.MONEY,
        )
        for crew in sorted(missing)
    ]


def _groups(
    job: Job, basis: Basis, lines: Sequence[Line], bought: Sequence[Purchase], hours: Sequence[Hours | None]
) -> Mapping[str, Spread]:
    """What may move the direct cost, by group: labor as one, each supplier, the measures of each zone."""
    prices = basis.prices
    inputs: list[tuple[str, Spread]] = []
    for line in lines:
        worked = hours[line.requirement] if line.requirement >= 0 else None
        if worked is not None and worked.priced > 0:
            each = line.cents / worked.priced
            inputs.append(("labor", Spread(worked.low * each, worked.likely * each, worked.high * each)))
        elif line.kind in {IDLE, ALLOWANCE}:
            inputs.append(("fixed", Spread(*(0.0 if line.kind == ALLOWANCE else line.cents,) * 3)))
    for one in bought:
        price = prices.get(one.material)
        low, high = (price.low, price.high) if price else (0.0, 0.0)
        total = float(one.total_cents)
        spread = Spread(total * (1 + min(low, 0.0)), total, total * (1 + max(high, 0.0)))
        inputs.append((f"supplier:{one.supplier}", spread))
    return grouped([*inputs, *_measure_spreads(job, lines)])


def _measure_spreads(job: Job, lines: Sequence[Line]) -> list[tuple[str, Spread]]:
    by_zone: dict[str, int] = defaultdict(int)
    for line in lines:
        if line.requirement >= 0:
            by_zone[line.zone] += line.cents
    spreads = []
    for zone in job.zones:
        chosen = job.chosen(zone)
        apart = SKETCH_APART if chosen is None or chosen.measured is Measured.SKETCH else TAPED_APART
        off = by_zone.get(str(zone.id), 0) * apart
        spreads.append((f"measure:{zone.id}", Spread(-off, 0.0, off)))
    return spreads
