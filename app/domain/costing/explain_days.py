"""Where the whole crew-days of a phase come from, and what an hour of them costs that nobody works."""

from collections.abc import Mapping
from math import fsum

from app.domain.basis import Basis, Firm
from app.domain.costing.crew_day import CLEANUP, DRIVING, LOADING, OVERTIME, CrewDays, Day, driving
from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import Line
from app.domain.job import Site
from app.domain.takeoff.trace import Trace, number_text

FROM_FIRM = "firm settings"
A_DAY: Mapping[str, str] = {
    LOADING: "hours a day at the yard",
    DRIVING: "hours a day on the road",
    CLEANUP: "hours a day",
    OVERTIME: "overtime hours a day",
}
LAW = "hours over 40 a week at 1 1/2 times the rate: 29 U.S.C. 207(a); your state may ask for more"


def crew_days(one: CrewDays, day: Day, site: Site, firm: Firm) -> Trace:
    """The whole days of a phase."""
    told = "hours of the phase / (hours of a day × people), rounded up"
    steps: tuple[Trace, ...] = ()
    if day.lost:
        told = "hours of the phase / (hours of a day left for work × people), rounded up"
        steps = (_left(day, site, firm),)
    return Trace(
        label="Crew days",
        expression=told,
        filled=f"{number_text(one.hours)} / {number_text(day.worked * day.people)} → {one.days}",
        result=float(one.days),
        unit="days",
        source=FROM_FIRM,
        steps=steps,
    )


def _left(day: Day, site: Site, firm: Firm) -> Trace:
    """What is left of one person's paid day."""
    filled = " − ".join(number_text(one) for one in (day.paid, *(hours for _, hours in day.lost)))
    lost = tuple(_lost(kind, hours, site, firm) for kind, hours in day.lost)
    return Trace(
        label="Hours of a day left for work",
        expression="paid hours − what goes off every day",
        filled=filled,
        result=day.worked,
        unit="hours",
        source=FROM_FIRM,
        steps=lost,
    )


def _lost(kind: str, hours: float, site: Site, firm: Firm) -> Trace:
    told, filled, source = A_DAY[kind].capitalize(), "", FROM_FIRM
    if kind == DRIVING:
        told, filled = "minutes one way × 2 / 60", f"{number_text(driving(firm, site.drive_minutes))} × 2 / 60"
        source = "the firm's usual minutes" if site.drive_minutes is None else "minutes from the yard, site sheet"
    return Trace(
        label=A_DAY[kind].capitalize(), expression=told, filled=filled, result=hours, unit="hours", source=source
    )


def of_a_day(day: Day, kind: str, one: CrewDays) -> str:
    """Hours a day × days × people, with the numbers put in."""
    hours = day.overtime if kind == OVERTIME else dict(day.lost)[kind]
    return f"{number_text(hours)} × {one.days} × {day.people}"


def mean_hour(worked: Estimate, basis: Basis, one: CrewDays, currency: str) -> Trace:
    """What an hour of a phase costs that nobody works: in the crew's own mix, else as the phase's work on average."""
    day = worked.paying.day
    if day.mean is not None:
        return _mixed("Mean cost of an hour of the crew", day.mean, "per_hour", worked, basis, currency)
    spent = fsum(line.cents / 100 for line in _crew_lines(worked, one.phase))
    told = "cost of the phase's work by the crew / its hours"
    mean = _mean_of(worked, one, "per_hour")
    filled = f"{number_text(spent)} / {number_text(one.hours)}"
    return _hourly("Mean cost of an hour of the phase", mean, told, filled, currency, FROM_FIRM)


def overtime_hour(worked: Estimate, basis: Basis, one: CrewDays, currency: str) -> Trace:
    """What an hour beyond the week's costs more."""
    day, label = worked.paying.day, "What an overtime hour costs more"
    if day.extra is not None:
        return _mixed(label, day.extra, "overtime", worked, basis, currency)
    told = "extra on the wage, with the items that go by all pay, as the phase's hours are mixed"
    return _hourly(label, _mean_of(worked, one, "overtime"), told, "", currency, LAW)


def _mixed(label: str, result: float, of: str, worked: Estimate, basis: Basis, currency: str) -> Trace:
    people = basis.firm.crew_day.people if basis.firm.crew_day else {}
    rates = worked.paying.rates
    known = [(float(getattr(rates[key], of)), count) for key, count in people.items() if key in rates and count]
    filled = " + ".join(f"{count} × {number_text(rate)}" for rate, count in known)
    told = "each of the crew at their own cost / people of the crew"
    source = LAW if of == "overtime" else FROM_FIRM
    return _hourly(label, result, told, f"({filled}) / {sum(count for _, count in known)}", currency, source)


def _crew_lines(worked: Estimate, phase: str) -> list[Line]:
    own = worked.paying.rates
    tasks = worked.paying.tasks
    return [
        line
        for line in worked.lines
        if line.kind == "task" and line.phase == phase and (rate := own.get(tasks[line.key].crew)) and not rate.own
    ]


def _mean_of(worked: Estimate, one: CrewDays, of: str) -> float:
    rates, tasks = worked.paying.rates, worked.paying.tasks
    lines = _crew_lines(worked, one.phase)
    spent = fsum(line.hours * float(getattr(rates[tasks[line.key].crew], of)) for line in lines)
    return spent / one.hours if one.hours else 0.0


def _hourly(label: str, result: float, told: str, filled: str, currency: str, source: str) -> Trace:
    rounded = round(result, 4)
    return Trace(label=label, expression=told, filled=filled, result=rounded, unit=f"{currency}/hour", source=source)
