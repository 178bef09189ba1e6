"""The lines of an estimate by zone, phase, trade, class or work. Every line stands in one group; groups add up."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from app.domain.basis import Basis
from app.domain.costing.crew_day import TITLES
from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import ALLOWANCE, IDLE, ROUNDING, WHOLE_JOB, Line
from app.domain.job import Job, zone_keys, zones_by_key
from app.domain.takeoff.trace import Trace

By = Literal["zone", "phase", "trade", "class", "work"]
MOST_STEPS = 40  # lines told one by one in the explanation of a group
_DAYS = "whole crew days"
_APART = {IDLE: _DAYS, **dict.fromkeys(TITLES, _DAYS), ALLOWANCE: "allowances", ROUNDING: "rounding"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Lines that belong together: their places in the estimate, what they cost and sell for [cents], their hours."""

    by: By
    key: str
    title: str
    letter: str
    lines: tuple[int, ...]
    cost_cents: int
    price_cents: int
    hours: float

    @property
    def figure(self) -> str:
        """The name by which the group's price is explained."""
        return f"step:{ROUNDING}" if self.key == ROUNDING else f"{self.by}:{self.key}"


def grouped(by: By, job: Job, basis: Basis, worked: Estimate) -> tuple[Group, ...]:
    """The lines by zone or phase in their order, by trade or by class in the order of what they sell for."""
    keys: dict[str, list[int]] = {}
    key_of = _KEYS[by](basis, worked)
    of_line = [key_of(at, line) for at, line in enumerate(worked.lines)]
    for key, run in groupby(range(len(of_line)), of_line.__getitem__):  # lines of a group stand in runs
        keys.setdefault(key, []).extend(run)
    names = _names(by, job)
    groups = [_group(by, key, places, names.get(key), worked) for key, places in keys.items()]
    if by == "zone":
        order = {key: place for place, key in enumerate(zone_keys(job.zones))}
        return tuple(sorted(groups, key=lambda one: order.get(one.key, len(order))))
    if by == "phase":
        order = {str(phase.id): phase.number for phase in job.phases}
        return tuple(sorted(groups, key=lambda one: (one.key not in order, order.get(one.key, 0), one.key)))
    return tuple(sorted(groups, key=lambda one: (one.key == ROUNDING, -one.price_cents, one.key)))


def explain_group(group: Group, worked: Estimate, currency: str) -> Trace:
    """How a group's price came about: the selling prices of its lines, the largest first, the small rest as one."""
    return Trace(
        label=group.title,
        expression="sum of what its lines sell for",
        filled=f"{_counted(group)}, each with its share of overhead, contingency, profit and tax",
        result=group.price_cents / 100,
        unit=currency,
        steps=_largest_first(group, worked, {at: worked.selling[at] for at in group.lines}, currency),
    )


def explain_direct(group: Group, worked: Estimate, currency: str) -> Trace:
    """How a group's direct cost came about: what its lines cost the firm before any step of the build-up."""
    return Trace(
        label=f"{group.title}: direct cost",
        expression="sum of what its lines cost",
        filled=f"{_counted(group)}, before overhead, contingency, profit and tax",
        result=group.cost_cents / 100,
        unit=currency,
        steps=_largest_first(group, worked, {at: worked.lines[at].cents for at in group.lines}, currency),
    )


def _counted(group: Group) -> str:
    return "one line" if len(group.lines) == 1 else f"{len(group.lines)} lines"


def _largest_first(group: Group, worked: Estimate, cents: Mapping[int, int], currency: str) -> tuple[Trace, ...]:
    largest = sorted(group.lines, key=lambda at: -abs(cents[at]))
    told, rest = largest[:MOST_STEPS], largest[MOST_STEPS:]
    steps = [_step(worked.lines[at].title, cents[at], currency) for at in told]
    if rest:
        steps.append(_step(f"{len(rest)} smaller lines", sum(cents[at] for at in rest), currency))
    return tuple(steps)


def _step(title: str, cents: int, currency: str) -> Trace:
    return Trace(label=title, expression="", filled="", result=cents / 100, unit=currency)


def _group(by: By, key: str, places: Sequence[int], name: tuple[str, str] | None, worked: Estimate) -> Group:
    lines, selling = [worked.lines[at] for at in places], worked.selling
    letter, title = name or ("", _UNNAMED.get(by, key[:1].upper() + key[1:]))
    return Group(
        by=by,
        key=key,
        title=title,
        letter=letter,
        lines=tuple(places),
        cost_cents=sum([line.cents for line in lines]),
        price_cents=sum([selling[at] for at in places]),
        hours=sum([line.hours for line in lines]),
    )


_UNNAMED: Mapping[str, str] = {"zone": "The job as a whole", "phase": "In no phase", "work": "This work"}


def _names(by: By, job: Job) -> Mapping[str, tuple[str, str]]:
    """Letter and title of what the lines are grouped by, where it has them."""
    if by == "zone":
        return {key: (zone.letter, zone.title) for key, zone in zones_by_key(job.zones).items()}
    if by == "phase":
        return {str(phase.id): (str(phase.number), phase.title or f"Phase {phase.number}") for phase in job.phases}
    if by == "work":
        return {str(work.id): ("", work.title) for work in job.works if work.title}
    return {}


KeyOf = Callable[[int, Line], str]


def _by_zone(_basis: Basis, _worked: Estimate) -> KeyOf:
    return lambda _at, line: line.zone or WHOLE_JOB


def _by_phase(_basis: Basis, _worked: Estimate) -> KeyOf:
    return lambda _at, line: line.phase


def _by_class(_basis: Basis, _worked: Estimate) -> KeyOf:
    return lambda _at, line: ROUNDING if line.kind == ROUNDING else line.cost_class.value


def _by_trade(basis: Basis, worked: Estimate) -> KeyOf:
    needed, assemblies = worked.requirements, basis.assemblies

    def key(at: int, line: Line) -> str:
        if at >= len(needed):
            return _APART.get(line.kind, line.kind)
        found = assemblies.get(needed[at].assembly)
        return (found.group or found.section) if found else "other work"

    return key


def _by_work(_basis: Basis, _worked: Estimate) -> KeyOf:
    return lambda _at, line: line.work_id


_KEYS: Mapping[By, Callable[[Basis, Estimate], KeyOf]] = {
    "zone": _by_zone,
    "phase": _by_phase,
    "trade": _by_trade,
    "class": _by_class,
    "work": _by_work,
}
