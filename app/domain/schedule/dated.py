"""The schedule of a job: every activity with its days, the path that decides the end, and how sure the end is."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from math import fsum

from app.domain.basis import Basis
from app.domain.findings import Finding
from app.domain.job import Job, Phase, Stage
from app.domain.schedule.activities import OUR_CREW, Planned, finished_over_last, links_of
from app.domain.schedule.axis import Dated, WorkingDays
from app.domain.schedule.crews import Placed, after_one_another, with_crews
from app.domain.schedule.in_time import OrderBy, Scheduled, before_permits, order_by, too_late
from app.domain.schedule.inspections import inspection_points, overdue_points
from app.domain.schedule.network import Link, Moments, Network, critical_path
from app.domain.schedule.put_off import PutOff, overdue_of
from app.domain.schedule.stages import READY, Stages
from app.domain.schedule.three_point import along
from app.domain.takeoff.included import with_included

UNDER_WAY = (Stage.SIGNED, Stage.BUILDING)  # work of which somebody writes down what came of it
SURE = 0.8  # the chance at which the later of the two finish days is said
SEASON_DAYS = 300.0  # working days that planting may wait for its season
SPARE_DAYS = 60.0  # working days looked at beyond all work and waiting


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What holds work up beside links and crews.

    `crews` of ours work side by side. `approved` is the day by phase before which nothing begins; `season` gives the
    first day from a day on at which an activity may begin (None: it has no season); `behind` are pairs of places
    (`zone:ID`): a machine reaches the first over the second, which is therefore finished later.
    """

    crews: int = 1
    approved: Mapping[str, date] = field(default_factory=dict)
    season: Callable[[Planned, date], date | None] | None = None
    behind: tuple[tuple[str, str], ...] = ()


