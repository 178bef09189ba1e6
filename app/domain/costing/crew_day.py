"""Whole crew-days by phase: what a paid day goes to, what is left of it for work, what the rest and overtime cost."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import fsum
from typing import NamedTuple

from app.domain.basis import Firm
from app.domain.costing.labor import Rate
from app.domain.findings import Finding, Severity, Stop
from app.domain.money import cents
from app.domain.pay import CrewDay
from app.domain.takeoff.formula import WHOLE_WITHIN
from app.domain.takeoff.rates import crew_size
from app.domain.takeoff.whole import whole_up

LOADING, DRIVING, CLEANUP, OVERTIME = "loading", "driving", "cleanup", "overtime"
TITLES: Mapping[str, str] = {
    LOADING: "Loading and unloading at the yard",
    DRIVING: "Driving to the job and back",
    CLEANUP: "Cleaning up at the end of the day",
    OVERTIME: "Overtime, what it costs more",
}
DAILY_CLEANUP = "daily-cleanup"  # the task of the library that does the same
LEAST_WORKED = 0.1  # of a paid day: below it no number of days would do
SHORT_DAY = 0.6  # of a paid day: what leaves less for work is said (assumption)
NO_DAY = CrewDay()


class Worked(NamedTuple):
    """Hours of one line, and what one of them costs and one beyond the week's costs more [whole money]."""

    hours: float
    per_hour: float | Decimal
    overtime: float | Decimal = 0.0


@dataclass(frozen=True, slots=True)
class Day:
    """A paid day of the crew. `lost` are hours of each person by what they go to, `overtime` those beyond the week's.

    `mean` and `extra` are what an hour, and an overtime hour beside it, cost in the crew's own mix [whole money]; None
    where the firm does not say who is in it: then the mean of the work counts.
    """

    people: int
    paid: float
    lost: tuple[tuple[str, float], ...] = ()
    overtime: float = 0.0
    mean: float | None = None
    extra: float | None = None
    unpaid: tuple[str, ...] = ()  # classes of the crew that have no wage

    @property
    def worked(self) -> float:
        """What is left of a person's day for work [hours]."""
        return max(self.paid * LEAST_WORKED, self.paid - fsum(hours for _, hours in self.lost))

    @property
    def overtime_each(self) -> float:
        """By how much overtime makes every paid hour of the crew dearer [whole money]."""
        return self.overtime * (self.extra or 0.0) / self.paid if self.paid else 0.0


@dataclass(frozen=True, slots=True)
class PaidFor:
    """What the days of a phase pay for beside work: `hours` of people and what they cost [cents]."""

    kind: str
    hours: float
    cents: int


@dataclass(frozen=True, slots=True)
class CrewDays:
    """A phase in whole days of the crew. `idle_hours` are paid but not worked; `beside` is what goes off every day."""

    phase: str
    hours: float
    days: int
    idle_hours: float
    idle_cents: int
    beside: tuple[PaidFor, ...] = ()


def day_of(firm: Firm, rates: Mapping[str, Rate], drive_minutes: float | None = None) -> Day:
    """The firm's paid day at a site that lies so many minutes from the yard, one way.

    >>> day_of(Firm(crew_day=CrewDay(loading=Decimal("0.5"), driving=Decimal(30))), {}).worked
    7.5
    """
    told = firm.crew_day or NO_DAY
    lost = (
        (LOADING, float(told.loading)),
        (DRIVING, 2 * driving(firm, drive_minutes) / 60),
        (CLEANUP, float(told.cleanup)),
    )
    mix = [(rates[key], count) for key, count in told.people.items() if key in rates and count]
    people = sum(count for _, count in mix)
    return Day(
        people=crew_size(firm),
        paid=float(firm.crew_day_hours),
        lost=tuple(one for one in lost if one[1] > 0),
        overtime=overtime_a_day(firm),
        mean=float(sum(one.per_hour * count for one, count in mix) / people) if people else None,
        extra=float(sum(one.overtime * count for one, count in mix) / people) if people else None,
        unpaid=tuple(key for key, count in told.people.items() if count and key not in rates),
    )


def driving(firm: Firm, drive_minutes: float | None) -> float:
    """Minutes one way from the yard: the site's, else the firm's usual; nothing while the firm counts no driving."""
    if firm.crew_day is None:
        return 0.0
    return float(firm.crew_day.driving) if drive_minutes is None else drive_minutes


