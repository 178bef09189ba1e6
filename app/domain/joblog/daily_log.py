"""The log by day: hours as they are typed and shown, each day with who worked on what."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from itertools import groupby

from app.domain.errors import BadValue
from app.domain.job import LoggedHours

QUARTERS = 4  # of an hour
LONGEST_DAY = 24 * QUARTERS


def quarters_of(text: str) -> int:
    """Hours as typed, in quarters of an hour: `2.75`, `2 3/4`, `2:45`, `1/2`.

    Raises: BadValue for what is no number, is not above zero, or is not in quarters.

    >>> quarters_of("2 3/4"), quarters_of("0.5"), quarters_of("2:45")
    (11, 2, 11)
    """
    hours = _hours(text.replace(",", ".").removesuffix("h").strip(), text)
    quarters = hours * QUARTERS
    if quarters != quarters.to_integral_value():
        raise BadValue(
            f"“{text}” was read as {hours.normalize():f} hours. Hours are kept in quarters: 0.25, 0.5, 0.75."
        )
    if not 0 < quarters <= LONGEST_DAY:
        raise BadValue(
            f"“{text}” was read as {hours.normalize():f} hours. Type between a quarter of an hour and 24 hours."
        )
    return int(quarters)


def _hours(plain: str, typed: str) -> Decimal:
    try:
        if ":" in plain:
            hours, minutes = plain.split(":")
            return Decimal(hours or 0) + Decimal(minutes) / 60
        whole, _, part = plain.rpartition(" ") if "/" in plain else (plain, "", "")
        above, _, below = part.partition("/")
        found = (Decimal(whole) if whole else Decimal(0)) + (Decimal(above) / Decimal(below) if part else Decimal(0))
    except (InvalidOperation, ArithmeticError, ValueError):
        found = Decimal("NaN")
    if not found.is_finite():
        raise BadValue(f"“{typed}” is no number of hours. Type it as 2.75, 2 3/4 or 2:45.")
    return found


def hours_text(quarters: int) -> str:
    """Quarters of an hour as hours.

    >>> hours_text(11), hours_text(32), hours_text(2)
    ('2.75', '8', '0.5')
    """
    return f"{quarters / QUARTERS:g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class LogDay:
    """One day of the log: who worked on what."""

    day: date
    hours: tuple[LoggedHours, ...]

    @property
    def quarters(self) -> int:
        """Person-hours of the day, in quarters of an hour."""
        return sum(one.quarters for one in self.hours)

    @property
    def worked(self) -> float:
        """Person-hours of the day."""
        return self.quarters / QUARTERS

    @property
    def people(self) -> tuple[str, ...]:
        """Who worked, each once."""
        return tuple(dict.fromkeys(one.person for one in self.hours))


def log_days(hours: Sequence[LoggedHours]) -> tuple[LogDay, ...]:
    """The days on which something is logged, the newest first; within a day by person."""
    ordered = sorted(
        hours, key=lambda one: (one.day.toordinal() * -1, one.person.casefold(), str(one.said_at), str(one.id))
    )
    return tuple(LogDay(day=day, hours=tuple(found)) for day, found in groupby(ordered, key=lambda one: one.day))


def refuse_longer_than_a_day(known: Sequence[LoggedHours], new: Sequence[LoggedHours]) -> None:
    """Refuse hours that with those logged already make more than a day has. Raises: BadValue."""
    for one in new:
        there = sum(it.quarters for it in (*known, *new) if (it.day, it.person) == (one.day, one.person))
        if there > LONGEST_DAY:
            raise BadValue(
                f"{one.person} would have {hours_text(there)} hours on {one.day:%B} {one.day.day}; a day has 24. "
                "Look at what is logged already.",
                field="hours",
            )