FREE = Held()


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A job on its days. `expected` and `sure` are finishes: at even odds, and at eight in ten if one cause moves all.

    `assumed_start`: no phase has a start yet, and the first day on which work may begin stands in. `overdue`: by the
    key of an inspection that nobody wrote down, the day it was planned for.
    """

    activities: tuple[Scheduled, ...]
    start: date
    finish: date
    expected: date
    sure: date
    crew_days: float
    order_by: tuple[OrderBy, ...] = ()
    findings: tuple[Finding, ...] = ()
    assumed_start: bool = False
    overdue: Mapping[str, date] = field(default_factory=dict)


def schedule(
    job: Job,
    basis: Basis,
    plan: tuple[Planned, ...],
    stages: Stages,
    *,
    today: date,
    days: WorkingDays,
    held: Held = FREE,
) -> Schedule | None:
    """Lay the activities of a job on working days; None where nothing is planned yet.

    A phase begins on its day, or once what it waits for is approved; without a day, after the phase before it and no
    earlier than permits and marked lines let it. Crews of ours work side by side; every hired trade has one.
    Raises LinksGoRound, BadValue.
    """
    if not plan:
        return None
    starts = _starts(job, basis, stages, today, held.approved)
    within = (*links_of(job, plan, stages), *finished_over_last(plan, stages, held.behind))
    links = (*within, *_phase_by_phase(job, plan, within))
    axis = Dated(min(starts.values()), days, reach=_reach(plan, links, starts) + _beside(plan, starts, today, held))
    able = {one.activity.crew: 1 for one in plan} | {OUR_CREW: max(1, held.crews)}
    put_off = PutOff.of(job, plan, axis, today, held.season)
    begins = {phase: axis.morning_of(day) for phase, day in starts.items()}
    network, placed = _laid(plan, links, axis, begins, able, put_off)
    tied = Network(network.activities.values(), (*links, *after_one_another(network, placed, able)))
    told = _told(plan, tied, axis)
    orders, overdue = order_by(told.activities, basis), overdue_of(plan, put_off.overdue)
    return replace(
        told,
        order_by=orders,
        overdue=overdue if job.head.stage in UNDER_WAY else {},
        findings=(
            *_of_inspections(job, plan, overdue),
            *too_late(orders, today),
            *before_permits(job, waiting_days(job, basis, stages), today),
        ),
        assumed_start=all(phase.start is None for phase in job.phases),
    )


def _laid(
    plan: tuple[Planned, ...],
    links: Sequence[Link],
    axis: Dated,
    begins: Mapping[str, float],
    able: Mapping[str, int],
    put_off: PutOff,
) -> tuple[Network, Placed]:
    """Work laid by links and crews, again while something of it must be put off."""
    while True:
        activities = [
            replace(one.activity, not_before=max(begins.get(one.phase, 0.0), put_off.until.get(one.activity.key, 0.0)))
            for one in plan
        ]
        network = Network(activities, links)
        placed = with_crews(network, axis, critical_path(network, axis), able)
        if not put_off.again(network, placed):
            return network, placed


def _beside(plan: tuple[Planned, ...], starts: Mapping[str, date], today: date, held: Held) -> float:
    """Working days looked at beyond all work, for a season and for inspections that come only after today."""
    unseen = max((today - min(starts.values())).days, 0) if any(one.inspected for one in plan) else 0
    return (SEASON_DAYS if held.season else 0.0) + unseen


def _of_inspections(job: Job, plan: Iterable[Planned], overdue: Mapping[str, date]) -> Iterator[Finding]:
    """Inspections that failed; of a job under way, those that nobody wrote down."""
    rows = [(one.activity.title, one.inspected) for one in plan if one.inspected]
    yield from inspection_points(rows)
    if job.head.stage in UNDER_WAY:
        yield from overdue_points(rows, overdue)


def _told(plan: tuple[Planned, ...], network: Network, axis: Dated) -> Schedule:
    moments = critical_path(network, axis, part={one.activity.key: one.phase for one in plan})
    rows = tuple(_scheduled(one, moments[one.activity.key], network, axis) for one in plan)
    end = max(one.finish for one in moments.values())
    last = max(rows, key=lambda one: one.moments.finish).planned.phase
    path = [one.planned for one in rows if one.critical and one.planned.phase == last]
    worked = fsum(one.activity.days for one in path)
    finish = along([one.activity.key for one in path], {one.activity.key: one.days for one in path}, waits=end - worked)
    return Schedule(
        activities=tuple(sorted(rows, key=lambda one: (one.start, one.finish, one.planned.activity.title))),
        start=min(one.start for one in rows),
        finish=axis.finish_date(end),
        expected=axis.finish_date(finish.mean),
        sure=axis.finish_date(max(finish.mean, finish.sure(SURE, together=True))),
        crew_days=fsum(one.activity.days for one in plan if not one.trade),
    )


def _scheduled(one: Planned, moments: Moments, network: Network, axis: Dated) -> Scheduled:
    return Scheduled(
        planned=one,
        start=axis.start_date(moments.start),
        finish=max(axis.start_date(moments.start), axis.finish_date(moments.finish)),
        moments=moments,
        waits_for=tuple(network.wait[one.activity.key]),
    )


def _starts(job: Job, basis: Basis, stages: Stages, today: date, approved: Mapping[str, date]) -> Mapping[str, date]:
    """The first day of each phase: its own, else the first that permits, approvals and marked lines allow.

    One that has not begun waits for its approvals, whatever day was typed.
    """
    waits = waiting_days(job, basis, stages)
    ready = {str(phase.id): today + timedelta(days=waits.get(str(phase.id), 0) + 1) for phase in job.phases}
    ready |= {key: max(ready[key], day + timedelta(days=1)) for key, day in approved.items() if key in ready}
    told = {str(phase.id): _first_day(job, phase, today, ready, approved) for phase in job.phases}
    return {**told, "": min(told.values(), default=today + timedelta(days=waits.get("", 0) + 1))}


def _first_day(job: Job, phase: Phase, today: date, ready: Mapping[str, date], approved: Mapping[str, date]) -> date:
    key = str(phase.id)
    if phase.start is None:
        return ready[key]
    begun = job.head.stage is Stage.BUILDING and phase.start <= today
    there = approved.get(key)
    return phase.start if begun or there is None else max(phase.start, there + timedelta(days=1))


def waiting_days(job: Job, basis: Basis, stages: Stages) -> Mapping[str, int]:
    """The longest wait for permits, associations and marked lines by phase [days of the calendar]."""
    first = str(min(job.phases, key=lambda phase: phase.number).id) if job.phases else ""
    found: dict[str, int] = {}
    for work in job.works:
        for recipe in with_included(basis.assemblies, work.assembly).values():
            if recipe.build.order and stages.last(recipe) == READY:
                phase = str(work.phase_id) if work.phase_id else first
                found[phase] = max(found.get(phase, 0), recipe.build.lead_days)
    return found


def _phase_by_phase(job: Job, plan: Iterable[Planned], links: Iterable[Link]) -> Iterator[Link]:
    """A phase that has no day of its own waits for all of the one before it: its first for what nothing follows."""
    waits, followed = {link.after for link in links}, {link.before for link in links}
    phases = sorted(job.phases, key=lambda phase: phase.number)
    by_phase: dict[str, list[Planned]] = {str(phase.id): [] for phase in phases}
    for one in plan:
        by_phase.setdefault(one.phase, []).append(one)
    before: Phase | None = None
    for phase in phases:
        if before is not None and phase.start is None:
            last = [one for one in by_phase[str(before.id)] if one.activity.key not in followed]
            begin = [one for one in by_phase[str(phase.id)] if one.activity.key not in waits]
            for first in last:
                for then in begin:
                    yield Link(before=first.activity.key, after=then.activity.key, why="The phase before it")
        before = phase if by_phase[str(phase.id)] else before


def _reach(plan: Iterable[Planned], links: Iterable[Link], starts: Mapping[str, date]) -> float:
    """Working days that dates are wanted for: all work one after the other, at a third of the pace, and all waits."""
    work = 3 * fsum(one.activity.days for one in plan)
    waits = fsum({(link.before, link.lag): link.lag for link in links if link.lag}.values())
    apart = (max(starts.values()) - min(starts.values())).days
    return work + waits + apart + SPARE_DAYS
