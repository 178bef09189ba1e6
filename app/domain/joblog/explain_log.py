"""Where the figures of the log come from: `WHAT:row:ZONE:PHASE:TASK`, `WHAT:zone:ID`, `WHAT:phase:ID`, `WHAT:all`."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

from app.domain.errors import BadValue
from app.domain.job import LoggedHours
from app.domain.joblog.against_bid import DONE, AgainstBid, Row, Sum, Unsaid
from app.domain.joblog.bid import place_of
from app.domain.joblog.daily_log import QUARTERS
from app.domain.takeoff.trace import Trace, number_text

SOURCE = "Earned value: hours at the end = hours so far ÷ part done. ANSI/EIA-748; US GAO, GAO-20-195G"
HOURS = "hours"
WHY: Mapping[Unsaid | None, str] = {
    None: "as worked",
    Unsaid.NOT_BEGUN: "not begun: as it was bid",
    Unsaid.NOT_SAID: "nobody said how far it is: as it was bid, or as worked where that is more",
    Unsaid.JUST_BEGUN: "too little is done to tell: as it was bid, or as worked where that is more",
    Unsaid.NO_HOURS: "no hours are logged for it: as it was bid",
}


def explain_log(made: AgainstBid, figure: str, currency: str) -> Trace | None:
    """How a figure of the log came about; None for one that is not there (any more)."""
    what, _, rest = figure.partition(":")
    of, _, key = rest.partition(":")
    if of == "row":
        row = _row(made, key)
        return _OF_ROW[what](row, currency) if row and what in _OF_ROW else None
    found = _sum(made, of, key)
    if found is None or what not in _OF_ROW:
        return None
    steps = tuple(_OF_ROW[what](row, currency) for row in found.rows)
    unit = currency if what in _MONEY else HOURS
    result = sum(one.result for one in steps)
    return Trace(label=_LABELS[what], expression="sum of its tasks", filled="", result=result, unit=unit, steps=steps)


def explain_day(entries: Sequence[LoggedHours], titles: Mapping[str, str]) -> Trace:
    """The hours of one day, by person and task."""
    steps = tuple(_entry(one, f"{one.person}, {titles.get(one.task) or one.words or one.task}") for one in entries)
    return Trace(
        label="Hours of the day",
        expression="sum of what is logged",
        filled="",
        result=sum(one.quarters for one in entries) / QUARTERS,
        unit=HOURS,
        steps=steps,
    )


def _row(made: AgainstBid, key: str) -> Row | None:
    try:
        return made.row(place_of(key))
    except BadValue:
        return None


def _sum(made: AgainstBid, of: str, key: str) -> Sum | None:
    sums = {"zone": made.by_zone, "phase": made.by_phase, "all": (made.all,)}.get(of, ())
    return next((one for one in sums if of == "all" or one.key == key), None)


def _entry(one: LoggedHours, label: str) -> Trace:
    words = f": {one.words}" if one.words and one.words not in label else ""
    return Trace(label=f"{label}{words}", expression="typed", filled="", result=one.quarters / QUARTERS, unit=HOURS)


def _hours(row: Row, _currency: str) -> Trace:
    steps = tuple(_entry(one, f"{one.day:%b} {one.day.day}, {one.person}") for one in row.entries)
    told = "sum of what is logged"
    return Trace(label=row.bid.title, expression=told, filled="", result=row.hours, unit=HOURS, steps=steps)


def _bid(row: Row, _currency: str) -> Trace:
    told = "sum of its lines in the bid" if row.in_bid else "nothing was bid for it"
    return Trace(label=row.bid.title, expression=told, filled="", result=row.bid.hours, unit=HOURS)


def _ends(row: Row, _currency: str) -> Trace:
    title = row.bid.title
    if row.ends is None or row.percent in (None, DONE) or not row.in_bid:
        return Trace(label=title, expression=WHY[row.unsaid], filled="", result=row.expected, unit=HOURS)
    then, percent = number_text(row.then), row.percent
    filled = f"{then} h ÷ {percent}%" + (
        "" if row.ends > row.hours else f"; {number_text(row.hours)} h are worked already"
    )
    return Trace(
        label=title,
        expression="hours when it was said ÷ part done, never below what is worked",
        filled=filled,
        result=row.ends,
        unit=HOURS,
        source=SOURCE,
    )


def _over(row: Row, currency: str) -> Trace:
    steps = (_ends(row, currency), _bid(row, currency))
    told = "where it ends − what was bid"
    result = row.expected - row.bid.hours
    return Trace(label=row.bid.title, expression=told, filled="", result=result, unit=HOURS, steps=steps)


def _money(hours: float, cents: int, row: Row, currency: str) -> Trace:
    rate: Decimal | None = row.bid.per_hour
    if rate is None:
        return Trace(label=row.bid.title, expression="no wage yet", filled="", result=0.0, unit=currency)
    told = "hours × what an hour costs in the bid, with burden"
    filled = f"{number_text(hours)} × {number_text(float(rate))}"
    return Trace(label=row.bid.title, expression=told, filled=filled, result=cents / 100, unit=currency)


def _cost(row: Row, currency: str) -> Trace:
    return _money(row.hours, row.cents, row, currency)


def _bid_cost(row: Row, currency: str) -> Trace:
    told = "sum of its lines in the bid" if row.in_bid else "nothing was bid for it"
    return Trace(label=row.bid.title, expression=told, filled="", result=row.bid.cents / 100, unit=currency)


def _end_cost(row: Row, currency: str) -> Trace:
    if row.expected_cents == row.bid.cents:
        return _bid_cost(row, currency)
    return _money(row.expected, row.expected_cents, row, currency)


def _over_cost(row: Row, currency: str) -> Trace:
    steps = (_end_cost(row, currency), _bid_cost(row, currency))
    result = (row.expected_cents - row.bid.cents) / 100
    told = "cost at the end − cost in the bid"
    return Trace(label=row.bid.title, expression=told, filled="", result=result, unit=currency, steps=steps)


_OF_ROW: Mapping[str, Callable[[Row, str], Trace]] = {
    "hours": _hours,
    "bid": _bid,
    "ends": _ends,
    "over": _over,
    "cost": _cost,
    "bidcost": _bid_cost,
    "endcost": _end_cost,
    "overcost": _over_cost,
}
_MONEY = frozenset({"cost", "bidcost", "endcost", "overcost"})
_LABELS: Mapping[str, str] = {
    "hours": "Hours so far",
    "bid": "Hours in the bid",
    "ends": "Hours at the end",
    "over": "Hours over the bid",
    "cost": "Cost of the hours so far",
    "bidcost": "Cost of the hours in the bid",
    "endcost": "Cost of the hours at the end",
    "overcost": "Cost over the bid",
}
