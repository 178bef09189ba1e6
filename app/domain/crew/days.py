"""Days of the crew: which working days there are, who is on what, and what was signed for."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from app.domain.job import CrewOn, SignedCheck
from app.domain.people import CrewMember

Place = tuple[str, str, str]  # zone, phase, stage


def days_of(spans: Iterable[tuple[date, date]], weekdays: frozenset[int], closed: frozenset[date]) -> tuple[date, ...]:
    """Every working day (Monday is 0) that any of the spans, from first to last day, covers.

    >>> days_of([(date(2027, 3, 5), date(2027, 3, 8))], frozenset(range(5)), frozenset())
    (datetime.date(2027, 3, 5), datetime.date(2027, 3, 8))
    """
    found: set[date] = set()
    for first, last in spans:
        found |= {first + timedelta(days=at) for at in range((last - first).days + 1)}
        found |= {first, last}
    return tuple(sorted(day for day in found if day.weekday() in weekdays and day not in closed))


def who_is_on(said: Iterable[CrewOn], crew: Sequence[CrewMember], place: Place, day: date) -> tuple[CrewMember, ...]:
    """Who works at a stage of a place on a day: as it was last said up to that day, else the whole crew."""
    known = [one for one in said if (one.zone, one.phase, one.stage) == place and one.day <= day]
    if not known:
        return tuple(crew)
    people = set(max(known, key=lambda one: one.day).people)
    return tuple(one for one in crew if one.key in people)


def said_for(said: Iterable[CrewOn], place: Place, day: date) -> CrewOn | None:
    """What was said for that very day, to be changed rather than said twice."""
    return next((one for one in said if (one.zone, one.phase, one.stage) == place and one.day == day), None)


def signed_for(signed: Iterable[SignedCheck], place: Place) -> Mapping[str, tuple[SignedCheck, ...]]:
    """Checks of a stage of a place that somebody signed for, by their words, the earliest first."""
    found: dict[str, tuple[SignedCheck, ...]] = {}
    for one in sorted(signed, key=lambda one: (one.day, str(one.said_at))):
        if (one.zone, one.phase, one.stage) == place:
            found[one.words] = (*found.get(one.words, ()), one)
    return found
