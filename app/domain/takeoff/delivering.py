"""Orders of one supplier for one phase: loads that materials share, and what is charged where an order is worth little.

The charge is never more than what lacks to the least order: for that money more would be ordered. So an order that
grows never costs less.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import fsum

from app.domain.basis import Basis, CostClass, Price, Supplier
from app.domain.findings import Finding, Severity
from app.domain.keeping import BoundedCache
from app.domain.money import share
from app.domain.takeoff.purchase import Ordered, Purchase, Truck
from app.domain.takeoff.whole import whole_up

NAMED = 4  # materials named in a sentence


@dataclass(frozen=True, slots=True)
class _Kept:
    """Purchases of one order and what they were worked out from, held so that their identity stays their own."""

    before: Sequence[Purchase]
    supplier: Supplier
    prices: Sequence[Price]
    after: tuple[Purchase, ...]


_ORDERS: BoundedCache[tuple[int, ...], _Kept] = BoundedCache(1024)


def delivered(bought: Sequence[Purchase], basis: Basis) -> list[Purchase]:
    """Purchases with the charges and loads of the order each comes with; in the order they came."""
    groups: dict[tuple[str, str], list[int]] = {}
    for place, one in enumerate(bought):
        supplier = basis.suppliers.get(one.supplier)
        if one.priced and supplier and (supplier.shares_loads or supplier.order_fee_cents):
            groups.setdefault((one.phase, one.supplier), []).append(place)
    found = list(bought)
    for (_, key), places in groups.items():
        members = [bought[place] for place in places]
        for place, one in zip(places, _kept_order(members, basis.suppliers[key], basis), strict=True):
            found[place] = one
    return found


def _kept_order(members: Sequence[Purchase], supplier: Supplier, basis: Basis) -> tuple[Purchase, ...]:
    """The purchases of one order, kept while they, their prices and the supplier are the same."""
    prices = [basis.prices[one.material] for one in members]
    ids = tuple(map(id, members))
    kept = _ORDERS.get(ids)
    same = kept and kept.supplier is supplier and all(a is b for a, b in zip(kept.prices, prices, strict=True))
    if kept is None or not same:
        kept = _Kept(members, supplier, prices, _order(members, supplier, basis))
        _ORDERS.keep(ids, kept)
    return kept.after


def _order(members: Sequence[Purchase], supplier: Supplier, basis: Basis) -> tuple[Purchase, ...]:
    worth = [one.cents + one.small_cents for one in members]
    lacks = max(0, supplier.order_least_cents - sum(worth))
    fee = min(supplier.order_fee_cents, lacks)
    fees = share(fee, worth)
    trucks = _trucks(members, basis) if supplier.shares_loads else {}
    made = []
    for one, charged in zip(members, fees, strict=True):
        truck, delivery = trucks.get(one.material, (None, one.delivery_cents))
        ordered = Ordered(
            worth_cents=sum(worth),
            least_cents=supplier.order_least_cents,
            fee_cents=supplier.order_fee_cents,
            fee_charged_cents=fee,
            truck=truck,
        )
        new = replace(one, fee_cents=charged, delivery_cents=delivery, order=ordered)
        made.append(replace(new, parts=share(new.total_cents, one.amounts)))
    return tuple(made)


def _trucks(members: Sequence[Purchase], basis: Basis) -> Mapping[str, tuple[Truck, int]]:
    """By material, the loads it shares and its part of their cost: goods of one kind of load, two and more of them."""
    kinds: dict[str, list[Purchase]] = {}
    for one in members:
        load = basis.materials[one.material].load
        if one.cost_class is CostClass.MATERIAL and one.delivery_cents and (one.loads or not load):
            kinds.setdefault(load, []).append(one)
    found: dict[str, tuple[Truck, int]] = {}
    for load, held in kinds.items():
        if len(held) > 1:
            truck = _truck(load, held, basis.prices)
            costs = share(truck.cents, truck.parts)
            found |= {one.material: (truck, part) for one, part in zip(held, costs, strict=True)}
    return found


def _truck(load: str, held: Sequence[Purchase], prices: Mapping[str, Price]) -> Truck:
    parts = tuple(one.on_trucks.part if one.on_trucks else 0.0 for one in held)
    return Truck(
        load=load,
        materials=tuple(one.material for one in held),
        parts=parts,
        loads=max(1, whole_up(fsum(parts))),
        each_cents=max(prices[one.material].delivery_cents for one in held),
    )


def delivery_not_priced(bought: Sequence[Purchase], basis: Basis) -> Iterator[Finding]:
    """One point for what comes by the load and has no price of delivery: free, forgotten or picked up is not known."""
    keys = [
        one.material
        for one in bought
        if one.priced and one.cost_class is CostClass.MATERIAL and one.loads and not one.delivery_cents
    ]
    named = sorted({basis.materials[key].title for key in keys})
    if named:
        more = f" and {len(named) - NAMED} more" if len(named) > NAMED else ""
        yield Finding(
            rule="delivery-not-priced",
            severity=Severity.NOTE,
            where="prices",
            what=f"What comes by the load has no price of delivery: {', '.join(named[:NAMED])}{more}.",
            measured=", ".join(named),
            remedy="Type what a load costs in the price book, or settle it here where it comes free or is picked up.",
        )
