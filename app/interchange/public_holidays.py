"""Days on which offices, yards and suppliers are closed: the federal holidays, from a kept library."""

from collections.abc import Iterable
from datetime import date
from functools import lru_cache


@lru_cache(maxsize=32)
def federal_holidays(year: int) -> frozenset[date]:
    """The days of a year on which federal holidays are observed (5 U.S.C. 6103): a Saturday's on the Friday before."""
    from holidays import country_holidays  # slow to load, and only the schedule wants it

    return frozenset(country_holidays("US", years=(year, year + 1))) & _days_of(year)


def federal_holidays_of(years: Iterable[int]) -> frozenset[date]:
    """The same of several years."""
    return frozenset[date]().union(*(federal_holidays(year) for year in years))


@lru_cache(maxsize=32)
def _days_of(year: int) -> frozenset[date]:
    first = date(year, 1, 1).toordinal()
    return frozenset(date.fromordinal(first + n) for n in range(366) if date.fromordinal(first + n).year == year)
