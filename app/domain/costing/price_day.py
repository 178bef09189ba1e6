"""Whether a price is still good: its supplier's day has passed, or nobody asked for too long. It wants a today."""

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from datetime import date

from app.domain.basis import Basis, Price
from app.domain.takeoff.purchases import Purchase

AGE = "price-age"  # rule: days that a price is good for which nobody holds
MOST_DAYS = 90.0  # where the basis holds no such rule: common practice, no source


def most_days_of(basis: Basis) -> float:
    """How many days a price is good for that nobody holds, by the firm's rule."""
    rule = basis.rules.get(AGE)
    return rule.value if rule else MOST_DAYS


def is_stale(price: Price, today: date, most_days: float) -> bool:
    """Whether a price is no longer good: its supplier held it until a day that has passed, or it is too old.

    >>> from decimal import Decimal
    >>> asked = Price(material="sand", unit_price=Decimal(40), priced_on=date(2027, 1, 4))
    >>> is_stale(asked, date(2027, 4, 4), 90), is_stale(asked, date(2027, 4, 5), 90)
    (False, True)
    """
    if price.valid_until:
        return price.valid_until < today
    return price.priced_on is not None and (today - price.priced_on).days > most_days


def stale_of(bought: Iterable[Purchase], basis: Basis, today: date | None) -> AbstractSet[str]:
    """The materials bought whose price is no longer good; none where there is no today to ask by."""
    if today is None:
        return frozenset()
    most_days = most_days_of(basis)
    used = {one.material for one in bought} & basis.prices.keys()
    return {key for key in used if is_stale(basis.prices[key], today, most_days)}
