"""What is bought: requirements of one material summed over a phase, then rounded up to packs, loads, least orders."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import fsum

from app.domain.basis import Basis, CostClass, Material, Price
from app.domain.errors import OutlayError, UnknownMaterial
from app.domain.findings import Finding, Severity, Stop
from app.domain.keeping import BoundedByIdentity, BoundedCache
from app.domain.money import cents, cost, share
from app.domain.takeoff.buying import bought_amount, constant, coverage_of, trade_unit
from app.domain.takeoff.hiring import Hire, Terms, cheapest_hire, machine_hours, rates_of, terms_of
from app.domain.takeoff.machines_asked import machines_asked
from app.domain.takeoff.requirements import Requirement
from app.domain.takeoff.whole import whole_up
from app.domain.units import AREA, RATIO, VOLUME, WEIGHT, Dimension, format_amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """One material bought for one phase.

    `wanted` [bought units] is what is needed with losses and what is kept; `bought` is whole packs of it, or what the
    `hire` covers. `amounts` and `parts` go by requirement: what it wants, and its cents with delivery and fuel shared
    like the rest; they add up to `wanted` and to `total_cents`. Without a price both are 0 and `priced` is False.
    """

    material: str
    phase: str
    cost_class: CostClass
    supplier: str
    unit: str
    wanted: float
    bought: float
    packs: int
    pack_name: str
    loads: int
    cents: int
    delivery_cents: int
    priced: bool
    requirements: tuple[int, ...]  # places in the list of requirements
    amounts: tuple[float, ...]
    parts: tuple[int, ...]
    hire: Hire | None = None  # of what is let by the period
    fuel_cents: int = 0  # fuel of ours that it burns at work

    @property
    def total_cents(self) -> int:
        """What it costs delivered and fueled."""
        return self.cents + self.delivery_cents + self.fuel_cents


def purchases(requirements: Sequence[Requirement], basis: Basis) -> tuple[tuple[Purchase, ...], tuple[Finding, ...]]:
    """Buy all material of a list of requirements, by material and phase.

    A material without a price, and one that cannot be bought as it is asked for, are findings that stop a firm price.
    """
    terms = terms_of(basis.rules)
    groups: dict[tuple[str, str], list[int]] = {}
    for place, one in enumerate(requirements):
        if one.kind == "material" and one.amount > 0:
            groups.setdefault((one.phase, one.key), []).append(place)
    bought: list[Purchase] = []
    findings: list[Finding] = []
    for key, places in sorted(groups.items()):
        try:
            one_purchase = _kept_purchase(key, places, [requirements[place] for place in places], basis, terms)
        except OutlayError as wrong:
            findings.append(_cannot_buy(key[1], wrong))
        else:
            bought.append(one_purchase)
    findings += [*_missing(bought, basis), *_loads_unknown(bought, basis), *machines_asked(bought, basis)]
    return tuple(bought), tuple(dict.fromkeys(findings))


@dataclass(frozen=True, slots=True)
class _Kept:
    """A purchase and what it was made of; the requirements are kept so that their identity stays their own."""

    purchase: Purchase
    needed: Sequence[Requirement]
    material: Material | None
    price: Price | None
    terms: Terms


_PURCHASES: BoundedCache[tuple[int, ...], _Kept] = BoundedCache(4096)


def purchases_made() -> int:
    """How many purchases were worked out since the start, and not found kept."""
    return _PURCHASES.made


def _kept_purchase(
    key: tuple[str, str], places: list[int], needed: Sequence[Requirement], basis: Basis, terms: Terms
) -> Purchase:
    """A purchase, kept while its requirements, its material, its price and the terms of hire are the same."""
    material, price = basis.materials.get(key[1]), basis.prices.get(key[1])
    ids = tuple(map(id, needed))
    kept = _PURCHASES.get(ids)
    if kept is None or kept.material is not material or kept.price is not price or kept.terms != terms:
        kept = _Kept(_purchase(key, places, needed, basis, terms), needed, material, price, terms)
        _PURCHASES.keep(ids, kept)
    found, at = kept.purchase, tuple(places)
    return found if found.requirements == at else replace(found, requirements=at)


def _purchase(
    key: tuple[str, str], places: list[int], needed: Sequence[Requirement], basis: Basis, terms: Terms
) -> Purchase:
    phase, material_key = key
    material = basis.materials.get(material_key)
    if material is None:
        raise UnknownMaterial(f"The material “{material_key}” is not in the library.")
    price = basis.prices.get(material_key)
    amounts = [_kept_wanted(one, material) for one in needed]
    wanted = fsum(amounts)  # exact: the order of entry never decides the last bit
    got = _got(wanted, material, price, terms)
    loads = _loads(material, got.bought)
    delivery = (price.delivery_cents * max(1, loads) + price.pickup_cents) if price else 0
    return Purchase(
        material=material_key,
        phase=phase,
        cost_class=material.cost_class,
        supplier=price.supplier if price else "",
        unit=material.buy,
        wanted=wanted,
        bought=got.bought,
        packs=got.packs,
        pack_name=price.pack_name if price and not got.hire else "",
        loads=loads,
        cents=got.cents,
        delivery_cents=delivery,
        priced=price is not None,
        requirements=tuple(places),
        amounts=tuple(amounts),
        parts=share(got.cents + delivery + got.fuel_cents, amounts),
        hire=got.hire,
        fuel_cents=got.fuel_cents,
    )


@dataclass(frozen=True, slots=True)
class _Got:
    """What is taken for what is wanted: whole packs, or periods of hire."""

    bought: float
    packs: int
    cents: int
    hire: Hire | None = None
    fuel_cents: int = 0


def _got(wanted: float, material: Material, price: Price | None, terms: Terms) -> _Got:
    """Whole packs, or the cheapest hire where it is let by the period; with the fuel it burns where that is ours."""
    if price is None:
        packs, bought = packed(wanted, None)
        return _Got(bought, packs, 0)
    hours = machine_hours(wanted, material, terms)
    fuel = cents(hours * price.fuel_cents / 100) if price.fuel == "ours" else 0
    rates = rates_of(price, material)
    if not rates:
        packs, bought = packed(wanted, price)
        return _Got(bought, packs, cost(bought, price.unit_price), None, fuel)
    hire = cheapest_hire(hours, rates, terms, least=machine_hours(price.least, material, terms))
    bought = hire.covers / machine_hours(1.0, material, terms)
    return _Got(bought, sum(count for _, count, _ in hire.periods), hire.cents, hire, fuel)


def wanted_of(requirement: Requirement, material: Material) -> float:
    """What one requirement asks for [bought units]: the amount with what is lost and what is kept."""
    amount = bought_amount(material, requirement.amount, requirement.dimension)
    return amount * (1.0 + requirement.loss + requirement.keep)


_WANTED: BoundedByIdentity[Requirement, tuple[Material, float]] = BoundedByIdentity(40_000)


def _kept_wanted(one: Requirement, material: Material) -> float:
    """The same, kept while requirement and material are the same: an edit buys again what others asked for as well."""
    kept = _WANTED.get(one)
    if kept is None or kept[0] is not material:
        kept = (material, wanted_of(one, material))
        _WANTED.keep(one, kept)
    return kept[1]


def packed(wanted: float, price: Price | None) -> tuple[int, float]:
    """Whole packs for what is wanted [bought units], and the bought units in them; never less than the least order.

    Without a price a pack is one unit.

    >>> from decimal import Decimal
    >>> packed(41.2, Price(material="m", unit_price=Decimal(1), pack=10.0)), packed(0.5, None)
    ((5, 50.0), (1, 1.0))
    """
    pack = price.pack if price and price.pack > 0 else 1.0
    packs = whole_up(max(wanted, price.least if price else 0.0) / pack)
    return packs, packs * pack


def _loads(material: Material, bought: float) -> int:
    """Whole loads of what is bought; 0 where the material has no load, or where a load cannot be told from it."""
    size, dimension = constant(material.load) if material.load else (0.0, RATIO)
    amount = carried(material, bought, dimension)
    return max(1, whole_up(amount / size)) if size > 0 and amount is not None else 0


def carried(material: Material, bought: float, dimension: Dimension) -> float | None:
    """What a truck carries of so many bought units [canonical units of `dimension`]; None where that is not known.

    Volume on the truck is the volume in place times `loosens`; weight and count are what they are.
    """
    unit = trade_unit(material.buy)
    if dimension == unit.dimension and dimension != VOLUME:
        return bought * unit.size
    placed = _placed_volume(material, bought)
    if placed is None:
        return None
    if dimension == VOLUME:
        return placed * material.loosens
    dense = dimension == WEIGHT and material.placed_density
    return placed * constant(material.placed_density)[0] if dense else None


def _placed_volume(material: Material, bought: float) -> float | None:
    """Volume in place [cu ft] of so many bought units: by volume, density, or coverage at a thickness."""
    unit = trade_unit(material.buy)
    if unit.dimension == VOLUME:
        return bought * unit.size
    if unit.dimension == WEIGHT and material.placed_density:
        return bought * unit.size / constant(material.placed_density)[0]
    covered, dimension = coverage_of(material) or (unit.size, unit.dimension)
    if dimension == VOLUME:
        return bought * covered
    return bought * covered * constant(material.thickness)[0] if dimension == AREA and material.thickness else None


def _loads_unknown(bought: Iterable[Purchase], basis: Basis) -> Iterator[Finding]:
    for one in bought:
        material, price = basis.materials[one.material], basis.prices.get(one.material)
        if material.load and not one.loads and price and price.delivery_cents:
            yield Finding(
                rule="loads-unknown",
                severity=Severity.NOTE,
                where=f"material:{one.material}",
                what=f"{material.title}: how many loads of {_load_words(material)} it takes is unknown, so one counts.",
                remedy="Say in the library what it weighs in place, or how many of it make a load.",
            )


def _load_words(material: Material) -> str:
    """A load in the words of the trade: 12 tons, 10 cu yd."""
    return format_amount(*constant(material.load))


def _cannot_buy(key: str, wrong: OutlayError) -> Finding:
    return Finding(
        rule="cannot-buy",
        severity=Severity.STOP,
        where=f"material:{key}",
        what=f"{wrong.sentence} It is not counted.",
        remedy="Correct the material in the price book, or choose another.",
        stop=Stop.MONEY,
    )


def _missing(bought: Iterable[Purchase], basis: Basis) -> Iterator[Finding]:
    for key in sorted({one.material for one in bought if not one.priced}):
        title = basis.materials[key].title
        yield Finding(
            rule="price-missing",
            severity=Severity.STOP,
            where=f"material:{key}",
            what=f"{title} has no price yet.",
            remedy="Type a price in the price book, or set it aside as an allowance that is printed.",
            stop=Stop.MONEY,
        )
