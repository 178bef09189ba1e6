"""What is bought: requirements of one material summed over a phase, then rounded up to packs, loads, least orders."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor

from app.domain.basis import Basis, CostClass, Material, Price
from app.domain.findings import Finding, Severity, Stop
from app.domain.money import cost, share
from app.domain.takeoff.buying import bought_amount, constant, trade_unit
from app.domain.takeoff.requirements import Requirement
from app.domain.units import RATIO, VOLUME, WEIGHT, Dimension

NEARLY_WHOLE = 1e-9  # what is this near above a whole number is that whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """One material bought for one phase.

    `wanted` [bought units] is what is needed with losses and what is kept; `bought` is whole packs of it. `parts` are
    the cents of each requirement, in their order, with the delivery shared like the rest; they add up to
    `cents + delivery_cents`. Without a price both are 0 and `priced` is False.
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
    parts: tuple[int, ...]

    @property
    def total_cents(self) -> int:
        """What it costs delivered."""
        return self.cents + self.delivery_cents


def whole_up(number: float) -> int:
    """The whole number at or above; what lies within 1e-9 of a whole (relative above 1) is that whole.

    >>> whole_up(4.0000000001), whole_up(4.01), whole_up(0.0)
    (4, 5, 0)
    """
    tolerance = NEARLY_WHOLE * max(1.0, abs(number))
    return floor(number + 0.5) if abs(number - floor(number + 0.5)) <= tolerance else ceil(number)


def purchases(requirements: Sequence[Requirement], basis: Basis) -> tuple[tuple[Purchase, ...], tuple[Finding, ...]]:
    """Buy all material of a list of requirements; a material without a price is a finding that stops a firm price."""
    groups: dict[tuple[str, str], list[int]] = {}
    for place, one in enumerate(requirements):
        if one.kind == "material" and one.amount > 0:
            groups.setdefault((one.phase, one.key), []).append(place)
    bought = [_purchase(key, places, requirements, basis) for key, places in sorted(groups.items())]
    return tuple(bought), tuple(_missing(bought, basis))


def _purchase(key: tuple[str, str], places: list[int], requirements: Sequence[Requirement], basis: Basis) -> Purchase:
    phase, material_key = key
    material = basis.materials[material_key]
    price = basis.prices.get(material_key)
    amounts = [wanted_of(requirements[place], material) for place in places]
    wanted = sum(sorted(amounts))  # sorted: the order of entry never decides the last bit
    packs, bought = _packed(wanted, price)
    loads = _loads(material, [requirements[place] for place in places], bought)
    cents = cost(bought, price.unit_price) if price else 0
    delivery = (price.delivery_cents * max(1, loads)) if price and bought > 0 else 0
    return Purchase(
        material=material_key,
        phase=phase,
        cost_class=material.cost_class,
        supplier=price.supplier if price else "",
        unit=material.buy,
        wanted=wanted,
        bought=bought,
        packs=packs,
        pack_name=price.pack_name if price else "",
        loads=loads,
        cents=cents,
        delivery_cents=delivery,
        priced=price is not None,
        requirements=tuple(places),
        parts=share(cents + delivery, amounts),
    )


def wanted_of(requirement: Requirement, material: Material) -> float:
    """What one requirement asks for [bought units]: the amount with what is lost and what is kept."""
    amount = bought_amount(material, requirement.amount, requirement.dimension)
    return amount * (1.0 + requirement.loss + requirement.keep)


def _packed(wanted: float, price: Price | None) -> tuple[int, float]:
    """Whole packs, and the bought units in them; a unit that is counted is whole without a pack, too."""
    pack = price.pack if price and price.pack > 0 else 1.0
    packs = whole_up(max(wanted, price.least if price else 0.0) / pack)
    return packs, packs * pack


def _loads(material: Material, needed: Iterable[Requirement], bought: float) -> int:
    """Truckloads: by weight, or by loose volume, or by count, as the material's `load` is given."""
    if not material.load or bought <= 0:
        return 0
    size, dimension = constant(material.load)
    amount = _carried(material, needed, bought, dimension)
    return max(1, whole_up(amount / size)) if size > 0 else 0


def _carried(material: Material, needed: Iterable[Requirement], bought: float, dimension: Dimension) -> float:
    unit = trade_unit(material.buy)
    if dimension in (unit.dimension, RATIO):
        loosened = material.loosens if dimension == VOLUME and material.cost_class is CostClass.HAULING else 1.0
        return bought * unit.size * loosened
    if dimension == VOLUME:
        placed = sum(one.amount * (1.0 + one.loss) for one in needed if one.dimension == VOLUME)
        return placed * material.loosens
    if dimension == WEIGHT and material.placed_density and unit.dimension == VOLUME:
        return bought * unit.size * constant(material.placed_density)[0]
    return bought


def _missing(bought: Iterable[Purchase], basis: Basis) -> Iterable[Finding]:
    missing: Mapping[str, Purchase] = {one.material: one for one in bought if not one.priced}
    for key in sorted(missing):
        title = basis.materials[key].title
        yield Finding(
            rule="price-missing",
            severity=Severity.STOP,
            where=f"material:{key}",
            what=f"{title} has no price yet.",
            remedy="Type a price in the price book, or set it aside as an allowance that is printed.",
            stop=Stop.MONEY,
        )
