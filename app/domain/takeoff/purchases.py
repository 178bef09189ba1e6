"""What is bought: requirements of one material summed over a phase, then rounded up to packs, loads, least orders."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import fsum

from app.domain.basis import Basis, Material
from app.domain.errors import OutlayError, UnknownMaterial
from app.domain.findings import Finding, Severity, Stop
from app.domain.keeping import BoundedByIdentity, KeptByInputs, KeptRows, Same
from app.domain.money import share
from app.domain.takeoff.buying import bought_amount, constant
from app.domain.takeoff.delivering import delivered, delivery_not_priced
from app.domain.takeoff.hauling import SOIL_ROLE, Ground, Trucks, carried, ground_of, tipping, trucks_of
from app.domain.takeoff.hiring import Terms as HireTerms
from app.domain.takeoff.hiring import terms_of as hire_terms
from app.domain.takeoff.machines_asked import machines_asked
from app.domain.takeoff.packs import got_for
from app.domain.takeoff.purchase import Purchase
from app.domain.takeoff.requirements import Requirement
from app.domain.units import format_amount

__all__ = ["Purchase", "Terms", "purchases", "purchases_made", "terms_of", "wanted_of"]


@dataclass(frozen=True, slots=True)
class Terms:
    """What purchases go by besides material and price: the terms of hire, the site's ground, the trucks."""

    hire: HireTerms
    ground: Ground
    trucks: Trucks


def terms_of(basis: Basis, soil: str = "") -> Terms:
    """The terms of a basis at a site of some soil."""
    return Terms(hire_terms(basis.rules), ground_of(soil, basis.rules), trucks_of(basis.rules))


def purchases(
    requirements: Sequence[Requirement], basis: Basis, soil: str = ""
) -> tuple[tuple[Purchase, ...], tuple[Finding, ...]]:
    """Buy all material of a list of requirements, by material and phase, at a site of some soil.

    A material without a price, and one that cannot be bought as it is asked for, are findings that stop a firm price.
    """
    terms = terms_of(basis, soil)
    bought: list[Purchase] = []
    findings: list[Finding] = []
    for key, places in _groups(requirements):
        try:
            one_purchase = _kept_purchase(key, places, [requirements[place] for place in places], basis, terms)
        except OutlayError as wrong:
            findings.append(_cannot_buy(key[1], wrong))
        else:
            bought.append(one_purchase)
    findings += [*_missing(bought, basis), *_loads_unknown(bought, basis), *_tipping_unknown(bought, basis)]
    findings += [*_soil_unknown(bought, basis, soil), *machines_asked(bought, basis)]
    findings += delivery_not_priced(bought, basis)
    return tuple(delivered(bought, basis)), tuple(dict.fromkeys(findings))


_Group = tuple[str, str]  # a phase, and a material bought in it
_ROWS: KeptRows[Requirement, _Group | None] = KeptRows(32)
_GROUPS: KeptByInputs[list[tuple[_Group, list[int]]]] = KeptByInputs(32)


def _groups(requirements: Sequence[Requirement]) -> list[tuple[_Group, list[int]]]:
    """The places of the requirements that are bought together, in the order of phase and material."""
    key = (len(requirements), requirements[0].work_id.int) if requirements else ()
    row = _ROWS.get_or_make(key, None, requirements, _group_of)
    return _GROUPS.get_or_make(key, (row,), lambda: _grouped(row))


def _group_of(one: Requirement) -> _Group | None:
    return (one.phase, one.key) if one.kind == "material" and one.amount > 0 else None


def _grouped(row: Sequence[_Group | None]) -> list[tuple[_Group, list[int]]]:
    groups: dict[_Group, list[int]] = {}
    for place, group in enumerate(row):
        if group is not None:
            groups.setdefault(group, []).append(place)
    return sorted(groups.items())


# by the work that first asks for it, the phase and the material: each edit of a job takes the place of the one before
_PURCHASES: KeptByInputs[Purchase] = KeptByInputs(4096)


