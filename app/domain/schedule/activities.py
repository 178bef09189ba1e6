"""Activities of a job from its estimate: the crew-days of each stage at each place, and what waits for what."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import fsum
from uuid import UUID

from app.domain.basis import Assembly, Basis, CostClass, Material
from app.domain.costing.estimate import Estimate
from app.domain.costing.labor import Hours
from app.domain.costing.quoted import deals
from app.domain.job import Job, PlaceKind, TypedDays
from app.domain.schedule.inspections import TRADE as INSPECTION
from app.domain.schedule.inspections import (
    AskedFor,
    Inspected,
    Spot,
    Standing,
    Wanted,
    key_of,
    older_keys,
    standing_of,
    wanted_inspections,
)
from app.domain.schedule.network import Activity, Link
from app.domain.schedule.stages import BACKFILL, BASE, CLEAR, CLOSE, LINES, PLANTING, READY, START, SURFACE, Stages
from app.domain.schedule.three_point import Days
from app.domain.takeoff.buried import runs_below
from app.domain.takeoff.included import with_included
from app.domain.takeoff.measures import WHOLE_JOB, zone_title
from app.domain.takeoff.requirements import Requirement

OUR_CREW = "crew"
VISIT_DAYS = 1.0  # a hired trade at one place, until somebody says otherwise (assumption)
NOTHING = Days(0.0, 0.0, 0.0)
SAME_PLACE = "Done before it at the same place"
UNSEEN = "Nothing covers it before it has passed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An activity of a job: which stage, where, in which phase; person-hours, and days low, likely and high.

    `trade` says who is hired for it (empty: our crew). `assumed` days are nobody's figure yet.
    """

    activity: Activity
    phase: str
    place: str  # a zone's id, or the whole job
    stage: str
    trade: str
    hours: float
    days: Days
    cure_days: int
    works: tuple[UUID, ...]
    materials: tuple[str, ...]  # what must be there when it begins
    assumed: bool
    typed: bool = False  # its days are the owner's word
    inspected: Inspected | None = None  # of an inspection: what is looked at, and how it stands
    follows: bool = False  # a hired trade that comes once our crew is through with this stage


@dataclass(slots=True)
class _Gathered:
    """What adds up to one activity."""

    hours: list[Hours]
    works: dict[UUID, None]
    materials: dict[str, None]
    visit: bool = False
    follows: bool = False  # a trade that comes once our crew is through with the stage


Key = tuple[str, str, str, str]  # phase, place, stage, trade


def planned(
    job: Job, basis: Basis, estimate: Estimate, stages: Stages, *, asked: Iterable[AskedFor] = ()
) -> tuple[Planned, ...]:
    """Every activity, by phase, place and stage. Crew-days are the estimate's own hours over the crew's worked day.

    An inspection that a recipe or an approval (`asked`) asks for is an activity of its own after the stage it looks at.
    """
    groups: dict[Key, _Gathered] = defaultdict(lambda: _Gathered([], {}, {}))
    gather = _Gathering(job, basis, stages)
    for one, hours in zip(estimate.requirements, estimate.hours, strict=True):
        key = gather.key(one, hours)
        if key is not None:
            _take(groups[key], one, hours, visit=key[3] != "" and hours is None)
            groups[key].follows |= gather.follows(one, key)
    cures = _cures(job, basis, stages)
    a_day = estimate.paying.day.worked * estimate.paying.day.people
    numbers = {str(phase.id): phase.number for phase in job.phases}
    order = {WHOLE_JOB: "", **{str(zone.id): zone.letter or zone.title for zone in job.zones}}
    at = {work: (key[0], key[1]) for key, found in groups.items() for work in found.works}
    seen = wanted_inspections(job, basis, stages, at, (key[:3] for key in groups), asked)
    keys = (*groups, *((*spot, INSPECTION) for spot in seen))
    in_order = sorted(keys, key=lambda k: (numbers.get(k[0], 0), stages.rank[k[2]], order.get(k[1], ""), k[3]))
    return tuple(
        _inspection(key[:3], seen, job, gather)
        if key[3] == INSPECTION
        else _planned(key, groups[key], a_day, cures.get((key[1], key[2]), 0), gather)
        for key in in_order
    )


