"""What an hour of a machine of the firm's own costs: ownership a year over its hours, and operation by the hour.

Ownership is capital recovery with interest on what it will sell for, and insurance, storage and tax of its mean value
(Iowa State University Extension, A3-29). Fuel is in the hour: a rate that holds it is not paid fuel again.
"""

from dataclasses import dataclass
from decimal import Decimal

from app.domain.errors import BadValue
from app.domain.machine import OwnedMachine

ZERO = Decimal(0)
MOST_YEARS, MOST_HOURS = Decimal(60), Decimal(8784)
RATE_STEP = Decimal("0.0001")


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineCost:
    """A machine worked out, in whole money: a year of owning it, an hour of working with it."""

    machine: OwnedMachine
    factor: Decimal  # of capital recovery
    recovery: Decimal  # a year
    upkeep: Decimal  # a year
    fuel: Decimal  # an hour, and so are the next
    lubrication: Decimal
    wear: Decimal
    repair: Decimal

    @property
    def owning_a_year(self) -> Decimal:
        """What owning it costs a year, whether it works or not."""
        return self.recovery + self.upkeep

    @property
    def owning(self) -> Decimal:
        """The same for an hour at work."""
        return self.owning_a_year / self.machine.hours_a_year

    @property
    def operating(self) -> Decimal:
        """What working with it costs an hour, its operator not included."""
        return self.fuel + self.lubrication + self.wear + self.repair

    @property
    def per_hour(self) -> Decimal:
        """What an hour at work costs, to 1/10,000."""
        return (self.owning + self.operating).quantize(RATE_STEP)


def recovery_factor(interest: Decimal, years: Decimal) -> Decimal:
    """The share of a sum that is paid back each year over `years`, with interest.

    Source: USDA-NRCS cost list of 2010, 3.9 % over 10 years.

    >>> round(recovery_factor(Decimal("0.039"), Decimal(10)), 6)
    Decimal('0.122678')
    """
    if not interest:
        return 1 / years
    return interest / (1 - (1 + interest) ** -years)


def check_machine(one: OwnedMachine) -> None:
    """Refuse what cannot be worked out. Raises: BadValue with the field it is about."""
    for holds, field, sentence in (
        (one.purchase_cents > 0, "purchase_cents", "Type what the machine was bought for."),
        (one.salvage_cents <= one.purchase_cents, "salvage_cents", "It sells for more than it was bought for."),
        (ZERO < one.years <= MOST_YEARS, "years", "It is kept for more than 0 and up to 60 years."),
        (ZERO < one.hours_a_year <= MOST_HOURS, "hours_a_year", "It works more than 0 and up to 8,784 hours a year."),
        (one.interest < 1, "interest", "Interest lies below 100%."),
        (not one.wear_cents or one.wear_hours > 0, "wear_hours", "Type how many hours a set lasts."),
        (not one.repair or one.repair_hours > 0, "repair_hours", "Type over how many hours the repairs are spread."),
    ):
        if not holds:
            raise BadValue(sentence, field=field)


def machine_cost(one: OwnedMachine) -> MachineCost:
    """Work out a machine. Raises: BadValue for what `check_machine` refuses.

    >>> tractor = OwnedMachine(purchase_cents=160_000_00, salvage_cents=35_391_00, interest=Decimal("0.055"))
    >>> worked = machine_cost(tractor)
    >>> round(worked.recovery), round(worked.upkeep), round(worked.owning_a_year)
    (21618, 977, 22595)
    """
    check_machine(one)
    bought, sold = Decimal(one.purchase_cents) / 100, Decimal(one.salvage_cents) / 100
    factor = recovery_factor(one.interest, one.years)
    fuel = one.fuel_gallons * one.fuel_price
    wear = Decimal(one.wear_cents) / 100 / one.wear_hours * (1 + one.wear_repair) if one.wear_cents else ZERO
    listed = Decimal(one.list_cents or one.purchase_cents) / 100
    return MachineCost(
        machine=one,
        factor=factor,
        recovery=(bought - sold) * factor + sold * one.interest,
        upkeep=one.upkeep * (bought + sold) / 2,
        fuel=fuel,
        lubrication=fuel * one.lubrication,
        wear=wear,
        repair=one.repair * listed / one.repair_hours if one.repair else ZERO,
    )


def unit_rate(one: OwnedMachine, buy: str, day_hours: float) -> Decimal:
    """The rate of the unit a machine is priced by, an hour or a day of `day_hours`, to 1/10,000."""
    hours = Decimal(str(day_hours)) if buy == "day" else Decimal(1)
    return (machine_cost(one).per_hour * hours).quantize(RATE_STEP)
