"""What is taken for what is wanted of one material: whole packs or periods of hire, small orders, pallets."""

from dataclasses import dataclass

from app.domain.basis import Material, Price
from app.domain.money import cents, cost
from app.domain.takeoff.hiring import Hire, Terms, cheapest_hire, machine_hours, rates_of
from app.domain.takeoff.whole import whole_up


@dataclass(frozen=True, slots=True)
class Pallets:
    """Pallets that are paid for and go back: how many come, how many of them do not come back, what one is [cents]."""

    come: int
    lost: int
    deposit_cents: int

    @property
    def paid_cents(self) -> int:
        """What is paid out for them."""
        return self.come * self.deposit_cents

    @property
    def back_cents(self) -> int:
        """What comes back with them."""
        return (self.come - self.lost) * self.deposit_cents

    @property
    def kept_cents(self) -> int:
        """What they cost in the end: those that do not come back."""
        return self.lost * self.deposit_cents


@dataclass(frozen=True, slots=True)
class Got:
    """What is taken: bought units, packs, what they cost [cents], the fuel burnt, the charge for a small order."""

    bought: float
    packs: int
    cents: int
    hire: Hire | None = None
    fuel_cents: int = 0
    small_cents: int = 0
    filled_up: bool = False  # more is ordered than is wanted, because a small order costs more
    pallets: Pallets | None = None

    @property
    def total_cents(self) -> int:
        """What it costs without delivery and tipping."""
        return self.cents + self.fuel_cents + self.small_cents + (self.pallets.kept_cents if self.pallets else 0)


def got_for(wanted: float, material: Material, price: Price | None, terms: Terms) -> Got:
    """Whole packs, or the cheapest hire where it is let by the period; with the fuel it burns where that is ours.

    Raises: BadValue for more than can be hired.
    """
    if price is None:
        packs, bought = packed(wanted, None)
        return Got(bought, packs, 0)
    hours = machine_hours(wanted, material, terms)
    fuel = cents(hours * price.fuel_cents / 100) if price.fuel == "ours" else 0
    rates = rates_of(price, material)
    if not rates:
        return _in_packs(wanted, price, fuel)
    hire = cheapest_hire(hours, rates, terms, least=machine_hours(price.least, material, terms))
    bought = hire.covers / machine_hours(1.0, material, terms)
    return Got(bought, sum(count for _, count, _ in hire.periods), hire.cents, hire, fuel)


def _in_packs(wanted: float, price: Price, fuel: int) -> Got:
    """Whole packs; filled up to what is no small order any more where that costs less than the charge for one.

    So more is never cheaper: what a larger order would cost is the most that a smaller one costs.
    """
    packs, bought = packed(wanted, price)
    paid, small, filled = cost(bought, price.unit_price), 0, False
    if price.small_cents and bought < price.small_below:
        more, enough = packed(max(wanted, price.small_below), price)
        filled = cost(enough, price.unit_price) < paid + price.small_cents
        small = 0 if filled else price.small_cents
        if filled:
            packs, bought, paid = more, enough, cost(enough, price.unit_price)
    return Got(bought, packs, paid, None, fuel, small, filled, pallets_of(bought, packs, price))


def pallets_of(bought: float, packs: int, price: Price) -> Pallets | None:
    """The pallets of so many bought units; None where none is paid for.

    >>> from decimal import Decimal
    >>> one = Price(material="m", unit_price=Decimal(1), pallet=480, deposit_cents=22_00, deposit_lost=0.1)
    >>> pallets_of(5000, 5000, one)
    Pallets(come=11, lost=2, deposit_cents=2200)
    """
    if not price.deposit_cents:
        return None
    come = whole_up(bought / price.pallet) if price.pallet > 0 else packs
    return Pallets(come, min(come, whole_up(come * max(0.0, price.deposit_lost))), price.deposit_cents)


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
