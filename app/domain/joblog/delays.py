"""Delays: what held the work up, whose it is, and the days of it that a change order may ask for."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from types import MappingProxyType

from app.domain.errors import BadValue
from app.domain.job import LoggedDelay

HALVES = 2  # of a day
MOST_DAYS = 60
WHOSE: Mapping[str, str] = MappingProxyType(
    {
        "nobody": "Nobody's",
        "client": "The client's",
        "officials": "Officials'",
        "supplier": "A supplier's",
        "subcontractor": "A subcontractor's",
        "firm": "Ours",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """What may hold work up: whose it is by default, and whether its days are `asked` for in a change order."""

    key: str
    title: str
    whose: str = "firm"
    asked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DelaySum:
    """All delays of one cause and of whom: days lost in halves, hours that people waited in quarters."""

    cause: Cause
    whose: str
    delays: tuple[LoggedDelay, ...]

    @property
    def days(self) -> Decimal:
        """Working days lost."""
        return Decimal(sum(one.half_days for one in self.delays)) / HALVES

    @property
    def hours(self) -> float:
        """Person-hours waited."""
        return sum(one.quarters for one in self.delays) / 4

    @property
    def asked(self) -> bool:
        """Whether its days are asked for: those of a cause that gives time, unless they are said to be ours."""
        return self.cause.asked and self.whose != "firm"


def delay_sums(delays: Iterable[LoggedDelay], causes: Sequence[Cause]) -> tuple[DelaySum, ...]:
    """Delays by cause and whose, in the order of the list; a cause that is no longer listed stands last, not asked for.

    >>> rain = Cause(key="rain", title="Rain", whose="nobody", asked=True)
    >>> delay_sums((), (rain,))
    ()
    """
    held: dict[tuple[str, str], list[LoggedDelay]] = {}
    for one in delays:
        held.setdefault((one.cause, one.whose), []).append(one)
    known = {cause.key: (at, cause) for at, cause in enumerate(causes)}
    keys = sorted(held, key=lambda key: (known[key[0]][0] if key[0] in known else len(known), key))
    return tuple(
        DelaySum(
            cause=known[key[0]][1] if key[0] in known else Cause(key=key[0], title=key[0]),
            whose=key[1],
            delays=tuple(sorted(held[key], key=lambda one: (one.day, str(one.id)))),
        )
        for key in keys
    )


def days_to_ask_for(
    delays: Iterable[LoggedDelay], causes: Sequence[Cause], since: date | None = None
) -> tuple[DelaySum, ...]:
    """The delays whose days a change order may ask for, of those after the day `since` (None: all).

    What agreement gives time for what is the firm's own to decide: this is what the list of causes says.
    """
    later = (one for one in delays if since is None or one.day > since)
    return tuple(one for one in delay_sums(later, causes) if one.asked and one.days)


def half_days_of(text: str) -> int:
    """Days as typed, in half days: `1`, `0.5`, `1 1/2`, `1/2`.

    Raises: BadValue for what is no number, below zero, or not in halves.

    >>> half_days_of("1 1/2"), half_days_of("0.5")
    (3, 1)
    """
    plain = text.replace(",", ".").replace("1/2", ".5").replace("½", ".5").replace(" ", "")
    try:
        halves = Decimal(plain) * HALVES
    except InvalidOperation:
        halves = Decimal("NaN")
    if not halves.is_finite() or halves != halves.to_integral_value() or not 0 <= halves <= MOST_DAYS * HALVES:
        raise BadValue(f"“{text}” is no number of days. Type whole or half days, {MOST_DAYS} at most: 1, 0.5, 1 1/2.")
    return int(halves)


def days_text(half_days: int) -> str:
    """Half days as days.

    >>> days_text(3), days_text(2)
    ('1.5', '1')
    """
    return f"{half_days / HALVES:g}"
