"""Where the hour of a machine of the firm's own comes from, figure by figure."""

from decimal import Decimal

from app.domain.costing.explain_words import whole_money
from app.domain.costing.owned_machine import MachineCost, machine_cost
from app.domain.machine import OwnedMachine
from app.domain.takeoff.trace import Trace, number_text

METHOD = "Iowa State University Extension, A3-29, estimating farm machinery costs"
TIRES = "USACE EP 1110-1-8: tire repair as a share of tire wear"
WORKSHEET = "the machine's worksheet"
Part = tuple[str, str]  # in words, and with the numbers put in
FIGURES = ("hour", "owning", "recovery", "upkeep", "operating", "fuel", "lubrication", "wear", "repair")


def explain_machine(one: OwnedMachine, currency: str, figure: str = "hour") -> Trace | None:
    """One figure of a machine's worksheet; None for one that is not there."""
    told = _Telling(machine_cost(one), currency)
    return told.say(figure) if figure in FIGURES else None


class _Telling:
    def __init__(self, worked: MachineCost, currency: str) -> None:
        self.worked = worked
        self.one = worked.machine
        self.currency = currency

    def say(self, figure: str) -> Trace:
        made: Trace = getattr(self, figure)()
        return made

    def _trace(
        self,
        label: str,
        told: tuple[str, str],
        result: Decimal,
        *steps: Trace,
        source: str = WORKSHEET,
        per: str = "hour",
    ) -> Trace:
        return Trace(
            label=label,
            expression=told[0],
            filled=told[1],
            result=float(result),
            unit=f"{self.currency}/{per}",
            source=source,
            steps=steps,
        )

    def hour(self) -> Trace:
        """An hour at work."""
        worked = self.worked
        told = ("ownership + operation, without the operator", f"{_text(worked.owning)} + {_text(worked.operating)}")
        return self._trace("An hour of our own machine", told, worked.per_hour, self.owning(), self.operating())

    def owning(self) -> Trace:
        """Ownership, an hour."""
        worked = self.worked
        filled = f"({_text(worked.recovery)} + {_text(worked.upkeep)}) / {_text(self.one.hours_a_year)}"
        told = ("(capital recovery + insurance, storage and tax) / hours a year", filled)
        return self._trace("Ownership", told, worked.owning, self.recovery(), self.upkeep())

    def recovery(self) -> Trace:
        """Capital recovery, a year."""
        one, bought, sold = self.one, whole_money(self.one.purchase_cents), whole_money(self.one.salvage_cents)
        share = (
            f"{one.interest:f} / (1 − (1 + {one.interest:f})^−{one.years:f})" if one.interest else f"1 / {one.years:f}"
        )
        filled = f"({bought} − {sold}) × {round(self.worked.factor, 6):f} + {sold} × {one.interest:f}"
        told = (f"(bought − sold) × {share} + sold × interest", filled)
        return self._trace("Capital recovery", told, self.worked.recovery, source=METHOD, per="year")

    def upkeep(self) -> Trace:
        """Insurance, storage and tax, a year."""
        one = self.one
        filled = f"{one.upkeep:f} × ({whole_money(one.purchase_cents)} + {whole_money(one.salvage_cents)}) / 2"
        told = ("share × mean of bought and sold", filled)
        return self._trace("Insurance, storage and tax", told, self.worked.upkeep, source=METHOD, per="year")

    def operating(self) -> Trace:
        """Operation, an hour."""
        worked = self.worked
        parts = (worked.fuel, worked.lubrication, worked.wear, worked.repair)
        told = ("fuel + oil and grease + wear + repair", " + ".join(_text(part) for part in parts))
        steps = (self.fuel(), self.lubrication(), self.wear(), self.repair())
        return self._trace("Operation", told, worked.operating, *steps)

    def fuel(self) -> Trace:
        """Fuel, an hour."""
        one = self.one
        told = ("gallons an hour × price of a gallon", f"{one.fuel_gallons:f} × {one.fuel_price:f}")
        return self._trace("Fuel", told, self.worked.fuel)

    def lubrication(self) -> Trace:
        """Oil and grease, an hour."""
        told = ("fuel × share", f"{_text(self.worked.fuel)} × {self.one.lubrication:f}")
        return self._trace("Oil and grease", told, self.worked.lubrication, source=METHOD)

    def wear(self) -> Trace:
        """Tires or tracks, an hour."""
        one = self.one
        if not one.wear_cents:
            return self._trace("Tires, tracks, teeth", ("none typed", ""), self.worked.wear)
        filled = f"{whole_money(one.wear_cents)} / {_text(one.wear_hours)} × (1 + {one.wear_repair:f})"
        told = ("a set / hours it lasts × (1 + repair of it)", filled)
        return self._trace("Tires, tracks, teeth", told, self.worked.wear, source=TIRES)

    def repair(self) -> Trace:
        """Repairs, an hour."""
        one = self.one
        listed = whole_money(one.list_cents or one.purchase_cents)
        told = ("list price × share / hours", f"{listed} × {one.repair:f} / {_text(one.repair_hours)}")
        return self._trace("Repairs", told, self.worked.repair, source=METHOD)


def _text(number: Decimal) -> str:
    return number_text(float(round(number, 4)))