def with_typed_days(plan: Iterable[Planned], job: Job) -> tuple[Planned, ...]:
    """The same with the days the owner typed; those of a zone follow it into whichever phase it is put."""
    exact = {(_text(one.phase_id), _place(one), one.stage, one.trade): one.days for one in job.typed_days}
    loose = {(_place(one), one.stage, one.trade): one.days for one in job.typed_days if one.zone_id}
    found = []
    for one in plan:
        key = (one.place, one.stage, one.trade)
        days = exact.get((one.phase, *key), loose.get(key))
        if days is None or (one.inspected and one.inspected.standing is Standing.PASSED):
            found.append(one)
            continue
        activity = replace(one.activity, days=days)
        found.append(replace(one, activity=activity, days=Days(days, days, days), assumed=False, typed=True))
    return tuple(found)


def _text(key: UUID | None) -> str:
    return str(key) if key else ""


def _place(one: TypedDays) -> str:
    return str(one.zone_id) if one.zone_id else WHOLE_JOB


def _take(into: _Gathered, one: Requirement, hours: Hours | None, *, visit: bool) -> None:
    into.works[one.work_id] = None
    if hours is not None:
        into.hours.append(hours)
    elif visit:
        into.visit = True
    else:
        into.materials[one.key] = None


def is_hired(material: Material, recipe: Assembly) -> bool:
    """Whether somebody is hired for it: a subcontractor, or the recipe's trade for an allowance until it is quoted."""
    allowed = material.cost_class is CostClass.ALLOWANCE and bool(recipe.build.trade)
    return material.cost_class is CostClass.SUBCONTRACT or allowed


class _Gathering:
    """To which activity a requirement belongs."""

    def __init__(self, job: Job, basis: Basis, stages: Stages) -> None:
        self.basis, self.stages = basis, stages
        self.quoted = deals(job)
        self.titles = {WHOLE_JOB: "", **{str(zone.id): zone_title(zone) for zone in job.zones}}

    def key(self, one: Requirement, hours: Hours | None) -> Key | None:
        """Phase, place, stage and trade; None for the owner's own hours, machines and hauling, which take no days."""
        recipe = self.basis.assemblies.get(one.assembly)
        given = bool(self.quoted and one.work_id in self.quoted.works and self.quoted.of(one))
        if one.kind == "task":
            labor = self.basis.labor_classes.get(hours.labor_class) if hours else None
            if labor is not None and labor.own:
                return None
            stage = self.stages.of_task(one.key, recipe)
            return (one.phase, one.zone, stage, "Subcontractor" if given else "")
        material = self.basis.materials.get(one.key)
        if material is None or recipe is None or one.amount <= 0:
            return None
        if is_hired(material, recipe):
            stage = self.stages.of_hired(one.role, recipe)
            return (one.phase, one.zone, stage, recipe.build.trade or material.title)
        wanted = material.cost_class is CostClass.MATERIAL
        return (one.phase, one.zone, self.stages.of_role(one.role, recipe), "") if wanted else None

    def follows(self, one: Requirement, key: Key) -> bool:
        """Whether this is of a trade that comes to what our crew has put there in the same stage."""
        recipe = self.basis.assemblies.get(one.assembly)
        return recipe is not None and bool(key[3]) and key[3] == recipe.build.trade and self.stages.follows_us(recipe)

    def seen_title(self, place: str, what: Iterable[str]) -> str:
        """The words of an inspection: where, and what is looked at."""
        where, said = self.titles.get(place, ""), "; ".join(what)
        return f"{INSPECTION}, {where}: {said}" if where else f"{INSPECTION}: {said}"

    def title(self, key: Key) -> str:
        """The words of an activity: its stage and where."""
        stage, where = self.stages.by_key[key[2]].title, self.titles.get(key[1], "")
        said = f"{stage}, {where}" if where else stage
        return f"{said}: {key[3]}" if key[3] else said


