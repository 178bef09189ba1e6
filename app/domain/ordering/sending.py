"""What an order says the moment it is sent: amounts in whole packs, the price of that day, loads and charges."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.domain.basis import Basis, Price
from app.domain.job import SentLine
from app.domain.money import cents, cost
from app.domain.ordering.needed import NeededLine, NeededList
from app.domain.ordering.standing import HAIR
from app.domain.takeoff.hiring import hire_words
from app.domain.takeoff.packs import pallets_of
from app.domain.takeoff.purchase import Purchase
from app.domain.takeoff.whole import whole_up


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What an order is priced by: purchases by material and phase, the signed prices and today's."""

    bought: Mapping[tuple[str, str], Purchase]
    basis: Basis
    today: Basis

    def price(self, material: str) -> Price | None:
        """Today's price where the same supplier sells it in the same pack, else the one that was signed."""
        signed, now = self.basis.prices.get(material), self.today.prices.get(material)
        if now is None or signed is None:
            return now or signed
        same = (now.supplier, now.pack, now.pack_name) == (signed.supplier, signed.pack, signed.pack_name)
        return now if same else signed


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted:
    """An order as it would be sent now. `unpriced` are titles of what has no price."""

    lines: tuple[SentLine, ...]
    delivery_cents: int
    charges_cents: int
    held_until: date | None  # the first day on which a price of it runs out
    deposit_cents: int  # for what is made or brought in for us
    unpriced: tuple[str, ...]

    @property
    def goods_cents(self) -> int:
        """The goods alone."""
        return sum(one.cents for one in self.lines)


def drafted(one: NeededList, materials: Sequence[str] | None, terms: Terms) -> Drafted:
    """The order of what is still to be ordered of a list; of some of its materials only, where they are named."""
    chosen = [line for line in one.to_order if materials is None or line.line.material in materials]
    whole = len(chosen) == len(one.lines) and all(abs(line.more - line.line.bought) <= HAIR for line in chosen)
    lines = tuple(_sent(line, one.of.phase_id, terms, shared=whole) for line in chosen)
    prices = [price for line in chosen if (price := terms.price(line.line.material))]
    held = [price.valid_until for price in prices if price.valid_until]
    special = {price.material: price.special_deposit for price in prices if price.special_order}
    small = sum(_small(price, line.more) for line in chosen if (price := terms.price(line.line.material)))
    goods = sum(line.cents for line in lines)
    return Drafted(
        lines=lines,
        delivery_cents=_delivery(chosen, one, terms, whole=whole),
        charges_cents=small + _fee(one, goods + small, terms) + _tipping(chosen, one, terms),
        held_until=min(held) if held else None,
        deposit_cents=sum(cents(special[line.material] * line.cents / 100) for line in lines if line.special),
        unpriced=tuple(line.line.title for line in chosen if not terms.price(line.line.material)),
    )


def _sent(one: NeededLine, phase: str, terms: Terms, *, shared: bool) -> SentLine:
    line, price = one.line, terms.price(one.line.material)
    amount = one.more
    bought = terms.bought.get((line.material, phase))
    hire = line.hire if abs(amount - line.bought) <= HAIR else None
    pallets = pallets_of(amount, one.more_packs, price) if price else None
    unit_price = price.unit_price if price and not line.hire else Decimal(0)
    hired = _hired(bought, amount) if bought and line.hire else 0
    return SentLine(
        material=line.material,
        title=line.title,
        unit=line.unit,
        amount=amount,
        packs=0 if line.hire else one.more_packs,
        pack=amount / one.more_packs if one.more_packs else 1.0,
        pack_name=hire_words(hire) if hire else line.pack_name,
        loads=line.truck.loads if shared and line.truck else _loads(one),
        together=line.together if shared else (),
        unit_price=unit_price,
        cents=hired if line.hire else cost(amount, unit_price),
        one_batch=line.one_batch,
        special=bool(price and price.special_order),
        pallets=pallets.come if pallets else 0,
        pallet_cents=pallets.deposit_cents if pallets else 0,
        letters=line.zones,
    )


def _hired(bought: Purchase, amount: float) -> int:
    """What a hire costs: the estimate's own, or in proportion for a part of it."""
    return bought.cents if abs(amount - bought.bought) <= HAIR else cents(bought.cents * amount / bought.bought / 100)


def _loads(one: NeededLine) -> int:
    """Its loads; of a part of what is bought, as many as that part fills."""
    line = one.line
    return whole_up(line.loads * one.more / line.bought) if line.bought else line.loads


def _delivery(chosen: Sequence[NeededLine], one: NeededList, terms: Terms, *, whole: bool) -> int:
    """What bringing costs: the estimate's own where all is ordered, else load by load."""
    held = [terms.bought.get((line.line.material, one.of.phase_id)) for line in chosen]
    if whole and all(held):
        return sum(purchase.delivery_cents for purchase in held if purchase)
    found = 0
    for line in chosen:
        price = terms.price(line.line.material)
        found += (max(1, _loads(line)) * price.delivery_cents + price.pickup_cents) if price else 0
    return found


def _small(price: Price, amount: float) -> int:
    return price.small_cents if amount < price.small_below else 0


def _fee(one: NeededList, worth: int, terms: Terms) -> int:
    """What the supplier charges for an order worth little: never more than what lacks to the least."""
    supplier = terms.today.suppliers.get(one.of.supplier) or terms.basis.suppliers.get(one.of.supplier)
    lacks = supplier.order_least_cents - worth if supplier and worth else 0
    return min(supplier.order_fee_cents, lacks) if supplier and lacks > 0 else 0


def _tipping(chosen: Sequence[NeededLine], one: NeededList, terms: Terms) -> int:
    """What the place that takes it charges, in the part that is ordered."""
    found = 0
    for line in chosen:
        bought = terms.bought.get((line.line.material, one.of.phase_id))
        if bought and bought.tip_cents and line.line.bought:
            found += cents(bought.tip_cents * line.more / line.line.bought / 100)
    return found


def at_price(line: SentLine, amount: float, unit_price: Decimal | None = None) -> int:
    """What an amount of a line costs as it was sent [cents]: all of it exactly what was sent, a hire in proportion.

    >>> one = SentLine(material="m", title="", unit="each", amount=3.0, unit_price=Decimal("0.3333"), cents=100)
    >>> at_price(one, 3.0), at_price(one, 1.0), at_price(one, 3.0, Decimal("0.5"))
    (100, 33, 150)
    """
    if unit_price is not None:
        return cost(amount, unit_price)
    if abs(amount - line.amount) <= HAIR:
        return line.cents
    if line.unit_price:
        return cost(amount, line.unit_price)
    return cents(line.cents * amount / line.amount / 100) if line.amount else 0
