"""What of the price book would mend what was pointed out: the nearest colors that keep every rule, and what they cost.

Of the materials of the same role, bought and measured alike, those nearest in color are tried first.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from math import dist

from app.domain.basis import Basis, Material
from app.domain.money import cost
from app.domain.palette.color import difference, lab_of
from app.domain.palette.families import Limits, belongs
from app.domain.palette.members import Member, color_of
from app.domain.takeoff.buying import coverage_of
from app.domain.takeoff.trace import Trace

MOST = 3
LOOKED_AT = 80  # the nearest so many of the book are held against the rules


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """A material that would mend it. `cents` is what it costs more (or less) at the book's price, for what is bought.

    None where one of the two has no price, or nothing is bought yet. `price_cents` is what the price of the whole job
    becomes more (or less), by its estimate; None where that cannot be told, or was not worked out.
    """

    material: str
    title: str
    color: str
    difference: float  # ΔE from what lies there now
    cents: int | None
    price_cents: int | None = None


Suits = Callable[[Member], bool]


def mends(member: Member, basis: Basis, suits: Suits) -> tuple[Mend, ...]:
    """At most three materials in place of a member, the nearest first; none for the house, which stands as it is."""
    now = basis.materials.get(member.key)
    if now is None or member.fixed:
        return ()
    found: list[Mend] = []
    for material in _nearest(member, now, basis):
        if suits(_as_member(material, member)):
            found.append(_mend(member, now, material, basis))
        if len(found) == MOST:
            break
    return tuple(sorted(found, key=lambda one: (one.difference, one.material)))


def _nearest(member: Member, now: Material, basis: Basis) -> Iterator[Material]:
    alike = [
        (dist(lab_of(color_of(one)), member.lab), one.key)
        for one in basis.materials.values()
        if one.role == now.role and one.key != now.key and one.finish and color_of(one) and _bought_alike(one, now)
    ]
    return (basis.materials[key] for _, key in sorted(alike)[:LOOKED_AT])


def _bought_alike(one: Material, other: Material) -> bool:
    if one.buy != other.buy:
        return False
    here, there = coverage_of(one), coverage_of(other)
    return (here is None) == (there is None) and (here is None or there is None or here[1] == there[1])


def _as_member(material: Material, member: Member) -> Member:
    color = color_of(material)
    return Member(
        key=material.key, title=material.title, color=color, lab=lab_of(color), family=material.family, area=member.area
    )


def _mend(member: Member, now: Material, then: Material, basis: Basis) -> Mend:
    old, new = (_spent(member, now, one, basis) for one in (now, then))
    return Mend(
        material=then.key,
        title=then.title,
        color=color_of(then),
        difference=difference(member.lab, lab_of(color_of(then))),
        cents=new - old if new is not None and old is not None else None,
    )


def bought_instead(member: Member, now: Material, then: Material) -> float:
    """How much is bought of one material in place of another: by what one of each covers, each with its own loss."""
    here, there = coverage_of(now), coverage_of(then)
    covered = here[0] / there[0] if here and there else 1.0
    return member.bought * covered * (1 + then.loss) / (1 + now.loss)


def _spent(member: Member, now: Material, then: Material, basis: Basis) -> int | None:
    price = basis.prices.get(then.key)
    amount = bought_instead(member, now, then)
    return cost(amount, price.unit_price) if price is not None and amount else None


def explain_mend(member: Member, key: str, basis: Basis) -> Trace | None:
    """How much more another material costs in the same place, at the book's prices; None where it cannot be told."""
    now = basis.materials[member.key]
    steps = []
    for material in (basis.materials[key], now):
        spent = _spent(member, now, material, basis)
        if spent is None:
            return None
        amount, price = bought_instead(member, now, material), basis.prices[material.key].unit_price
        steps.append(
            Trace(
                label=material.title,
                expression="what is bought × price of one",
                filled=f"{amount:,.1f} {material.buy} × {price}",
                result=spent / 100,
                unit=basis.firm.currency,
                source="price book; by what one covers and by each one's own loss, before whole packs",
            )
        )
    return Trace(
        label="Material, at cost",
        expression="with the other material − as it is",
        filled="",
        result=steps[0].result - steps[1].result,
        unit=basis.firm.currency,
        source="part of the difference above",
        steps=tuple(steps),
    )


def keeps_beside(neighbors: Sequence[Member], limits: Limits) -> Suits:
    """Whether something reads as an edge beside each neighbor, and still belongs beside it."""
    return partial(_keeps, neighbors=tuple(neighbors), limits=limits)


def _keeps(one: Member, *, neighbors: Sequence[Member], limits: Limits) -> bool:
    return all(limits.alike <= difference(one.lab, beside.lab) <= limits.apart for beside in neighbors)


def suits_all(member: Member, beside: Mapping[str, Sequence[Member]], family: str, limits: Limits) -> Suits:
    """What may stand in for a member: it keeps the family of the job, if there is one, and every edge it has."""
    keeps = keeps_beside(beside.get(member.key, ()), limits)
    if family not in {"warm", "neutral"}:
        return keeps
    return lambda one: belongs(one, family, limits) and keeps(one)