def counts_the_yard(firm: Firm, drive_minutes: float | None) -> bool:
    """Whether the days of jobs pay for loading or driving, so that a year of pay does not take them off again."""
    return firm.crew_day is not None and (firm.crew_day.loading > 0 or driving(firm, drive_minutes) > 0)


def overtime_a_day(firm: Firm) -> float:
    """Hours of a paid day beyond the week's, on average over the week [hours a person].

    Source: hours over 40 in a workweek at one and a half times the regular rate, 29 U.S.C. 207(a); more in some states.

    >>> overtime_a_day(Firm(crew_day_hours=Decimal(9), crew_day=CrewDay(overtime_extra=Decimal("0.5"))))
    1.0
    """
    told = firm.crew_day
    if told is None or not told.overtime_extra or told.days_a_week < 1:
        return 0.0
    return max(0.0, float(firm.crew_day_hours * told.days_a_week - told.week_hours)) / told.days_a_week


def crew_days(worked: Mapping[str, Sequence[tuple[float, ...] | Worked]], day: Day) -> tuple[CrewDays, ...]:
    """Whole crew-days by phase, from hours and their rate; what goes off each day and the rest of the last are paid.

    The owner's own hours fill no crew day. What is not worked costs the mean of the crew's own mix, or of the phase.
    Source of the form: man-days / (crew × share of the day that is worked), up to whole (US Navy, NAVEDTRA 14045).
    """
    return tuple(_days(phase, _told(rows), day) for phase, rows in sorted(worked.items()) if rows)


def _told(rows: Sequence[tuple[float, ...] | Worked]) -> list[Worked]:
    return [one if type(one) is Worked else Worked(*one) for one in rows]


def _days(phase: str, rows: Sequence[Worked], day: Day) -> CrewDays:
    hours = fsum([one.hours for one in rows])
    a_day = day.worked * day.people
    days = whole_up(hours / a_day) if a_day > 0 else 0
    idle = max(0.0, days * a_day - hours)
    if hours <= 0:
        return CrewDays(phase, hours, days, idle, 0)
    spent = fsum([one.hours * float(one.per_hour) for one in rows])
    mean = day.mean if day.mean is not None else spent / hours
    more = day.extra if day.extra is not None else fsum([one.hours * float(one.overtime) for one in rows]) / hours
    beside = [(kind, days * each * day.people, mean) for kind, each in day.lost]
    beside.append((OVERTIME, days * day.overtime * day.people, more))
    idle_cents = cents(idle * spent / hours) if day.mean is None else cents(idle * mean)
    paid = tuple(PaidFor(kind, lost, cents(lost * rate)) for kind, lost, rate in beside if lost > 0)
    return CrewDays(phase, hours, days, idle, idle_cents, paid)


def cleaned_twice(day: Day, tasks: Iterable[str]) -> list[Finding]:
    """What to say where the day's cleaning up is paid for by the crew's day and by a task of the job as well."""
    if CLEANUP not in dict(day.lost) or DAILY_CLEANUP not in tasks:
        return []
    return [
        Finding(
            rule="cleanup-twice",
            severity=Severity.WARN,
            where="job",
            what="Cleaning up each evening is paid for twice: by the crew's day, and by the recipe of the job.",
            remedy="Set it to 0 in the crew's day on the Firm sheet, or take it out of the recipe.",
        )
    ]


def short_day(day: Day) -> list[Finding]:
    """What to say of a day that leaves little or nothing for work."""
    lost = fsum(hours for _, hours in day.lost)
    if not lost or day.paid - lost >= day.paid * SHORT_DAY - WHOLE_WITHIN:
        return []
    nothing = day.paid - lost <= day.paid * LEAST_WORKED + WHOLE_WITHIN
    told = f"Of {day.paid:g} paid hours a day, loading, driving and cleaning up take {lost:.3g}."
    return [
        Finding(
            rule="day-used-up" if nothing else "day-short",
            severity=Severity.STOP if nothing else Severity.WARN,
            where="job",
            what=f"{told} {'Nothing is left to build with.' if nothing else 'Little is left to build with.'}",
            measured=f"{lost:.3g} h",
            limit=f"{day.paid:g} h",
            remedy="Check the minutes from the yard on the Site sheet and the crew's day on the Firm sheet.",
            stop=Stop.MONEY if nothing else Stop.NONE,
        )
    ]
