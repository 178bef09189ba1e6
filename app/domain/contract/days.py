"""The days a change order adds: as the owner says, and those the daily log has of causes that give time."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from app.domain.job import ChangeDraft, LoggedDelay
from app.domain.joblog.delays import DelaySum
from app.domain.schedule.axis import WorkingDays

LONGEST = 366 * 5  # days looked through for working ones


@dataclass(frozen=True, slots=True, kw_only=True)
class DelayRow:
    """Days [halves] of one cause, in words."""

    cause: str
    whose: str
    half_days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysAdded:
    """Working days added [halves], what for, and the last day before and after (None: none was agreed)."""

    own_half_days: int
    words: str
    delays: tuple[DelayRow, ...] = ()
    last_before: date | None = None
    last_after: date | None = None
    delay_ids: tuple[str, ...] = field(default=(), repr=False)

    @property
    def half_days(self) -> int:
        """All of them [halves of a working day]."""
        return self.own_half_days + sum(one.half_days for one in self.delays)


def not_yet_asked(delays: Iterable[LoggedDelay], signed: Iterable[str]) -> tuple[LoggedDelay, ...]:
    """The delays that no signed change order holds (by id)."""
    known = frozenset(signed)
    return tuple(one for one in delays if str(one.id) not in known)


def days_added(
    draft: ChangeDraft, asked: Iterable[DelaySum], first_last_day: date | None, before: int, working: WorkingDays
) -> DaysAdded:
    """The days of a change order; `asked` are delays that give time.

    `before` half days were added to the first last day by earlier change orders.
    """
    sums = () if draft.without_delays else tuple(asked)
    rows = tuple(
        DelayRow(cause=one.cause.title, whose=one.whose, half_days=sum(two.half_days for two in one.delays))
        for one in sums
    )
    more = draft.half_days + sum(one.half_days for one in rows)
    return DaysAdded(
        own_half_days=draft.half_days,
        words=draft.days_words,
        delays=rows,
        last_before=later_by(first_last_day, before, working),
        last_after=later_by(first_last_day, before + more, working),
        delay_ids=tuple(str(one.id) for row in sums for one in row.delays),
    )


def later_by(day: date | None, half_days: int, working: WorkingDays) -> date | None:
    """The working day so many half days after a day: a half one counts as whole.

    >>> later_by(date(2027, 7, 2), 3, WorkingDays(closed=frozenset({date(2027, 7, 5)})))  # Friday before the holiday
    datetime.date(2027, 7, 7)
    """
    if day is None:
        return None
    left = (half_days + 1) // 2
    for _ in range(LONGEST):
        if left <= 0:
            break
        day += timedelta(days=1)
        left -= working.worked(day)
    return day
