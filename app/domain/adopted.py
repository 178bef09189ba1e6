"""Which edition of a printed table the firm goes by, and from which day on: codes are adopted by towns, at dates."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Adopted:
    """From a day on an edition of a table is used; `words` say who told so. Without a day it always was."""

    table: str
    edition: str
    since: date | None = None
    words: str = ""


def edition_on(adopted: Sequence[Adopted], table: str, day: date) -> Adopted | None:
    """What holds of a table on a day: the one that began last; None where nothing was said for that day.

    >>> told = (Adopted(table="storm-drain", edition="IPC 2012"),
    ...         Adopted(table="storm-drain", edition="IPC 2021", since=date(2026, 7, 1)))
    >>> [edition_on(told, "storm-drain", day).edition for day in (date(2026, 6, 30), date(2026, 7, 1))]
    ['IPC 2012', 'IPC 2021']
    """
    begun = [one for one in adopted if one.table == table and (one.since is None or one.since <= day)]
    return max(begun, key=lambda one: one.since or date.min, default=None)
