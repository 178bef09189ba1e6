"""A machine of the firm's own: what it was bought for, how long and how much it works, what it burns and wears.

Only the values; `costing.owned_machine` works out what an hour costs.
"""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnedMachine:
    """Ownership and operation of one machine. Shares are fractions; its operator is no part of it.

    The shares it begins with are published for farm tractors and heavy machines: interest 7 %, insurance, storage and
    tax 1 % (University of Illinois, farmdoc 2008), oil and grease 15 % of fuel, repairs 25 % of the list price over
    6,000 hours (Iowa State University Extension, A3-29), tire repair 15 % of tire wear (USACE EP 1110-1-8). The firm's
    own books replace them.
    """

    purchase_cents: int = 0
    salvage_cents: int = 0  # what it will sell for at the end
    years: Decimal = Decimal(8)  # kept: the life that ownership is spread over
    hours_a_year: Decimal = Decimal(300)
    interest: Decimal = Decimal("0.07")
    upkeep: Decimal = Decimal("0.01")  # insurance, storage and tax, a year, of its mean value
    fuel_gallons: Decimal = Decimal(0)  # an hour at work
    fuel_price: Decimal = Decimal(0)  # a gallon, whole money
    lubrication: Decimal = Decimal("0.15")  # oil and grease, of fuel
    wear_cents: int = 0  # a set of tires, tracks, teeth
    wear_hours: Decimal = Decimal(0)  # hours a set lasts
    wear_repair: Decimal = Decimal("0.15")  # repair of it, of its wear
    list_cents: int = 0  # the list price new, for repairs; 0: as bought
    repair: Decimal = Decimal("0.25")  # of the list price, over `repair_hours`: a life of its own
    repair_hours: Decimal = Decimal(6000)
