"""Where the hours that jobs taught come from: `WHAT:TASK` with `rate`, `setup`, `weight`, `spread`."""

from collections.abc import Callable, Mapping

from app.domain.costing.explain_words import unit_text
from app.domain.looking_back.credibility import CUT, USUAL_COUNTS_AS, USUAL_SPREAD, tau_of
from app.domain.looking_back.rates import LIKELY, Lesson, Told
from app.domain.takeoff.trace import Trace, number_text

SOURCE = (
    "Credibility Z = n / (n + k), k = (spread of jobs / spread of belief)², Bühlmann 1967; "
    "a job far off counts less, by Huber's loss (1964)"
)
HOURS = "hours"
Names = Callable[[Told], str]


def explain_lesson(one: Lesson, what: str, named: Names) -> Trace | None:
    """How a figure of what jobs taught came about; None for one that is not there."""
    made = _FIGURES.get(what)
    return made(one, named) if made else None


def _rate(one: Lesson, named: Names) -> Trace:
    before, factor = one.believed.hours[LIKELY], one.moved.rate
    return Trace(
        label=f"{one.task.title}: usual hours for one {unit_text(one.task.unit, 1)}",
        expression="hours believed before any own job × what jobs make of them",
        filled=f"{number_text(before)} × {factor:.4f}",
        result=one.after.hours[LIKELY],
        unit=HOURS,
        source=SOURCE,
        steps=(_weight(one, named), *(_job(told, named) for told in one.jobs)),
    )


def _setup(one: Lesson, named: Names) -> Trace:
    before, factor = one.believed.setup[LIKELY], one.moved.setup
    return Trace(
        label=f"{one.task.title}: usual set-up at one place",
        expression="set-up believed before any own job × what jobs make of it",
        filled=f"{number_text(before)} × {factor:.4f}",
        result=one.after.setup[LIKELY],
        unit=HOURS,
        source=f"{SOURCE}. Rate and set-up are told apart by jobs whose places differ in size",
        steps=tuple(_job(told, named) for told in one.jobs),
    )


def _weight(one: Lesson, _named: Names) -> Trace:
    tau = tau_of(one.believed.hours)
    counted = sum(told.counts for told in one.jobs)
    return Trace(
        label="Weight of the jobs in the rate",
        expression="1 − what stays unknown; without set-up: jobs / (jobs + (their spread / spread of belief)²)",
        filled=f"{number_text(round(counted, 2))} jobs counted, {one.moved.spread:.3f} / {tau:.3f}",
        result=one.moved.rate_weight * 100,
        unit="%",
        source="Spread of belief: a sixth of low to high, from 10% to 18% (PERT; bounds are an assumption)",
    )


def _spread(one: Lesson, named: Names) -> Trace:
    return spread_trace(one.moved.spread, USUAL_SPREAD, tuple(_job(told, named) for told in one.jobs))


def spread_trace(spread: float, usual: float, jobs: tuple[Trace, ...]) -> Trace:
    """How far jobs differ from one another, as a share; `usual` is what it is held to while they are few."""
    return Trace(
        label="How far jobs differ from one another",
        expression=f"1.4826 × median distance from the median, held to {usual:.0%} as by {USUAL_COUNTS_AS} jobs",
        filled="",
        result=spread * 100,
        unit="%",
        source="Rousseeuw & Croux 1993; the usual spread is an assumption until your own jobs say otherwise",
        steps=jobs,
    )


def _job(told: Told, named: Names) -> Trace:
    return Trace(
        label=named(told),
        expression="hours logged / hours expected of its amount on its site",
        filled=f"{number_text(told.job.hours)} / {number_text(round(told.expected, 2))}; counts {told.counts:.0%}",
        result=told.times,
        unit="times",
        source=f"Farther off than {CUT} spreads a job counts less" if told.counts < 1 else "",
    )


_FIGURES: Mapping[str, Callable[[Lesson, Names], Trace]] = {
    "rate": _rate,
    "setup": _setup,
    "weight": _weight,
    "spread": _spread,
}