def _planned(key: Key, found: _Gathered, a_day: float, cure_days: int, gather: _Gathering) -> Planned:
    hours = fsum(one.priced for one in found.hours)
    worked = [fsum(getattr(one, name) for one in found.hours) for name in ("low", "likely", "high")]
    spread = Days(*(one / a_day for one in worked)) if a_day > 0 else NOTHING
    visit = VISIT_DAYS if found.visit and not hours else 0.0
    phase, place, stage, trade = key
    activity = Activity(
        key="/".join(key),
        title=gather.title(key),
        days=visit or (hours / a_day if a_day > 0 else 0.0),
        crew=trade or OUR_CREW,
        outdoors=gather.stages.by_key[stage].outdoors,
    )
    return Planned(
        activity=activity,
        phase=phase,
        place=place,
        stage=stage,
        trade=trade,
        hours=hours,
        days=Days(visit, visit, visit) if visit else spread,
        cure_days=cure_days,
        works=tuple(found.works),
        materials=tuple(found.materials),
        assumed=bool(visit),
        follows=found.follows,
    )


def _inspection(spot: Spot, seen: Mapping[Spot, Wanted], job: Job, gather: _Gathering) -> Planned:
    """The wait for an inspection; none once it has passed. Rain holds no inspector up, and no crew is wanted for it."""
    (phase, place, stage), wanted = spot, seen[spot]
    older = older_keys(spot, seen, gather.stages)
    inspected = standing_of(key_of(place, stage), wanted.what, job.logged_visits, older=older)
    days = 0.0 if inspected.standing is Standing.PASSED else float(wanted.days)
    key = "/".join((*spot, INSPECTION))
    return Planned(
        activity=Activity(key=key, title=gather.seen_title(place, wanted.what), days=days, crew=key),
        phase=phase,
        place=place,
        stage=stage,
        trade=INSPECTION,
        hours=0.0,
        days=Days(days, days, days),
        cure_days=0,
        works=wanted.works,
        materials=(),
        assumed=bool(days),
        inspected=inspected,
    )


def _cures(job: Job, basis: Basis, stages: Stages) -> Mapping[tuple[str, str], int]:
    """The longest cure after each stage at each place [days of the calendar]."""
    zone_of = {thing.id: thing.zone_id for kind in (job.alternatives, job.runs, job.features) for thing in kind}
    found: dict[tuple[str, str], int] = {}
    for work in job.works:
        zone_id = zone_of.get(work.place_id) if work.place_id else None
        place = str(zone_id) if zone_id and work.place is not PlaceKind.JOB else WHOLE_JOB
        for recipe in with_included(basis.assemblies, work.assembly).values():
            if recipe.build.cure_days:
                key = (place, stages.curing(recipe))
                found[key] = max(found.get(key, 0), recipe.build.cure_days)
    return found


def links_of(job: Job, plan: Iterable[Planned], stages: Stages) -> tuple[Link, ...]:
    """What waits for what: stages at one place, moving in before all and handing over after all, lines before bases."""
    by_phase: dict[str, list[Planned]] = defaultdict(list)
    for one in plan:
        by_phase[one.phase].append(one)
    under = _lines_under(job)
    return tuple(link for here in by_phase.values() for link in _in_phase(here, stages, under))


def finished_over_last(plan: Iterable[Planned], stages: Stages, behind: Iterable[tuple[str, str]]) -> Iterator[Link]:
    """A zone that a machine crosses to another is finished after that one is dug, and its base laid.

    `behind` are pairs of places (`zone:ID`), the one that is reached first and the one that is crossed.
    """
    at: dict[tuple[str, str], list[Planned]] = defaultdict(list)
    for one in plan:
        at[one.phase, f"zone:{one.place}"].append(one)
    phases = {phase for phase, _ in at}
    for reached, crossed in behind:
        for phase in phases:
            dug = [one for one in at.get((phase, reached), ()) if stages.rank[one.stage] <= stages.rank[BASE]]
            closing = [one for one in at.get((phase, crossed), ()) if stages.rank[one.stage] >= stages.rank[SURFACE]]
            for first in dug:
                for then in closing:
                    yield _link(first, then, "The machine's way lies over it")


