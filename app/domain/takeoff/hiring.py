"""Machines let by the hour, half day, day, week and month: the cheapest mix of them that covers the hours needed.

The mix is found exactly: half days and longer by a table of whole half days, the rest of the time by the hour. What
covers more hours also covers fewer, so needing less is never dearer. At one cost the fewest periods are taken, then the
longest.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import floor

from app.domain.basis import Material, Price, Rule
from app.domain.errors import BadValue
from app.domain.money import cost
from app.domain.takeoff.whole import whole_up

MOST_DAYS = 1_000  # machine days of one phase that are still worked out
DAY_RULE, WEEK_RULE, MONTH_RULE = "machine-day", "hire-week", "hire-month"


class Period(StrEnum):
    """What a machine is let by, the longest first."""

    MONTH = "month"
    WEEK = "week"
    DAY = "day"
    HALF_DAY = "half day"
    HOUR = "hour"


PERIODS = tuple(Period)
LONG = PERIODS[:-1]  # told in half days


@dataclass(frozen=True, slots=True)
class Terms:
    """How long a machine is let: hours a day, working days a week and a month. Common practice, no source."""

    day_hours: float = 8.0
    week_days: int = 5
    month_days: int = 20

    def half_days(self, period: Period) -> int:
        """Half machine days in a period, an hour's being none."""
        days = {Period.MONTH: 2 * self.month_days, Period.WEEK: 2 * self.week_days, Period.DAY: 2, Period.HALF_DAY: 1}
        return days.get(period, 0)

    def hours(self, period: Period) -> float:
        """Machine hours in a period [h]."""
        return 1.0 if period is Period.HOUR else self.half_days(period) * self.day_hours / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Hire:
    """What is hired: how often each period and what one costs [cents], the longest first.

    `hours` are needed [machine hours], the shortest hire in them; `covers` [h] are let. `days` are the machine days
    needed, `idle` those of the days let on which nothing is left to do.
    """

    periods: tuple[tuple[Period, int, int], ...]
    cents: int
    hours: float
    covers: float
    days: int
    idle: int


def terms_of(rules: Mapping[str, Rule]) -> Terms:
    """The firm's own terms of hire, from its rules."""

    def value(key: str, usual: float) -> float:
        rule = rules.get(key)
        return rule.value if rule and rule.value > 0 else usual

    usual = Terms()
    week, month = value(WEEK_RULE, usual.week_days), value(MONTH_RULE, usual.month_days)
    return Terms(value(DAY_RULE, usual.day_hours), max(1, round(week)), max(1, round(month)))


def rates_of(price: Price, material: Material) -> Mapping[Period, int]:
    """What each period costs [cents]; empty where the price is not let by the period.

    The unit price is the rate of the unit it is priced by, an hour or a day; a rate of nothing is not offered.
    """
    typed = {
        Period.MONTH: price.month_cents,
        Period.WEEK: price.week_cents,
        Period.DAY: price.day_cents,
        Period.HALF_DAY: price.half_day_cents,
        Period.HOUR: price.hour_cents,
    }
    own = {"hour": Period.HOUR, "day": Period.DAY}.get(material.buy)
    if own is None or not any(cents for period, cents in typed.items() if period is not own):
        return {}
    typed[own] = cost(1.0, price.unit_price)
    return {period: cents for period, cents in typed.items() if cents > 0}


def machine_hours(amount: float, material: Material, terms: Terms) -> float:
    """Machine hours [h] in so many bought units: a day is the firm's machine day; 0 for what is not let by time."""
    return amount * {"hour": 1.0, "day": terms.day_hours}.get(material.buy, 0.0)


def cheapest_hire(hours: float, rates: Mapping[Period, int], terms: Terms, *, least: float = 0.0) -> Hire:
    """The cheapest mix of periods that covers `hours`, and at least the shortest hire `least` [machine hours].

    Raises: BadValue for more than 1,000 machine days, or where no period has a rate.

    >>> one = cheapest_hire(30.0, {Period.DAY: 240_00, Period.WEEK: 800_00}, Terms())
    >>> [(period.value, count) for period, count, _ in one.periods], one.cents, one.days, one.idle
    ([('week', 1)], 80000, 4, 1)
    """
    wanted = max(hours, least)
    half = terms.day_hours / 2
    if wanted > MOST_DAYS * terms.day_hours:
        raise BadValue(f"{wanted:,.0f} machine hours in one phase are more than can be hired. Look at the amount.")
    best = None
    for place, mix in enumerate(_by_half_days(whole_up(wanted / half), rates, terms)):
        more = whole_up(max(0.0, wanted - place * half))
        if mix is None or (more and not rates.get(Period.HOUR)):
            continue
        found = _added(mix, rates.get(Period.HOUR, 0), PERIODS.index(Period.HOUR), more)
        best = found if best is None or found < best else best
    if best is None:
        raise BadValue("No period it is let by has a rate.")
    return _hire(best, rates, terms, wanted, hours)


# a mix: its cents, how many periods, then how many of each from the longest on, below zero, so that more of a longer
# one comes first; mixes compare as they are
_Mix = tuple[int, ...]
_NOTHING: _Mix = (0, 0, *(0 for _ in PERIODS))


def _added(mix: _Mix, cents: int, place: int, count: int) -> _Mix:
    found = list(mix)
    found[0] += cents * count
    found[1] += count
    found[2 + place] -= count
    return tuple(found)


def _by_half_days(most: int, rates: Mapping[Period, int], terms: Terms) -> list[_Mix | None]:
    """The best mix of half days and longer that covers each whole number of half days; None where there is none."""
    offered = [(at, terms.half_days(one), rates[one]) for at, one in enumerate(LONG) if one in rates]
    best: list[_Mix | None] = [_NOTHING]
    for wanted in range(1, most + 1):
        mixes = [(best[max(0, wanted - long)], cents, at) for at, long, cents in offered]
        best.append(min((_added(mix, cents, at, 1) for mix, cents, at in mixes if mix is not None), default=None))
    return best


def _hire(mix: _Mix, rates: Mapping[Period, int], terms: Terms, wanted: float, at_work: float) -> Hire:
    counts = {period: -count for period, count in zip(PERIODS, mix[2:], strict=True) if count}
    covers = sum(terms.hours(period) * count for period, count in counts.items())
    days = whole_up(at_work / terms.day_hours)
    let = floor(covers / terms.day_hours + 1e-9)
    return Hire(
        periods=tuple((period, count, rates[period]) for period, count in counts.items()),
        cents=mix[0],
        hours=wanted,
        covers=max(covers, wanted),
        days=days,
        idle=max(0, let - days),
    )


def hire_words(hire: Hire) -> str:
    """What is hired, in words: `1 week and 2 days`.

    >>> hire_words(cheapest_hire(50.0, {Period.DAY: 240_00, Period.WEEK: 800_00}, Terms()))
    '1 week and 2 days'
    """
    told = [f"{count} {period.value}{'s' if count > 1 else ''}" for period, count, _ in hire.periods]
    return " and ".join(filter(None, (", ".join(told[:-1]), told[-1])))


def idle_words(hire: Hire) -> str:
    """How many of the days let stand idle; empty where none does: `needed on 3 of 5 days, 2 idle`."""
    if not hire.idle:
        return ""
    days = f"{hire.days + hire.idle} days"
    return f"needed on {hire.days} of {days}, {hire.idle} idle"