def purchases_made() -> int:
    """How many purchases were worked out since the start, and not found kept."""
    return _PURCHASES.made


def _kept_purchase(
    key: tuple[str, str], places: list[int], needed: Sequence[Requirement], basis: Basis, terms: Terms
) -> Purchase:
    """A purchase, kept while its requirements, its material, its price and the terms are the same."""
    rests_on = (needed, Same(basis.materials.get(key[1])), Same(basis.prices.get(key[1])), terms)
    found = _PURCHASES.get_or_make(
        (needed[0].work_id.int, *key), rests_on, lambda: _purchase(key, places, needed, basis, terms)
    )
    at = tuple(places)
    return found if found.requirements == at else replace(found, requirements=at)


def _purchase(
    key: tuple[str, str], places: list[int], needed: Sequence[Requirement], basis: Basis, terms: Terms
) -> Purchase:
    phase, material_key = key
    material = basis.materials.get(material_key)
    if material is None:
        raise UnknownMaterial(f"The material “{material_key}” is not in the library.")
    price = basis.prices.get(material_key)
    amounts = [
        kept[1] if kept is not None and kept[0] is material else _kept_wanted(one, material)
        for one, kept in zip(needed, _WANTED.many(needed), strict=True)
    ]
    wanted = fsum(amounts)  # exact: the order of entry never decides the last bit
    got = got_for(wanted, material, price, terms.hire)
    on_trucks = carried(material, got.bought, terms.ground, terms.trucks)
    loads = on_trucks.loads
    delivery = (price.delivery_cents * max(1, loads) + price.pickup_cents) if price else 0
    tip = (tipping(price, on_trucks) or 0) if price else 0
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
        parts=share(got.total_cents + delivery + tip, amounts),
        hire=got.hire,
        fuel_cents=got.fuel_cents,
        on_trucks=on_trucks if material.load else None,
        tip_cents=tip,
        small_cents=got.small_cents,
        filled_up=got.filled_up,
        pallets=got.pallets,
    )


def wanted_of(requirement: Requirement, material: Material) -> float:
    """What one requirement asks for [bought units]: the amount with what is lost and what is kept."""
    amount = bought_amount(material, requirement.amount, requirement.dimension)
    return amount * (1.0 + requirement.loss + requirement.keep)


_WANTED: BoundedByIdentity[Requirement, tuple[Material, float]] = BoundedByIdentity(10_000)


def _kept_wanted(one: Requirement, material: Material) -> float:
    """The same, kept while requirement and material are the same: an edit buys again what others asked for as well."""
    kept = _WANTED.get(one)
    if kept is None or kept[0] is not material:
        kept = (material, wanted_of(one, material))
        _WANTED.keep(one, kept)
    return kept[1]


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


def _tipping_unknown(bought: Iterable[Purchase], basis: Basis) -> Iterator[Finding]:
    for one in bought:
        price, material = basis.prices.get(one.material), basis.materials[one.material]
        if price and one.on_trucks and tipping(price, one.on_trucks) is None:
            yield Finding(
                rule="tipping-unknown",
                severity=Severity.STOP,
                where=f"material:{one.material}",
                what=f"{material.title} is tipped by the {price.tip_per}, and how much of that it is is not known.",
                remedy="Say in the library what it weighs, or charge it by the load in the price book.",
                stop=Stop.MONEY,
            )


def _soil_unknown(bought: Iterable[Purchase], basis: Basis, soil: str) -> Iterator[Finding]:
    away = [one for one in bought if basis.materials[one.material].role == SOIL_ROLE]
    if away and not soil:
        ground = ground_of(soil, basis.rules)
        yield Finding(
            rule="soil-not-known",
            severity=Severity.NOTE,
            where="site",
            what=f"The soil is not known, so what is hauled counts as common earth: {ground.swell:g} times as much "
            f"loose as in the ground, {ground.weight:g} lb/cu ft.",
            remedy="Dig one hole, and say on the site sheet what the soil is: clay is half as much again, and heavier.",
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
