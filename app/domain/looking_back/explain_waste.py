"""Where a share lost that jobs taught comes from: `WHAT:WAY:MATERIAL` with `share`, `lost`, `weight`, `spread`."""

from collections.abc import Callable, Mapping

from app.domain.costing.explain_words import unit_text
from app.domain.looking_back.credibility import CUT
from app.domain.looking_back.explain_rates import spread_trace
from app.domain.looking_back.waste import ToldWaste, WasteLesson, Way, tau_of, usual_spread
from app.domain.takeoff.trace import Trace, number_text

SOURCE = (
    "Credibility Z = n / (n + k), k = (spread of jobs / spread of belief)², Bühlmann 1967, on shares; "
    "a job far off counts less, by Huber's loss (1964)"
)
OF: Mapping[Way, str] = {
    Way.MEASURED: "what the plan measures in place",
    Way.LAID: "the units laid, cuts counted",
}
Names = Callable[[ToldWaste], str]


def explain_waste(one: WasteLesson, what: str, named: Names) -> Trace | None:
    """How a figure of what is lost came about; None for one that is not there."""
    made = _FIGURES.get(what)
    return made(one, named) if made else None


def _share(one: WasteLesson, named: Names) -> Trace:
    by = one.moved.rate - 1.0
    held = " (fewer than three jobs never lower it: as before)" if one.held else ""
    return Trace(
        label=f"{one.material.title}: lost beyond {OF[one.way]}",
        expression=f"believed before any own job + what jobs move it by{held}",
        filled=f"{one.believed:.2%} {'+' if by >= 0 else '−'} {abs(by):.2%}",
        result=one.after * 100,
        unit="%",
        source=SOURCE,
        steps=(_weight(one, named), *(_job(told, one, named) for told in one.jobs)),
    )


def _lost(one: WasteLesson, named: Names) -> Trace:
    took = sum(told.job.went_in for told in one.jobs)
    measured = sum(told.job.measured for told in one.jobs)
    return Trace(
        label=f"{one.material.title}: lost on your jobs together",
        expression="went in / measured − 1",
        filled=f"{number_text(round(took, 2))} / {number_text(round(measured, 2))} − 1",
        result=one.lost * 100,
        unit="%",
        source=f"Of {OF[one.way]}",
        steps=tuple(_job(told, one, named) for told in one.jobs),
    )


def _weight(one: WasteLesson, _named: Names) -> Trace:
    tau = tau_of(one.believed)
    counted = sum(told.counts for told in one.jobs)
    return Trace(
        label="Weight of the jobs in the share",
        expression="jobs / (jobs + (their spread / spread of belief)²)",
        filled=f"{number_text(round(counted, 2))} jobs counted, {one.moved.spread:.3f} / {tau:.3f}",
        result=one.moved.rate_weight * 100,
        unit="%",
        source="Spread of belief: a third of the share, from 2% to 4% (assumption)",
    )


def _spread(one: WasteLesson, named: Names) -> Trace:
    return spread_trace(
        one.moved.spread, usual_spread(one.believed), tuple(_job(told, one, named) for told in one.jobs)
    )


def _job(told: ToldWaste, one: WasteLesson, named: Names) -> Trace:
    job, unit = told.job, unit_text(one.material.buy, 2)
    took = f"{number_text(job.came)} + {number_text(job.beside)} − {number_text(job.returned)}"
    less = f"Farther off than {CUT} spreads a job counts less. " if told.counts < 1 else ""
    return Trace(
        label=named(told),
        expression=f"(came whole + bought beside − sent back − left over) / measured − 1, in {unit}",
        filled=f"({took} − {number_text(job.left_over)}) / {number_text(round(job.measured, 2))} − 1",
        result=job.lost * 100,
        unit="%",
        source=f"{less}Bid with {job.planned:.1%}; counts {told.counts:.0%}",
    )


_FIGURES: Mapping[str, Callable[[WasteLesson, Names], Trace]] = {
    "share": _share,
    "lost": _lost,
    "weight": _weight,
    "spread": _spread,
}
