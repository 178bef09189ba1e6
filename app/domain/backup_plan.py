"""When a backup is due, and which of the kept ones stay: dense for yesterday, thin for last year."""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

HOURLY, DAILY, MONTHLY = 24, 30, 12  # how many hours, days and months each keep their newest backup
EVERY = timedelta(hours=1)  # while something changes
CLOCK_SLACK = timedelta(minutes=5)  # a clock set right by this much is no jump


def staying(made: Iterable[datetime]) -> frozenset[datetime]:
    """Which backups stay, by when they were made (UTC).

    The newest of each of the last 24 hours, 30 days and 12 months *that have one*: who was away for a month finds
    the month before as it was, so a clock that jumps ahead thins nothing out. The newest always stays.

    >>> noon = datetime(2027, 3, 9, 12)
    >>> sorted(one.minute for one in staying([noon, noon + timedelta(minutes=20), noon + timedelta(minutes=40)]))
    [40]
    """
    newest_first = sorted(made, reverse=True)
    spans: tuple[tuple[int, Callable[[datetime], tuple[int, ...]]], ...] = (
        (HOURLY, lambda at: (at.year, at.month, at.day, at.hour)),
        (DAILY, lambda at: (at.year, at.month, at.day)),
        (MONTHLY, lambda at: (at.year, at.month)),
    )
    kept: set[datetime] = set()
    for most, span in spans:
        newest_of: dict[tuple[int, ...], datetime] = {}
        for at in newest_first:
            newest_of.setdefault(span(at), at)
        kept.update(list(newest_of.values())[:most])
    return frozenset(kept)


def is_due(now: datetime, last: datetime | None, head: str, last_head: str, *, signed: bool) -> bool:
    """Whether a backup is to be made now.

    `head` is the hash of the record's newest entry, `last_head` the one the last backup holds: while they agree nothing
    is due. A signing (`signed`: one that no backup holds yet) is due at once, other changes an hour after the last.
    A last backup from the future (the clock was set back) is as good as none.

    >>> is_due(datetime(2027, 3, 9, 12), datetime(2027, 3, 9, 11, 30), "b", "a", signed=False)
    False
    """
    if head == last_head:
        return False
    if signed or last is None or last > now + CLOCK_SLACK:
        return True
    return now - last >= EVERY


def went_back(now: datetime, newest: datetime | None) -> bool:
    """Whether the clock shows a time before the newest entry of the record: it was set back, or was wrong then.

    >>> went_back(datetime(2027, 3, 1), datetime(2027, 3, 9))
    True
    """
    return newest is not None and now + CLOCK_SLACK < newest
