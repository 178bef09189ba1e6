"""When plants go into the ground: planting that its phase puts outside the weeks in which it takes.

The weeks are rules, the firm's to change for its own climate: month numbers, 4.5 being the middle of April.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from app.domain.basis import Basis
from app.domain.findings import Finding, Severity
from app.domain.job import Job, Phase
from app.domain.takeoff.requirements import Requirement
from app.domain.units import format_day, format_month

PLANTED: Mapping[str, tuple[str, str]] = {  # role of a part → the kind whose weeks hold, and what it is in words
    "tree": ("woody", "trees and shrubs"),
    "shrub": ("woody", "trees and shrubs"),
    "vine": ("woody", "trees and shrubs"),
    "bulb": ("bulbs", "bulbs"),
    "perennial": ("perennials", "perennials and groundcover"),
    "groundcover": ("perennials", "perennials and groundcover"),
    "sod": ("sod", "sod"),
    "lawn seed": ("seed", "lawn seed"),
}
WITHIN_DAYS = 45  # of a phase without a last day, from its first on: planting comes last. Assumption
LONGEST_WAIT = 400
OUT_OF_SEASON = "out-of-season"


@dataclass(frozen=True, slots=True)
class Window:
    """Weeks of the year from one day on to another, both as month numbers [1 to 13): 4.5 is the middle of April."""

    first: float
    last: float

    def holds(self, day: date) -> bool:
        """Whether a day lies in it.

        >>> Window(3.5, 5.5).holds(date(2027, 3, 17)), Window(3.5, 5.5).holds(date(2027, 6, 1))
        (True, False)
        """
        return self.first <= day.month + (day.day - 1) / 31 < self.last + 1 / 31


def windows(basis: Basis, kind: str) -> tuple[Window, ...]:
    """The weeks for a kind; empty where the basis has none."""
    found = []
    for part in ("spring", "fall"):
        first, last = (basis.rules.get(f"plant-{kind}-{part}-{end}") for end in ("first", "last"))
        if first is not None and last is not None and first.value < last.value:
            found.append(Window(first.value, last.value))
    return tuple(found)


def in_season(day: date, weeks: Iterable[Window]) -> bool:
    """Whether a day lies in any of the weeks."""
    return any(one.holds(day) for one in weeks)


def next_in_season(day: date, weeks: tuple[Window, ...]) -> date | None:
    """The first day from this one on that is in season; None where no day is."""
    days = (day + timedelta(days=at) for at in range(LONGEST_WAIT))
    return next((one for one in days if in_season(one, weeks)), None)


def all_in_season(day: date, kinds: Iterable[tuple[Window, ...]]) -> date | None:
    """The first day from this one on at which every kind is in season; None where there is none, or no weeks are known.

    >>> all_in_season(date(2027, 7, 1), [(Window(4.0, 6.5), Window(8.5, 11.0)), (Window(9.0, 11.5),)])
    datetime.date(2027, 9, 1)
    """
    known = [weeks for weeks in kinds if weeks]
    days = (day + timedelta(days=at) for at in range(LONGEST_WAIT if known else 0))
    return next((one for one in days if all(in_season(one, weeks) for weeks in known)), None)


def planted_kinds(requirements: Iterable[Requirement]) -> Mapping[tuple[str, str], frozenset[str]]:
    """The kinds that are planted, by zone (its id, or `job`) and phase."""
    found: dict[tuple[str, str], set[str]] = {}
    for one in requirements:
        if one.kind == "material" and one.role in PLANTED and one.amount > 0:
            found.setdefault((one.zone, one.phase), set()).add(PLANTED[one.role][0])
    return {key: frozenset(kinds) for key, kinds in found.items()}


def days_for_planting(phase: Phase) -> tuple[date, date] | None:
    """From when to when a phase may plant; None without a first day."""
    if phase.start is None:
        return None
    return phase.start, max(phase.start, phase.done or phase.start + timedelta(days=WITHIN_DAYS))


def takes_in(phase: Phase, weeks: tuple[Window, ...]) -> bool:
    """Whether any day of a phase is in season; one without a first day takes every season."""
    days = days_for_planting(phase)
    if days is None or not weeks:
        return True
    return any(in_season(days[0] + timedelta(days=at), weeks) for at in range((days[1] - days[0]).days + 1))


def season_points(job: Job, basis: Basis, requirements: Iterable[Requirement]) -> Iterator[Finding]:
    """Planting in a phase that has no day in season, and kinds whose weeks are not in the rules."""
    kinds_of: dict[str, set[str]] = {}
    for (_, in_phase), kinds in planted_kinds(requirements).items():
        kinds_of.setdefault(in_phase, set()).update(kinds)
    words = dict(PLANTED.values())
    lacking = sorted({kind for kinds in kinds_of.values() for kind in kinds if not windows(basis, kind)})
    if lacking:
        yield Finding(
            rule=OUT_OF_SEASON,
            severity=Severity.NOT_CHECKED,
            where="rules",
            what="When plants may go in was not checked: the rules have no weeks for it.",
            measured=", ".join(lacking),
            remedy="Take the rules for planting weeks from the library.",
        )
    for phase in sorted(job.phases, key=lambda one: one.number):
        for kind in sorted(kinds_of.get(str(phase.id), ())):
            weeks = windows(basis, kind)
            days = days_for_planting(phase)
            if days is not None and weeks and not takes_in(phase, weeks):
                yield out_of_season(basis, f"phase:{phase.id}", kind, words[kind], days, no_last_day=phase.done is None)


def out_of_season(
    basis: Basis, where: str, kind: str, words: str, days: tuple[date, date], *, no_last_day: bool = False
) -> Finding:
    """What is planted when it does not take."""
    weeks = windows(basis, kind)
    ready = next_in_season(days[0], weeks)
    rule = basis.rules[f"plant-{kind}-spring-first"]
    when = f" The next good day is {ready:%B} {ready.day}, {ready.year}." if ready else ""
    return Finding(
        rule=OUT_OF_SEASON,
        severity=Severity.WARN,
        where=where,
        what=f"{words[0].upper()}{words[1:]} would go in between {days[0]:%B} {days[0].day} and "
        f"{days[1]:%B} {days[1].day}, outside their planting weeks.{when}",
        measured=f"{kind}, {format_day(days[0])} to {format_day(days[1])}",
        limit=", ".join(f"{format_month(one.first)} to {format_month(one.last)}" for one in weeks),
        source=f"{rule.source}{_taken_as(days) if no_last_day else ''}",
        remedy="Move the planting to another phase or day, or go on with a reason: watering and replacement agreed.",
    )


def _taken_as(days: tuple[date, date]) -> str:
    """What stands in for the last day of a phase that has none."""
    return f". The phase has no last day: {(days[1] - days[0]).days} days are taken. Assumption, no source"
