"""A slow second estimate in exact fractions and pint quantities, written from the design and not from the program.

It knows rectangles that lie apart, assemblies without includes, and the formulas of `random_jobs`; in return nothing in
it is ever rounded but cents, packs and days.
"""

from collections import defaultdict
from fractions import Fraction
from functools import cache
from math import ceil, floor

import pint

from app.domain.basis import Basis, CostClass
from app.domain.job import Job, PlaceKind

UNITS = pint.UnitRegistry(non_int_type=Fraction)
COUNTS = {"each", "bag"}
ACCESS = ((Fraction(5), Fraction(1)), (Fraction(3), Fraction("1.2")), (Fraction(0), Fraction("1.35")))


def exact(number) -> Fraction:
    """A number as it was typed."""
    return number if isinstance(number, Fraction) else Fraction(str(number))


def half_up(value: Fraction) -> int:
    return floor(value + Fraction(1, 2)) if value >= 0 else -floor(-value + Fraction(1, 2))


@cache
def quantity(text: str):
    """A formula of numbers and units: `140*lb/foot**3`."""
    return UNITS.parse_expression(text)


@cache
def unit_of(text: str):
    return UNITS.Quantity(Fraction(1), "dimensionless") if text in COUNTS else quantity(text) * Fraction(1)


def in_units(amount, of) -> Fraction:
    return Fraction((amount / of).to_base_units().magnitude)


