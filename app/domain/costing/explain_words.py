"""Words of explanations: money without its currency, the unit of an amount."""

from app.domain.takeoff.trace import number_text
from app.domain.units import TRADE_UNITS


def whole_money(cents: float) -> str:
    """Cents as whole money, without the currency."""
    return number_text(cents / 100)


def unit_text(key: str, amount: float) -> str:
    """The words of a unit for an amount of it."""
    unit = TRADE_UNITS.get(key)
    return (unit.one if amount == 1 else unit.many) if unit else key
