"""Where loads and tipping come from: volumes in place and loose, weight, what a truck holds, what tipping goes by."""

from collections.abc import Iterator, Mapping

from app.domain.basis import Basis, Material, Price, Rule
from app.domain.costing.explain_words import whole_money
from app.domain.takeoff.buying import constant
from app.domain.takeoff.hauling import (
    BOX_RULE,
    CUBIC_YARD,
    PAYLOAD_RULE,
    SOIL_ROLE,
    TON,
    UNKNOWN,
    Carried,
    ground_of,
    limits_of,
    trucks_of,
)
from app.domain.takeoff.purchases import Purchase
from app.domain.takeoff.trace import Trace, number_text
from app.domain.units import VOLUME, WEIGHT, format_amount

YARDS = "cu yd"


def loads_of(one: Purchase, basis: Basis, soil: str) -> Trace | None:
    """How many loads carry a purchase, by volume and by weight; None where no load of it is known."""
    on, material = one.on_trucks, basis.materials[one.material]
    if on is None or not on.loads:
        return None
    limits = limits_of(material, trucks_of(basis.rules))
    told = [
        (f"{words} / what a load holds", f"{number_text(amount / size)} / {number_text(limits[of] / size)} → {loads}")
        for words, of, amount, size, loads in (
            ("loose volume", VOLUME, on.loose, CUBIC_YARD, on.by_volume),
            ("weight", WEIGHT, on.weight, TON, on.by_weight),
        )
        if of in limits and amount is not None
    ]
    words = " and ".join(words for words, _ in told)
    each = ", each rounded up, the larger" if len(told) > 1 else ", rounded up"
    return Trace(
        label="Loads",
        expression=words + each if told else "one by one",
        filled="; ".join(filled for _, filled in told) if told else number_text(one.bought),
        result=float(on.loads),
        unit="load" if on.loads == 1 else "loads",
        source=_limits_source(material, basis.rules),
        steps=tuple(_amounts(one, on, basis, soil)),
    )


def tipped(one: Purchase, price: Price, currency: str) -> Trace | None:
    """What the place that takes it charges; None where it charges nothing."""
    on = one.on_trucks
    if on is None or not one.tip_cents:
        return None
    loads = max(1, on.loads)
    by = {"ton": ("tons", (on.weight or 0.0) / TON), "yard": ("loose cubic yards", (on.loose or 0.0) / CUBIC_YARD)}
    words, amount = by.get(price.tip_per, ("loads", float(loads)))
    least = f", at least {loads} × {whole_money(price.tip_least_cents)}" if price.tip_least_cents else ""
    return Trace(
        label="Tipping",
        expression=f"{words} × fee{', at least so much a load' if least else ''}",
        filled=f"{number_text(amount)} × {whole_money(price.tip_cents)}{least} → {whole_money(one.tip_cents)}",
        result=one.tip_cents / 100,
        unit=currency,
        source="price book",
    )


def _amounts(one: Purchase, on: Carried, basis: Basis, soil: str) -> Iterator[Trace]:
    material, ground = basis.materials[one.material], ground_of(soil, basis.rules)
    dug = material.role == SOIL_ROLE
    kind = soil if f"soil-{soil}-swell" in basis.rules else UNKNOWN
    swell, weight = (basis.rules.get(f"soil-{kind}-{what}") for what in ("swell", "weight"))
    if on.loose is not None:
        loose = on.loose / CUBIC_YARD
        told, filled = ("ordered", number_text(loose)) if dug else _loosened(on, material)
        yield Trace(label="Loose on the truck", expression=told, filled=filled, result=loose, unit=YARDS)
    if on.in_place is not None and dug:
        filled = f"{number_text((on.loose or 0.0) / CUBIC_YARD)} / {ground.swell:g}"
        yield Trace(
            label="In the ground",
            expression=f"loose / swell of {_named(soil)}",
            filled=filled,
            result=on.in_place / CUBIC_YARD,
            source=_source(swell),
            unit=YARDS,
        )
        yield Trace(
            label="If it were compacted again",
            expression=f"in the ground × shrink of {_named(soil)}",
            filled=f"{number_text(on.in_place / CUBIC_YARD)} × {ground.shrink:g}",
            result=on.in_place * ground.shrink / CUBIC_YARD,
            unit=YARDS,
        )
    if on.weight is not None:
        dense = f"{ground.weight:g} lb/cu ft" if dug else material.placed_density
        yield Trace(
            label="Weight",
            expression="in the ground × its weight" if dug else "amount × its weight",
            filled=f"{number_text((on.in_place or 0.0) / CUBIC_YARD)} cu yd × {dense}" if dense else "",
            result=on.weight / TON,
            unit="tons",
            source=_source(weight) if dug else material.source,
        )


def _loosened(on: Carried, material: Material) -> tuple[str, str]:
    placed = number_text((on.in_place or 0.0) / CUBIC_YARD)
    return ("volume in place × how it loosens", f"{placed} × {material.loosens:g}")


def _limits_source(material: Material, rules: Mapping[str, Rule]) -> str:
    """Whose the limits of a load are: the material's own, and the firm's rules for what it does not say."""
    size, own = constant(material.load)
    told = [f"a load of it is {format_amount(size, own)}: {material.source}"]
    usual = {VOLUME: rules.get(BOX_RULE), WEIGHT: rules.get(PAYLOAD_RULE)}
    limits = limits_of(material, trucks_of(rules))
    others = [one for of, one in usual.items() if one and of in limits and of != own]
    told += [f"{one.value:g} {one.unit}: {_source(one)}" for one in others]
    return "; ".join(told)


def _named(soil: str) -> str:
    return soil or "common earth (the soil is not known)"


def _source(rule: Rule | None) -> str:
    return (rule.reason or rule.source) if rule else "common earth"