class ExactEstimate:
    def __init__(self, job: Job, basis: Basis) -> None:
        self.job, self.basis, self.firm = job, basis, basis.firm
        self.needs = []  # work, key, is_task, amount, loss, keep, zone, phase
        self.direct: dict[tuple, int] = {}
        self.hours: dict[tuple, Fraction] = {}
        self.classes: dict[tuple, CostClass] = {}
        self.steps: dict[str, int] = {}
        for work in job.works:
            self.take_off(work, None)
        days = self.days(self.crew_hours())
        for work in job.works:
            self.take_off(work, days)
        self.buy()
        self.pay()
        self.price()

    # takeoff
    def take_off(self, work, days) -> None:
        assembly = self.basis.assemblies[work.assembly]
        asks = any("crew_days" in one.amount for one in (*assembly.parts, *assembly.tasks))
        if asks != (days is not None):
            return
        zone, names = self.place(work)
        phase = str(zone.phase_id if zone and zone.phase_id else min(self.job.phases, key=lambda p: p.number).id)
        names["crew_days"] = days
        names |= {name: eval(one.value, {"__builtins__": {}}, names) for name, one in assembly.parameters.items()}
        for is_task, uses in ((False, assembly.parts), (True, assembly.tasks)):
            for use in uses:
                key = use.task if is_task else use.material
                amount = eval(use.amount, {"__builtins__": {}}, {**names, **self.covers(key, is_task)})
                if not hasattr(amount, "magnitude"):
                    amount = UNITS.Quantity(exact(amount), "dimensionless")
                material = None if is_task else self.basis.materials[key]
                loss = 0 if is_task else use.loss if use.loss is not None else material.loss
                keep = 0 if is_task else use.keep
                if amount.magnitude > 0:
                    self.needs.append(
                        (
                            work.id,
                            key,
                            is_task,
                            amount,
                            exact(loss),
                            exact(keep),
                            str(zone.id) if zone else "job",
                            phase,
                        )
                    )

    def place(self, work):
        names = {name: quantity(name) for name in ("inch", "foot", "hour")}
        if work.place is PlaceKind.JOB:
            return None, names
        alternative = next(one for one in self.job.alternatives if one.id == work.place_id)
        zone = next(one for one in self.job.zones if one.id == alternative.zone_id)
        width, depth = (exact(side) for side in alternative.outline.sizes)
        names["area"] = width * depth * quantity("foot**2")
        names["outline"] = 2 * (width + depth) * quantity("foot")
        return zone, names

    def covers(self, key, is_task):
        coverage = "" if is_task else self.basis.materials[key].coverage
        return {"coverage_of": lambda _role: quantity(coverage)} if coverage else {}

    # purchase
    def buy(self) -> None:
        orders = defaultdict(list)
        for at, need in enumerate(self.needs):
            if not need[2]:
                orders[need[1], need[7]].append(at)
        for (key, _), places in orders.items():
            material, price = self.basis.materials[key], self.basis.prices[key]
            wanted = [self.wanted(self.needs[at], material) for at in places]
            pack = exact(price.pack)
            bought = ceil(max(sum(wanted), exact(price.least)) / pack) * pack
            loads = 1
            if material.load:
                load = quantity(material.load)
                carried = bought * unit_of(material.buy)
                if load.check("[volume]"):
                    carried = carried / quantity(material.placed_density) * exact(material.loosens)
                loads = max(1, ceil(in_units(carried, load)))
            total = half_up(bought * exact(price.unit_price) * 100) + loads * price.delivery_cents
            for at, part in zip(places, shares(total, wanted), strict=True):
                self.put(at, part, Fraction(0), material.cost_class)

    def wanted(self, need, material) -> Fraction:
        amount = need[3]
        if material.coverage and quantity(material.coverage).dimensionality == amount.dimensionality:
            amount = in_units(amount, quantity(material.coverage))
        elif unit_of(material.buy).dimensionality != amount.dimensionality:
            amount = in_units(amount * quantity(material.placed_density), unit_of(material.buy))
        else:
            amount = in_units(amount, unit_of(material.buy))
        return amount * (1 + need[4] + need[5])

    def put(self, at, cents, hours, cost_class) -> None:
        cell = (self.needs[at][0], at, self.needs[at][6], self.needs[at][7])
        self.direct[cell], self.hours[cell], self.classes[cell] = cents, hours, cost_class

    # labor
    def worked(self, need) -> Fraction:
        task = self.basis.tasks[need[1]]
        low, likely, high = ([exact(one) for one in pair] for pair in zip(task.hours, task.setup, strict=True))
        third = [
            like if self.firm.rate_third == "likely" else max(like, lo + (hi - lo) * Fraction(2, 3))
            for lo, like, hi in zip(low, likely, high, strict=True)
        ]
        hours = in_units(need[3], unit_of(task.unit)) * third[0] + third[1]
        width = self.job.site.access_width
        slow = "access" in task.slows and width is not None
        return hours * next(factor for least, factor in ACCESS if exact(width) >= least) if slow else hours

    def rate(self, crew: str) -> Fraction:
        labor = self.basis.labor_classes[crew]
        return exact(
            (labor.wage * (1 + sum(labor.burden.values())) / labor.billable).quantize(labor.wage.__class__("0.0001"))
        )

    def crew_hours(self):
        by_phase = defaultdict(list)
        for need in self.needs:
            if need[2] and not self.basis.labor_classes[self.basis.tasks[need[1]].crew].own:
                by_phase[need[7]].append((self.worked(need), self.rate(self.basis.tasks[need[1]].crew)))
        return by_phase

    def days(self, by_phase) -> Fraction:
        day = exact(self.firm.crew_day_hours) * self.firm.crew_size
        return Fraction(sum(ceil(sum(h for h, _ in rows) / day) for rows in by_phase.values()))

    def pay(self) -> None:
        for at, need in enumerate(self.needs):
            if need[2]:
                crew = self.basis.tasks[need[1]].crew
                own, hours = self.basis.labor_classes[crew].own, self.worked(need)
                self.put(
                    at, half_up(hours * self.rate(crew) * 100), hours, CostClass.OWN_HOURS if own else CostClass.LABOR
                )
        day = exact(self.firm.crew_day_hours) * self.firm.crew_size
        for phase, rows in self.crew_hours().items():
            hours = sum(h for h, _ in rows)
            idle = ceil(hours / day) * day - hours
            cents = half_up(idle * sum(h * r for h, r in rows) / hours * 100)
            if cents:
                cell = ("idle", -1, "job", phase)
                self.direct[cell], self.hours[cell], self.classes[cell] = cents, idle, CostClass.LABOR

    # price
    def price(self) -> None:
        firm, direct = self.firm, sum(self.direct.values())
        materials = sum(c for cell, c in self.direct.items() if self.classes[cell] is CostClass.MATERIAL)
        overhead = sum(
            cents * exact(firm.overhead.get(self.classes[cell].value, 0))
            + self.hours[cell] * exact(firm.overhead_per_hour) * 100
            for cell, cents in self.direct.items()
        )
        tax = exact(firm.tax_rate) if firm.tax_mode == "consumer" else 0
        self.steps = {
            "direct": direct,
            "material tax": half_up(materials * tax),
            "warranty": half_up(direct * exact(firm.warranty_reserve)),
            "overhead": half_up(overhead),
            "contingency": half_up(direct * exact(firm.contingency)),
        }
        cost = sum(self.steps.values())
        margin = exact(firm.margin)
        self.steps["profit"] = half_up(cost * margin / (1 - margin))
        self.steps["allowances"] = sum(one.cents for one in self.job.allowances)
        price = sum(self.steps.values())
        step = max(1, firm.round_to_cents)
        self.steps["rounding"] = (price + step // 2) // step * step - price
        self.total = price + self.steps["rounding"]


def shares(total: int, weights) -> list[int]:
    """Whole cents by largest remainder."""
    whole = sum(weights)
    parts = [floor(total * weight / whole) for weight in weights]
    rest = sorted(range(len(parts)), key=lambda at: parts[at] - total * weights[at] / whole)
    for at in rest[: total - sum(parts)]:
        parts[at] += 1
    return parts
