"""The form of a year of pay: hours, items on top of pay, paid hours that no job pays for."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any, TypeVar

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.domain.pay import BurdenItem, PayYear, UnbilledHours
from app.web.forms.fields import Parsed, Texts

T = TypeVar("T")
MOST_ITEMS = 24
MOST_UNBILLED = 16
LAST_YEAR = 2100


def read_year(form: FormData, _firm: Firm) -> Parsed:
    """A year of pay as `year`; what was not understood has its sentence beside its input."""
    reading = _Reading(form)
    items = [reading.item(n) for n in range(MOST_ITEMS)]
    unbilled = [reading.unbilled(n) for n in range(MOST_UNBILLED)]
    year = PayYear(
        paid_hours=reading.take("paid_hours", units.parse_price, Decimal(0)),
        overtime_hours=reading.take("overtime_hours", units.parse_price, Decimal(0)),
        overtime_extra=reading.take("overtime_extra", units.parse_share, Decimal(0)),
        items=tuple(one for one in items if one),
        unbilled=tuple(one for one in unbilled if one),
        paid_to_date=reading.take("paid_to_date", units.parse_price, Decimal(0)),
    )
    values: dict[str, Any] = {} if reading.errors else {"year": year}
    return Parsed(values=values, errors=reading.errors, typed=reading.typed)


class _Reading:
    """One reading of the form."""

    def __init__(self, form: FormData) -> None:
        self.form = form
        self.errors, self.typed = Texts(), Texts()

    def text(self, name: str) -> str:
        found = self.form.get(name, "")
        typed = found.replace("\x00", "").strip()[:300] if isinstance(found, str) else ""
        self.typed[name] = typed
        return typed

    def take(self, name: str, reader: Callable[[str], T], empty: T) -> T:
        typed = self.text(name)
        try:
            return reader(typed) if typed else empty
        except OutlayError as wrong:
            self.errors[name] = wrong.sentence
        except (ValueError, ArithmeticError):
            self.errors[name] = "This cannot be read as typed. Look at it again."
        return empty

    def item(self, number: int) -> BurdenItem | None:
        """One item; a row without a name is none, and so is one that costs nothing and has no share."""
        at = f"items.{number}"
        title = self.text(f"{at}.title")[:60]
        made = BurdenItem(
            title=title,
            share=self.take(f"{at}.share", units.parse_share, Decimal(0)),
            base="wage" if self.text(f"{at}.base") == "wage" else "pay",
            capped_at=self.take(f"{at}.capped_at", units.parse_price, Decimal(0)),
            cap_year=self.take(f"{at}.cap_year", _calendar_year, 0),
            a_year=self.take(f"{at}.a_year", units.parse_price, Decimal(0)),
            source=self.text(f"{at}.source"),
        )
        if not title and (made.share or made.a_year):
            self.errors[f"{at}.title"] = "Say what this is, or empty the row."
        return made if title else None

    def unbilled(self, number: int) -> UnbilledHours | None:
        at = f"unbilled.{number}"
        title = self.text(f"{at}.title")[:60]
        hours = self.take(f"{at}.hours", units.parse_price, Decimal(0))
        if not title and hours:
            self.errors[f"{at}.title"] = "Say what these hours are, or empty the row."
        return UnbilledHours(title=title, hours=hours, in_day=bool(self.text(f"{at}.in_day"))) if title else None


def _calendar_year(typed: str) -> int:
    year = units.parse_count(typed)
    if not 1900 <= year <= LAST_YEAR:
        raise BadValue(f"{typed} was typed as a year; write it in four figures.")
    return year
