"""What a truck carries: volume in place, loose on the truck, weight; loads by volume and by weight, the larger counts.

Soil swells when it is dug and shrinks when it is compacted again, by the soil of the site (rules `soil-KIND-swell`,
`-shrink`, `-weight`). A truck that hauls away is full by its box or by its legal payload (rules `haul-truck-volume`,
`haul-truck-payload`), unless the material itself says what a load of it is.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.basis import CostClass, Material, Price, Rule
from app.domain.money import cents
from app.domain.takeoff.buying import constant, coverage_of, trade_unit
from app.domain.takeoff.whole import whole_up
from app.domain.units import AREA, VOLUME, WEIGHT, Dimension

SOIL_ROLE = "soil haul"  # what fills it is dug out of the site's own ground, and asked for loose
BOX_RULE, PAYLOAD_RULE = "haul-truck-volume", "haul-truck-payload"
UNKNOWN = "loam"  # common earth counts until the soil is known
CUBIC_YARD, TON = 27.0, 2000.0  # cu ft, lb


@dataclass(frozen=True, slots=True)
class Ground:
    """The ground of a site: loose and compacted over volume in place, weight in place [lb/cu ft].

    Common earth where nothing else is known: swell 1.25, shrink 0.90 (US Army and Navy earthmoving tables, from
    memory), 100 lb/cu ft (estimators' rule).
    """

    swell: float = 1.25
    shrink: float = 0.90
    weight: float = 100.0


@dataclass(frozen=True, slots=True)
class Trucks:
    """What a truck that hauls away may carry: its box [cu ft] and its payload [lb]; 0 where no rule says it."""

    box: float = 0.0
    payload: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What the trucks carry of a purchase.

    Volumes [cu ft]: `in_place` (in the ground, or where it is laid), `loose` on the truck; `weight` [lb]. None where it
    is not known. `by_volume`, `by_weight` and `by_count` are loads by each limit that holds; 0 where none does.
    `part` is how much of loads it fills, not rounded.
    """

    in_place: float | None
    loose: float | None
    weight: float | None
    by_volume: int = 0
    by_weight: int = 0
    by_count: int = 0
    part: float = 0.0

    @property
    def loads(self) -> int:
        """Whole loads: the larger."""
        return max(self.by_volume, self.by_weight, self.by_count)


def ground_of(soil: str, rules: Mapping[str, Rule]) -> Ground:
    """The ground of a site by its soil; common earth where that or its rules are not known."""
    usual = Ground()
    kind = soil if f"soil-{soil}-swell" in rules else UNKNOWN

    def value(what: str, otherwise: float) -> float:
        rule = rules.get(f"soil-{kind}-{what}")
        return rule.value if rule and rule.value > 0 else otherwise

    return Ground(value("swell", usual.swell), value("shrink", usual.shrink), value("weight", usual.weight))


def trucks_of(rules: Mapping[str, Rule]) -> Trucks:
    """The firm's own limits of a truck that hauls away: cubic yards of its box, tons of payload."""
    box, payload = rules.get(BOX_RULE), rules.get(PAYLOAD_RULE)
    return Trucks(box.value * CUBIC_YARD if box else 0.0, payload.value * TON if payload else 0.0)


def limits_of(material: Material, trucks: Trucks) -> Mapping[Dimension, float]:
    """What one load of a material is at most [canonical units], by dimension: its own load, before the truck's."""
    if not material.load:
        return {}
    size, dimension = constant(material.load)
    own = {dimension: size} if size > 0 else {}
    if material.cost_class is not CostClass.HAULING or dimension not in (VOLUME, WEIGHT):
        return own
    usual = {VOLUME: trucks.box, WEIGHT: trucks.payload}
    return {**{of: most for of, most in usual.items() if most > 0}, **own}


def carried(material: Material, bought: float, ground: Ground, trucks: Trucks) -> Carried:
    """What is carried of so many bought units, and in how many loads.

    Clay hauled away, 100 cu yd loose, by trucks of 10 cu yd:

    >>> clay = Material(key="m", title="Soil", role="soil haul", buy="yard**3", cost_class=CostClass.HAULING,
    ...                 load="10*yard**3")
    >>> one = carried(clay, 100.0000000001, Ground(1.43, 0.90, 110.0), Trucks(payload=24_000.0))
    >>> round(one.in_place / 27, 1), round(one.weight / 2000, 1), one.by_volume, one.by_weight
    (69.9, 103.8, 10, 9)
    """
    in_place, loose, weight = _volumes(material, bought, ground)
    amounts = {VOLUME: loose, WEIGHT: weight}
    unit = trade_unit(material.buy)
    parts: dict[Dimension, float] = {}
    for dimension, most in limits_of(material, trucks).items():
        by_unit = unit.dimension == dimension and dimension not in amounts
        amount = bought * unit.size if by_unit else amounts.get(dimension)
        if amount is not None and bought > 0:
            parts[dimension] = amount / most
    loads = {dimension: max(1, whole_up(part)) for dimension, part in parts.items()}
    others = [count for dimension, count in loads.items() if dimension not in amounts]
    return Carried(
        in_place=in_place,
        loose=loose,
        weight=weight,
        by_volume=loads.get(VOLUME, 0),
        by_weight=loads.get(WEIGHT, 0),
        by_count=max(others, default=0),
        part=max(parts.values(), default=0.0),
    )


def _volumes(material: Material, bought: float, ground: Ground) -> tuple[float | None, float | None, float | None]:
    """Volume in place and loose [cu ft], weight [lb] of so many bought units; None where it is not known."""
    unit = trade_unit(material.buy)
    if material.role == SOIL_ROLE and unit.dimension == VOLUME:
        loose = bought * unit.size
        in_ground = loose / ground.swell
        return in_ground, loose, in_ground * ground.weight
    placed = placed_volume(material, bought)
    loose_volume = placed * material.loosens if placed is not None else None
    if unit.dimension == WEIGHT:
        return placed, loose_volume, bought * unit.size
    weighs = placed is not None and material.placed_density
    return placed, loose_volume, placed * constant(material.placed_density)[0] if weighs and placed else None


def placed_volume(material: Material, bought: float) -> float | None:
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


def tipping(price: Price, on_trucks: Carried) -> int | None:
    """What the place that takes it charges [cents]: by ton, loose cubic yard or load, and at least so much a load.

    None where the fee goes by what is not known.
    """
    if not price.tip_cents and not price.tip_least_cents:
        return 0
    loads = max(1, on_trucks.loads)
    amounts = {
        "ton": on_trucks.weight / TON if on_trucks.weight is not None else None,
        "yard": on_trucks.loose / CUBIC_YARD if on_trucks.loose is not None else None,
        "load": float(loads),
        "": float(loads),
    }
    amount = amounts[price.tip_per]
    return None if amount is None else max(cents(amount * price.tip_cents / 100), loads * price.tip_least_cents)
