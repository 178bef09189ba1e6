"""What of the price book a price list is held against: names, buying units, prices, suppliers."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from app.domain.basis import Basis, Price

MOVED = "price-moved"  # rules of the basis
AGE = "price-age"
MOST_MOVE = 0.3  # where the basis holds no such rule


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A material of the book: its name and the unit it is bought by."""

    title: str
    buy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The price book as a list is held against it. `most_move` is the share a price may move by unasked."""

    materials: Mapping[str, Listed] = field(default_factory=dict)
    prices: Mapping[str, Price] = field(default_factory=dict)
    suppliers: Mapping[str, str] = field(default_factory=dict)
    currency: str = "USD"
    most_move: float = MOST_MOVE
    today: date = date.min

    def price(self, material: str) -> Price:
        """The price of a material, or an empty one."""
        return self.prices.get(material) or Price(material=material, unit_price=Decimal(0))


def book_of(basis: Basis, today: date) -> Book:
    """The price book of a basis."""
    rule = basis.rules.get(MOVED)
    return Book(
        materials={key: Listed(title=one.title, buy=one.buy) for key, one in basis.materials.items()},
        prices=basis.prices,
        suppliers={key: one.title for key, one in basis.suppliers.items()},
        currency=basis.firm.currency,
        most_move=rule.value if rule else MOST_MOVE,
        today=today,
    )
