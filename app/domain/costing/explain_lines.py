"""Where a line's cost comes from: what is needed in place, bought or worked, and paid."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cached_property

from app.domain.basis import Basis, Material, Price
from app.domain.costing import explain_days
from app.domain.costing.crew_day import OVERTIME, TITLES, CrewDays
from app.domain.costing.estimate import Estimate, counting_days
from app.domain.costing.explain_delivery import charged, charges_explained
from app.domain.costing.explain_hauling import loads_of, tipped
from app.domain.costing.explain_hire import hired
from app.domain.costing.explain_machine import explain_machine
from app.domain.costing.explain_quoted import explain_quoted
from app.domain.costing.explain_wage import explain_hour
from app.domain.costing.explain_words import unit_text, whole_money
from app.domain.costing.labor import Hours
from app.domain.costing.learned import loss_source, rate_source
from app.domain.costing.lines import ALLOWANCE, IDLE, Line
from app.domain.costing.quoted import deals
from app.domain.costing.site_factors import SiteFactor, applying
from app.domain.job import Job
from app.domain.takeoff.buying import coverage_of, trade_unit
from app.domain.takeoff.explained import TakeoffTraces
from app.domain.takeoff.hiring import machine_hours, terms_of
from app.domain.takeoff.purchases import Purchase
from app.domain.takeoff.rates import third_of
from app.domain.takeoff.requirements import Requirement
from app.domain.takeoff.trace import Trace, number_text
from app.domain.units import TRADE_UNITS, WEIGHT, Dimension

ASSUMED = "assumption; the firm's own hours replace it"


class ExplainingLines:
    """Explains lines and purchases of one estimate; what several of them rest on is looked up once."""

    def __init__(self, job: Job, basis: Basis, worked: Estimate) -> None:
        self.job = job
        self.basis = basis
        self.worked = worked
        self.currency = basis.firm.currency
        self.orders: dict[tuple[str, str], Trace] = {}  # by material and phase
        self.wages: dict[str, Trace] = {}

    @cached_property
    def takeoff(self) -> TakeoffTraces:
        """The takeoff the estimate stands on."""
        return TakeoffTraces(self.job, self.basis, crew_days=counting_days(self.worked.paying, deals(self.job)))

    @cached_property
    def places(self) -> Mapping[str, int]:
        """Places of the lines by figure."""
        return {line.figure: at for at, line in enumerate(self.worked.lines)}

    @cached_property
    def bought(self) -> Mapping[tuple[str, str], Purchase]:
        """Purchases by material and phase."""
        return {(one.material, one.phase): one for one in self.worked.purchases}

    def money(self, label: str, cents: int, told: tuple[str, str], *steps: Trace, source: str = "") -> Trace:
        """A figure of money: `told` is the expression in words, and the same with the numbers put in."""
        return Trace(
            label=label,
            expression=told[0],
            filled=told[1],
            result=cents / 100,
            unit=self.currency,
            source=source,
            steps=steps,
        )

    # lines

    def line(self, rest: str) -> Trace | None:
        """A line's direct cost."""
        at = self.places.get(f"line:{rest}")
        if at is None:
            return None
        line = self.worked.lines[at]
        if line.kind == ALLOWANCE:
            return self.money(line.title, line.cents, ("as printed, without markup", ""), source="typed")
        if line.kind == IDLE:
            return self._idle(line)
        if line.kind in TITLES:
            return self._beside(line)
        quoted = explain_quoted(self.job, self.basis, self.worked, at)
        if quoted is not None:
            return quoted
        one = self.worked.requirements[at]
        hours = self.worked.hours[at]
        return self._labor(line, one, hours) if hours else self._material(line, one, at)

    def _material(self, line: Line, one: Requirement, at: int) -> Trace:
        purchase = self.bought.get((one.key, one.phase))
        if purchase is None or not purchase.priced:
            return self.money(line.title, 0, ("no price yet", ""), self.requirement(one))
        share = (
            f"{number_text(line.amount)} of {number_text(purchase.wanted)} {unit_text(purchase.unit, purchase.wanted)}"
        )
        told = ("its share of the order, by what is wanted", f"{share} × {whole_money(purchase.total_cents)}")
        order = self.orders.get((one.key, one.phase)) or self._order(purchase)
        self.orders[one.key, one.phase] = order
        return self.money(line.title, line.cents, told, self._wanted(one, at), order)

    def _wanted(self, one: Requirement, at: int) -> Trace:
        """What one work wants [bought units]: converted from what is in place, losses and what is kept added."""
        material, amount = self.basis.materials[one.key], self.worked.lines[at].amount
        told, filled = _conversion(material, one.dimension)
        if one.loss or one.keep:
            lost = "ordered beyond what is laid" if one.order_words else "lost"
            told, filled = f"{told} × (1 + {lost} + kept)", f"{filled} × (1 + {one.loss:.4g} + {one.keep:g})"
        return Trace(
            label=f"{material.title} wanted",
            expression=f"amount in place{told}",
            filled=f"{number_text(one.amount)}{filled}",
            result=amount,
            unit=unit_text(material.buy, amount),
            source=one.order_words or loss_source(material),
            steps=(self.requirement(one),),
        )

    def _wanted_by_place(self, bought: Purchase) -> list[Trace]:
        """What each work wants of one purchase, told apart by its zone."""
        titles = {str(zone.id): f"{zone.letter} {zone.title}".strip() for zone in self.job.zones}
        told = [(self.worked.requirements[at], at) for at in bought.requirements]
        return [
            replace(self._wanted(one, at), label=f"Wanted, {titles.get(one.zone, 'the whole job')}") for one, at in told
        ]

    def requirement(self, one: Requirement) -> Trace:
        """What a work needs in place."""
        return self.takeoff.of(one.work_id, one.index)

    def _labor(self, line: Line, one: Requirement, hours: Hours) -> Trace:
        hour = self.wage(hours.labor_class)
        if hour is None:
            return self.money(line.title, 0, ("no wage yet", ""), self._hours(one, hours))
        told = ("hours × cost of an hour", f"{number_text(hours.priced)} × {number_text(hour.result)}")
        return self.money(line.title, line.cents, told, self._hours(one, hours), hour)

    def _hours(self, one: Requirement, hours: Hours) -> Trace:
        task, firm = self.basis.tasks[one.key], self.basis.firm
        factors = applying(task.slows, self.worked.paying.slowing.of(one.phase))
        units = one.amount / TRADE_UNITS[task.unit].size
        told = " × ".join(["(amount × rate + set-up)", *(f"{factor.cause} factor" for factor in factors)])
        rate, setup = (_third(three, third_of(task, firm)) for three in (task.hours, task.setup))
        filled = f"({number_text(units)} × {rate} + {setup})" + "".join(f" × {factor.factor:g}" for factor in factors)
        slowed = [self.slowing(factor) for factor in factors]
        return Trace(
            label=f"{task.title}: hours",
            expression=told,
            filled=filled,
            result=hours.priced,
            unit="hours",
            source=rate_source(task, firm),
            steps=(self.requirement(one), *slowed),
        )

    def slowing(self, one: SiteFactor) -> Trace:
        """What hours are multiplied by for one cause at this site."""
        row = Trace(label="Row of the table", expression=one.row, filled="", result=one.factor, unit="", source=ASSUMED)
        return Trace(
            label=f"Factor for {one.cause}",
            expression=f"{one.why}; set by hand: {one.reason}" if one.reason else one.why,
            filled=one.table,
            result=one.factor,
            unit="",
            source="set by hand on the site sheet" if one.reason else ASSUMED,
            steps=(row,) if one.row and not one.reason else (),
        )

    def wage(self, key: str) -> Trace | None:
        """What an hour of a class of people costs."""
        rate = self.worked.paying.rates.get(key)
        if rate and key not in self.wages:
            self.wages[key] = explain_hour(rate.labor, self.currency)
        return self.wages.get(key)

    def _idle(self, line: Line) -> Trace:
        days, mean = self.days(line.phase), self._mean(line.phase)
        told = ("rest of the last crew day × " + mean.label.lower(), number_text(line.amount) + " hours")
        return self.money(line.title, line.cents, told, *([days] if days else []), mean)

    def _beside(self, line: Line) -> Trace:
        """What goes off every day of a phase, or its overtime."""
        found = next(one for one in self.worked.crew_days if one.phase == line.phase)
        rate = self._extra(found) if line.kind == OVERTIME else self._mean(line.phase)
        told = (f"{explain_days.A_DAY[line.kind]} × days × people × {rate.label.lower()}", "")
        days = self._days(found)
        filled = explain_days.of_a_day(self.worked.paying.day, line.kind, found)
        return self.money(line.title, line.cents, (told[0], f"{filled} × {number_text(rate.result)}"), days, rate)

    def _mean(self, phase: str) -> Trace:
        found = next(one for one in self.worked.crew_days if one.phase == phase)
        return explain_days.mean_hour(self.worked, self.basis, found, self.currency)

    def _extra(self, found: CrewDays) -> Trace:
        return explain_days.overtime_hour(self.worked, self.basis, found, self.currency)

    def days(self, phase: str) -> Trace | None:
        """Whole crew-days of a phase."""
        found = next((one for one in self.worked.crew_days if one.phase == phase), None)
        return self._days(found) if found else None

    def _days(self, one: CrewDays) -> Trace:
        return explain_days.crew_days(one, self.worked.paying.day, self.job.site, self.basis.firm)

    # purchases

    def purchase(self, rest: str) -> Trace | None:
        """What a material costs that is bought for a phase."""
        material, _, phase = rest.partition(":")
        found = self.bought.get((material, phase))
        if found is None:
            return None
        wanted = self._wanted_by_place(found)
        return self._order(found, *wanted)

    def loads(self, rest: str) -> Trace | None:
        """How many loads carry what is bought of a material for a phase."""
        material, _, phase = rest.partition(":")
        found = self.bought.get((material, phase))
        return loads_of(found, self.basis, self.job.site.soil) if found else None

    def ordered(self, rest: str) -> Trace | None:
        """How much of a material is ordered for a phase."""
        material, _, phase = rest.partition(":")
        found = self.bought.get((material, phase))
        if found is None:
            return None
        price = self.basis.prices.get(material) or Price(material=material, unit_price=Decimal(0))
        wanted = self._wanted_by_place(found)
        return self._packs(found, price, *wanted)

    def _order(self, one: Purchase, *wanted: Trace) -> Trace:
        material, price = self.basis.materials[one.material], self.basis.prices.get(one.material)
        if price is None:
            return self.money(f"{material.title}, ordered", 0, ("no price yet", ""), *wanted)
        parts = [("hire" if one.hire else "ordered × unit price", self._paid(one, price)), *charged(one, price)]
        if one.fuel_cents:
            hours = machine_hours(one.wanted, material, terms_of(self.basis.rules))
            parts.append(("hours at work × fuel an hour", f"{number_text(hours)} × {whole_money(price.fuel_cents)}"))
        tip = tipped(one, price, self.currency)
        if tip:
            parts.append(("tipping", whole_money(one.tip_cents)))
        owned = explain_machine(price.owned, self.currency) if price.owned and not one.hire else None
        steps = (owned, loads_of(one, self.basis, self.job.site.soil), tip, *charges_explained(one, price, self.basis))
        return self.money(
            f"{material.title}, ordered",
            one.total_cents,
            (" + ".join(told for told, _ in parts), " + ".join(filled for _, filled in parts)),
            *self._got(one, price, wanted),
            *filter(None, steps),
            source=_priced(price),
        )

    def _paid(self, one: Purchase, price: Price) -> str:
        return whole_money(one.cents) if one.hire else f"{number_text(one.bought)} × {price.unit_price:f}"

    def _got(self, one: Purchase, price: Price, wanted: Sequence[Trace]) -> tuple[Trace, ...]:
        """What is taken for what is wanted: the hire with what else it could be, or whole packs."""
        if not one.hire:
            return (self._packs(one, price, *wanted),)
        return hired(one, self.basis, wanted)

    def _packs(self, one: Purchase, price: Price, *wanted: Trace) -> Trace:
        if one.hire:
            return hired(one, self.basis, wanted)[0]
        pack, least = f"{price.pack:g} {unit_text(one.unit, price.pack)}", ""
        if price.least > one.wanted:
            least = f", at least {price.least:g}"
        if one.filled_up:
            least = f", filled up to {price.small_below:g}: a small order would cost more"
        return Trace(
            label="Ordered",
            expression=f"wanted, rounded up to whole {price.pack_name or 'packs'} of {pack}{least}",
            filled=f"{number_text(one.wanted)} → {one.packs} × {price.pack:g}",
            result=one.bought,
            unit=unit_text(one.unit, one.bought),
            source="price book" if one.material in self.basis.prices else "not in the price book yet",
            steps=tuple(wanted),
        )


def _conversion(material: Material, dimension: Dimension) -> tuple[str, str]:
    """How an amount in place becomes one of the unit bought, in words and with the numbers put in."""
    covered, unit = coverage_of(material), trade_unit(material.buy)
    if covered and covered[1] == dimension:
        return " / coverage", f" / ({material.coverage})"
    told, filled = ("", "") if unit.size == 1.0 else (" / unit bought", f" / {number_text(unit.size)}")
    if unit.dimension == dimension:
        return told, filled
    sign = "/" if dimension == WEIGHT else "×"
    return f" {sign} density in place{told}", f" {sign} ({material.placed_density}){filled}"


def _third(three: tuple[float, float, float], third: str) -> str:
    low, likely, high = (number_text(one) for one in three)
    begins = f"({low} + 2/3 × ({high} − {low}))"
    return likely if third == "likely" or three[1] > three[0] + (three[2] - three[0]) * 2 / 3 else begins


def _priced(price: Price) -> str:
    told = ["price book", price.supplier, f"priced {price.priced_on}" if price.priced_on else ""]
    return ", ".join(one for one in told if one)
