"""Until when a client who signed at home may cancel, by the federal rule.

States may give longer or other days; the firm's lawyer says which. Not legal advice.
"""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta

BUSINESS_DAYS = 3
SUNDAY = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Cancelling:
    """The days in which a client may cancel: signed on the first, until midnight of the last."""

    signed: date
    last: date

    def runs(self, today: date) -> bool:
        """Whether the client may still cancel on that day."""
        return today <= self.last


def may_cancel(signed: date, holidays: AbstractSet[date], *, days: int = BUSINESS_DAYS) -> Cancelling:
    """Midnight of the third business day after signing. `holidays` are the federal ones, as they are kept.

    A business day is any day but a Sunday or a federal holiday: Saturdays count. Raises ValueError below one day.
    Source: 16 CFR 429.0(f) and 429.1(a).

    >>> may_cancel(date(2027, 3, 5), frozenset()).last  # a Friday: Saturday, Monday, Tuesday
    datetime.date(2027, 3, 9)
    """
    if days < 1:
        raise ValueError(days)
    day, left = signed, days
    while left:
        day += timedelta(days=1)
        left -= day.weekday() != SUNDAY and day not in holidays
    return Cancelling(signed=signed, last=day)
