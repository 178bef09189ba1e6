"""Numbers, money and days as a page shows them: the domain's formats with the firm's system put in."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from app.documents.tongues import tongue
from app.domain import units
from app.domain.money import cents


@dataclass(frozen=True, slots=True)
class Formats:
    """The one formatter of templates (`fmt`)."""

    system: Literal["feet", "metric"]
    currency: str = "USD"
    language: str = "en"  # of units and days; numbers read the same in both

    @property
    def unit(self) -> str:
        """The unit printed beside a length field."""
        return "ft" if self.system == "feet" else "m"

    def length(self, feet: float | None) -> str:
        """A length, or nothing when it is not known."""
        return "" if feet is None else units.format_length(feet, self.system)

    def fine(self, feet: float | None) -> str:
        """A small length, to 1/16 in."""
        return "" if feet is None else units.format_length(feet, self.system, sixteenths=True)

    def area(self, square_feet: float | None) -> str:
        """An area."""
        return "" if square_feet is None else units.format_area(square_feet, self.system)

    def volume(self, cubic_feet: float | None) -> str:
        """A volume, in cubic yards from one on."""
        return "" if cubic_feet is None else units.format_amount(cubic_feet, units.VOLUME, self.system)

    def weight(self, pounds: float | None) -> str:
        """A weight, in tons from one on."""
        return "" if pounds is None else units.format_amount(pounds, units.WEIGHT, self.system)

    def degrees(self, angle: float | None) -> str:
        """An angle to a tenth of a degree."""
        return "" if angle is None else f"{round(angle, 1) % 360:g}"

    def slope(self, rise_over_run: float | None) -> str:
        """A slope."""
        return "" if rise_over_run is None else units.format_slope(rise_over_run, self.system)

    def money(self, cents: int | None) -> str:
        """Money, with cents only where they are not whole."""
        return "" if cents is None else units.format_money(cents, self.currency)

    def exact(self, cents: int) -> str:
        """Money with its cents, whole or not: of a paper whose figures stand below one another."""
        return units.format_money(cents, self.currency, always_cents=True)

    def digits(self, cents: int | None) -> str:
        """Money as it is typed beside its sign: no sign, cents only where they are not whole."""
        return "" if cents is None else units.format_number(Decimal(cents) / 100)

    def price(self, unit_price: Decimal | None) -> str:
        """A unit price, to 1/10,000."""
        return "" if unit_price is None else units.format_price(unit_price, self.currency)

    def to_cent(self, amount: Decimal | float | None) -> str:
        """An amount of whole money, to the cent."""
        return "" if amount is None else units.format_money(cents(amount), self.currency)

    def share(self, share: Decimal | float | None) -> str:
        """A share as it is typed beside its percent sign, exactly."""
        return "" if share is None else f"{(Decimal(str(share)) * 100).normalize():f}"

    def percent(self, share: Decimal | float | None) -> str:
        """A share in percent, to a hundredth, so that a form gives back what was typed."""
        return "" if share is None else units.format_share(share, 2)

    def chance(self, share: float) -> str:
        """A chance in whole percent: `47%`, `under 1%`, `over 99%`."""
        if 0 < share < 0.01:
            return "under 1%"
        return "over 99%" if 0.99 < share < 1 else f"{share:.0%}"

    def short(self, cents: int | None, toward: units.Toward = "nearest") -> str:
        """Money in thousands; the ends of a range go `toward` what lies outside of it."""
        return "" if cents is None else units.format_short(cents, self.currency, toward=toward)

    def quantity(self, amount: float, unit: str) -> str:
        """An amount with its unit."""
        return tongue(self.language).amount(units.format_quantity(amount, unit, self.system))

    def as_bought(self, amount: float, unit: str) -> str:
        """An amount in the very unit it is bought by or done by."""
        return tongue(self.language).amount(units.format_quantity(amount, unit, self.system, as_bought=True))

    def unit_name(self, unit: str) -> str:
        """One of a unit, in words."""
        known = units.TRADE_UNITS.get(unit)
        return known.one if known else unit

    def number(self, number: float) -> str:
        """A bare number."""
        return units.format_number(number)

    def day(self, day: date | str | None) -> str:
        """A day in words."""
        value = date.fromisoformat(day) if isinstance(day, str) and day else day
        return units.format_day(value, language=self.language) if isinstance(value, date) else ""
