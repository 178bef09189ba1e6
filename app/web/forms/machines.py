"""The form of a machine of the firm's own."""

from decimal import Decimal

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.web.forms.fields import Field, money, share

MOST = Decimal(1_000_000)


def _amount(name: str, label: str) -> Field:
    """A plain amount of zero or more."""

    def reader(typed: str, _firm: Firm) -> Decimal:
        value = units.parse_price(typed)
        if not 0 <= value <= MOST:
            raise BadValue(f"{label}: {typed} was typed; it must lie between 0 and 1,000,000.")
        return value

    return Field(name=name, label=label, reader=reader, empty=Decimal(0))


MACHINE = (
    money("purchase_cents", "Bought for", empty=0),
    money("salvage_cents", "Sells for at the end", empty=0),
    _amount("years", "Years it is kept"),
    _amount("hours_a_year", "Hours a year"),
    share("interest", "Interest"),
    share("upkeep", "Insurance, storage and tax"),
    _amount("fuel_gallons", "Fuel, gallons an hour"),
    _amount("fuel_price", "Price of a gallon"),
    share("lubrication", "Oil and grease"),
    money("wear_cents", "A set of tires or tracks", empty=0),
    _amount("wear_hours", "Hours a set lasts"),
    share("wear_repair", "Repair of it"),
    money("list_cents", "List price new", empty=0),
    share("repair", "Repairs"),
    _amount("repair_hours", "over so many hours"),
)