def _lines_under(job: Job) -> Mapping[str, frozenset[str]]:
    """By zone: the places whose lines run below it."""
    found: dict[str, set[str]] = defaultdict(set)
    for one in runs_below(job):
        found[one.over].add(str(one.run.zone_id) if one.run.zone_id else WHOLE_JOB)
    return {zone: frozenset(places) for zone, places in found.items()}


def _in_phase(here: list[Planned], stages: Stages, under: Mapping[str, frozenset[str]]) -> Iterator[Link]:
    yield from _stage_by_stage(here, stages)
    yield from _after_lines(here, under)
    general: dict[str, list[Planned]] = defaultdict(list)
    for one in here:
        if one.place == WHOLE_JOB and (not one.trade or one.stage == READY):
            general[one.stage].append(one)
    for one in here:
        if one.place == WHOLE_JOB:
            continue
        yield from _after_general(one, general)
    for last in general.get(CLOSE, ()):
        for one in here:
            if one is not last and one.stage != CLOSE:
                yield _link(one, last, "Handing over comes last")


def _stage_by_stage(here: list[Planned], stages: Stages) -> Iterator[Link]:
    """At one place each stage waits for the one before it, and for what cures."""
    places: dict[str, dict[int, list[Planned]]] = defaultdict(lambda: defaultdict(list))
    for one in here:
        places[one.place][stages.rank[one.stage]].append(one)
    for found in places.values():
        for before, after in pairwise(sorted(found)):
            for first in found[before]:
                for then in found[after]:
                    yield _link(first, then, UNSEEN if first.inspected else SAME_PLACE, cure=first.cure_days)
        for here_now in found.values():
            yield from _within_a_stage(here_now)


def _within_a_stage(here_now: Sequence[Planned]) -> Iterator[Link]:
    """Our crew, then the trade that comes to what it put there, then whoever looks at it."""
    ours = [one for one in here_now if not one.trade]
    there = [one for one in here_now if not one.inspected]
    for hired in (one for one in there if one.follows):
        for first in ours:
            yield _link(first, hired, "What the trade comes for must be there")
    for seen in (one for one in here_now if one.inspected):
        for first in there:
            yield _link(first, seen, "What is inspected must be there")


def _after_lines(here: Iterable[Planned], under: Mapping[str, frozenset[str]]) -> Iterator[Link]:
    """A base waits for the lines of other places below it, planting for those of the whole job, seen and closed."""
    lines: dict[str, list[Planned]] = defaultdict(list)
    for one in here:
        if one.stage in (LINES, BACKFILL):
            lines[one.place].append(one)
    for one in here:
        if one.place == WHOLE_JOB or one.stage not in (BASE, PLANTING):
            continue
        below = under.get(one.place, frozenset()) if one.stage == BASE else frozenset({WHOLE_JOB})
        for first in (line for place in sorted(below - {one.place}) for line in lines[place]):
            said = "Lines run below it" if one.stage == BASE else "Trenches are closed first"
            yield _link(first, one, UNSEEN if first.inspected else said)


def _after_general(one: Planned, general: Mapping[str, Sequence[Planned]]) -> Iterator[Link]:
    """What a place waits for of the whole job's: hired trades too where they come before all work (lines made dead)."""
    for stage, why in (
        (READY, "Permits and marked lines come first"),
        (START, "Moving in and protecting come first"),
        (CLEAR, "What goes is taken out first"),
    ):
        if stage == CLEAR and one.stage in (READY, START, CLEAR):
            continue
        for first in general.get(stage, ()):
            yield _link(first, one, why)


def _link(before: Planned, after: Planned, why: str, *, cure: int = 0) -> Link:
    return Link(before=before.activity.key, after=after.activity.key, lag=cure, cures=bool(cure), why=why)
