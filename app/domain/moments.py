"""Recorded moments (ISO 8601, UTC) as days where they happened."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

__all__ = ["day_at"]


def day_at(moment: str, zone: str) -> date:
    """The day in a zone (a name of the IANA database) on which a moment was; a day alone is told as it is.

    Raises: ValueError for what is no moment.

    >>> day_at("2027-03-10T03:41:00+00:00", "America/New_York").isoformat()
    '2027-03-09'
    >>> day_at("2027-03-10", "America/New_York").isoformat()
    '2027-03-10'
    """
    if len(moment) == len("2027-03-10"):
        return date.fromisoformat(moment)
    found = datetime.fromisoformat(moment)
    return found.astimezone(ZoneInfo(zone)).date() if found.tzinfo else found.date()
