"""What one more or one less of each driver does to the price: the whole estimate again, one thing changed at a time.

A driver is changed by a step that is easy to picture: a tenth of a rate, an inch of base, a point of margin. The rest
stands as it is, so the figures cannot be added up.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from app.domain.basis import Basis, CostClass, LaborClass, Price, Task
from app.domain.costing.estimate import Estimate, estimate
from app.domain.job import Job, Work

TENTH = Decimal("0.1")
POINT = Decimal("0.01")
MOST_SUPPLIERS = 6
MORE, LESS = 1, -1
BASE = "base"  # parameter of recipes that stand on a base


@dataclass(frozen=True, slots=True)
class Driver:
    """One thing that can be changed: how a step less and a step more are called, and where it is settled."""

    key: str
    title: str
    less: str
    more: str
    where: str

    def words(self, sign: int) -> str:
        """The step in words."""
        return self.more if sign == MORE else self.less


@dataclass(frozen=True, slots=True)
class Swing:
    """What the price is moved by [cents] with one step less and one more."""

    driver: Driver
    less_cents: int
    more_cents: int

    @property
    def width(self) -> int:
        """How far the two ends lie apart, or the farther of them from today's price."""
        return max(abs(self.less_cents), abs(self.more_cents), abs(self.more_cents - self.less_cents))


Tell = Callable[[float], None]


def drivers(job: Job, basis: Basis, worked: Estimate) -> tuple[Driver, ...]:
    """What can be changed in this job; what it does not have is left out."""
    found = [
        Driver("wage", "What an hour of the crew costs", "10% less", "10% more", "firm"),
        Driver("hours", "How long the work takes", "10% less", "10% more", "estimate"),
        *_suppliers(basis, worked),
    ]
    if any(one.cost_class is CostClass.HAULING for one in worked.purchases):
        found.append(Driver("hauling", "What hauling costs", "10% less", "10% more", "prices"))
    if any(BASE in _parameters(basis, work) for work in job.works):
        found.append(Driver(BASE, "How thick the base is", "1 in less", "1 in more", "plan"))
    if job.site.haul_distance:
        found.append(Driver("distance", "How far everything is carried", "25 ft less", "25 ft more", "site"))
    firm = basis.firm
    if firm.overhead or firm.overhead_per_hour:
        found.append(Driver("overhead", "Overhead", "10% less", "10% more", "firm"))
    found.append(Driver("contingency", "Set aside for what nobody foresaw", "1 point less", "1 point more", "price"))
    found.append(Driver("margin", "Margin", "1 point less", "1 point more", "price"))
    return tuple(found)


def sensitivity(job: Job, basis: Basis, worked: Estimate, tell: Tell | None = None) -> tuple[Swing, ...]:
    """Every driver with what it does to the price, the widest first; what moves nothing is left out."""
    swings = []
    known = drivers(job, basis, worked)
    for done, driver in enumerate(known):
        less, more = (moved(job, basis, driver.key, sign).price_cents for sign in (LESS, MORE))
        swings.append(Swing(driver, less - worked.price_cents, more - worked.price_cents))
        if tell is not None:
            tell((done + 1) / len(known))
    return tuple(sorted((one for one in swings if one.width), key=lambda one: (-one.width, one.driver.key)))


def moved(job: Job, basis: Basis, key: str, sign: int) -> Estimate:
    """The whole estimate with one driver a step more (1) or less (−1)."""
    return estimate(*changed(job, basis, key, sign))


