"""What an hour of an owned machine costs, against published worked examples."""

from decimal import Decimal

import pytest

from app.domain.costing.owned_machine import machine_cost, recovery_factor
from app.domain.machine import OwnedMachine


def test_capital_recovery_of_a_printed_calculator():
    # Iowa State University Extension, machinery cost calculator A3-29 (a filled print): bought 160,000, worth 35,391 at
    # the end: capital recovery 21,618, taxes, insurance, housing 977, ownership 22,595 a year. The interest is not
    # printed; 5.5 % over 8 years gives the figure exactly
    worked = machine_cost(
        OwnedMachine(
            purchase_cents=160_000_00, salvage_cents=35_391_00, years=Decimal(8), interest=Decimal("0.055"),
            upkeep=Decimal("0.01"),
        )
    )  # fmt: skip
    assert (round(worked.recovery), round(worked.upkeep), round(worked.owning_a_year)) == (21_618, 977, 22_595)
    assert worked.upkeep == Decimal("976.955")


def test_tractor_of_two_articles():
    # Growing Produce, "How much will that tractor cost", after A3-29: list 80,000, bought 75,000, 105 hp diesel at 0.044
    # gal a horsepower-hour = 4.62 gal at 3.40 = 15.71; lubrication 15 % = 2.36; repairs 25 % of list over 6,000 h = 3.33
    worked = machine_cost(
        OwnedMachine(
            purchase_cents=75_000_00, salvage_cents=27_750_00, years=Decimal(10), hours_a_year=Decimal(400),
            fuel_gallons=Decimal("0.044") * 105, fuel_price=Decimal("3.40"), list_cents=80_000_00,
        )
    )  # fmt: skip
    found = [round(one, 2) for one in (worked.fuel, worked.lubrication, worked.repair)]
    assert found == [Decimal("15.71"), Decimal("2.36"), Decimal("3.33")]


def test_depreciation_without_interest_is_what_it_loses():
    # the same tractor: 75,000 × 0.37 = 27,750 left, 47,250 lost over 10 years
    one = OwnedMachine(
        purchase_cents=75_000_00, salvage_cents=27_750_00, years=Decimal(10), interest=Decimal(0), upkeep=Decimal(0)
    )
    assert machine_cost(one).owning_a_year * 10 == 47_250


def test_ownership_and_repairs_keep_lives_of_their_own():
    # ownership over 10 years of 400 h = 4,000 h, repairs over 6,000 h: neither is the other's
    one = OwnedMachine(purchase_cents=75_000_00, list_cents=80_000_00, years=Decimal(10), hours_a_year=Decimal(400))
    assert machine_cost(one).repair == Decimal(80_000) / 4 / 6000


@pytest.mark.parametrize(("rate", "years", "factor"), [("0.039", 10, "0.122678")])
def test_capital_recovery_factor(rate, years, factor):
    # USDA-NRCS state cost list, Dec 2010: 3.9 %, life 10: installed 14.60, upkeep 5 % = 0.73, a year 2.52
    found = recovery_factor(Decimal(rate), Decimal(years))
    assert round(found, 6) == Decimal(factor)
    assert round(Decimal("14.60") * found + Decimal("0.73"), 2) == Decimal("2.52")
