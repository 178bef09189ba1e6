"""Until when a client who signed at home may cancel, by the federal rule.

States may give longer or other days; the firm's lawyer says which. Not legal advice.
"""

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

BUSINESS_DAYS = 3
SUNDAY = 6


class SignedAt(StrEnum):
    """Where somebody signed. What was not asked counts as the client's home: that is the safe side."""

    HOME = "home"
    OFFICE = "office"
    ELSEWHERE = "elsewhere"
    UNSAID = ""


PLACE_WORDS = {
    SignedAt.HOME: "at the client's home",
    SignedAt.OFFICE: "at the firm's own place of business",
    SignedAt.ELSEWHERE: "elsewhere",
    SignedAt.UNSAID: "",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cancelling:
    """The days in which a client may cancel: signed on the first, until midnight of the last."""

    signed: date
    last: date

    @property
    def free_on(self) -> date:
        """The first day on which nobody can cancel any more."""
        return self.last + timedelta(days=1)

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


def cancels_until(
    signed: Sequence[tuple[date, SignedAt]], holidays: AbstractSet[date], *, days: int = BUSINESS_DAYS
) -> Cancelling | None:
    """The days to cancel what several people signed, each on a day and somewhere; they begin when the last has signed.

    None where nobody signed, or all did at the firm's own place of business: the rule is about sales made away from it,
    whoever asked whom to come. Source: 16 CFR 429.0(a).

    >>> cancels_until([(date(2027, 3, 5), SignedAt.OFFICE), (date(2027, 3, 8), SignedAt.HOME)], frozenset()).last
    datetime.date(2027, 3, 11)
    >>> cancels_until([(date(2027, 3, 5), SignedAt.OFFICE)], frozenset()) is None
    True
    """
    if all(place is SignedAt.OFFICE for _, place in signed):
        return None
    return may_cancel(max(day for day, _ in signed), holidays, days=days)