def changed(job: Job, basis: Basis, key: str, sign: int) -> tuple[Job, Basis]:
    """The job and its basis with one driver a step more or less."""
    kind, _, rest = key.partition(":")
    by = 1 + sign * TENTH
    if kind == "wage":
        people = {name: _paid(one, by) for name, one in basis.labor_classes.items()}
        return job, replace(basis, labor_classes=people)
    if kind == "hours":
        return job, replace(basis, tasks={name: _slowed(one, float(by)) for name, one in basis.tasks.items()})
    if kind in ("supplier", "hauling"):
        hauling = kind == "hauling"
        prices = {
            name: _priced(one, by) if _is_of(one, basis, rest, hauling=hauling) else one
            for name, one in basis.prices.items()
        }
        return job, replace(basis, prices=prices)
    if kind == BASE:
        return replace(job, works=tuple(_thicker(one, basis, sign) for one in job.works)), basis
    if kind == "distance":
        site = replace(job.site, haul_distance=max(0.0, (job.site.haul_distance or 0.0) + sign * 25.0))
        return replace(job, site=site), basis
    return _settings(job, basis, kind, sign)


def _settings(job: Job, basis: Basis, kind: str, sign: int) -> tuple[Job, Basis]:
    firm, point, by = basis.firm, sign * POINT, 1 + sign * TENTH
    if kind == "overhead":
        classes = {name: share * by for name, share in firm.overhead.items()}
        return job, replace(basis, firm=replace(firm, overhead=classes, overhead_per_hour=firm.overhead_per_hour * by))
    if kind == "contingency":
        return job, replace(basis, firm=replace(firm, contingency=max(Decimal(0), firm.contingency + point)))
    if kind == "margin" and job.head.own_margin is not None:
        return replace(job, head=replace(job.head, own_margin=_margin(job.head.own_margin + point))), basis
    if kind == "margin":
        return job, replace(basis, firm=replace(firm, margin=_margin(firm.margin + point)))
    return job, basis


def _margin(margin: Decimal) -> Decimal:
    return min(max(Decimal(0), margin), Decimal("0.99"))


def _paid(one: LaborClass, by: Decimal) -> LaborClass:
    return one if one.own else replace(one, wage=one.wage * by)


def _slowed(one: Task, by: float) -> Task:
    def times(three: tuple[float, float, float]) -> tuple[float, float, float]:
        return three[0] * by, three[1] * by, three[2] * by

    return replace(one, hours=times(one.hours), setup=times(one.setup))


def _is_of(price: Price, basis: Basis, supplier: str, *, hauling: bool) -> bool:
    material = basis.materials.get(price.material)
    is_hauling = material is not None and material.cost_class is CostClass.HAULING
    return is_hauling if hauling else price.supplier == supplier and not is_hauling


def _priced(one: Price, by: Decimal) -> Price:
    delivery = round(one.delivery_cents * by)
    return replace(one, unit_price=(one.unit_price * by).quantize(Decimal("0.0001")), delivery_cents=delivery)


def _thicker(work: Work, basis: Basis, sign: int) -> Work:
    known = _parameters(basis, work)
    if BASE not in known:
        return work
    sign_words = "+" if sign == MORE else "-"
    return replace(work, parameters={**work.parameters, BASE: f"({known[BASE]}) {sign_words} 1*inch"})


def _parameters(basis: Basis, work: Work) -> Mapping[str, str]:
    recipe = basis.assemblies.get(work.assembly)
    own = {name: one.value for name, one in recipe.parameters.items()} if recipe else {}
    return {**own, **work.parameters}


def _suppliers(basis: Basis, worked: Estimate) -> list[Driver]:
    """The suppliers most is bought of, the most first."""
    spent: dict[str, int] = {}
    for one in worked.purchases:
        if one.priced and one.cost_class not in (CostClass.HAULING, CostClass.ALLOWANCE):
            spent[one.supplier] = spent.get(one.supplier, 0) + one.total_cents
    most = sorted(spent, key=lambda key: (-spent[key], key))[:MOST_SUPPLIERS]
    return [Driver(f"supplier:{key}", _prices_of(basis, key), "10% less", "10% more", "prices") for key in most]


def _prices_of(basis: Basis, supplier: str) -> str:
    known = basis.suppliers.get(supplier)
    return f"Prices of {known.title}" if known else "Prices without a supplier"
