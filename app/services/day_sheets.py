"""The crew's sheet of one day: what the schedule has on it, what belongs to each, who is on it, what was signed."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

from app.domain.basis import Basis, CostClass
from app.domain.crew import CrewReading, CrewSheet, Doing
from app.domain.crew.days import days_of, signed_for, who_is_on
from app.domain.errors import BadValue, NotFound
from app.domain.job import Job, SignedCheck
from app.domain.people import CrewMember
from app.domain.schedule.activities import Planned, is_hired
from app.domain.schedule.dated import Schedule
from app.domain.schedule.in_time import Scheduled
from app.domain.schedule.stages import Stages
from app.domain.takeoff.included import innermost_first
from app.domain.takeoff.requirements import Requirement
from app.interchange.building_stages import building_stages
from app.interchange.crew_words import crew_words
from app.services.build import Stands, build_sheet, crew_basis
from app.services.office import Office
from app.services.scheduling import SMALL, schedule_of, working_days
from app.services.sheets import Sheet, kept

BY_THE_RECIPE = (CostClass.EQUIPMENT, CostClass.HAULING)
NO_SUCH_DAY = "Nothing is planned on that day (any more). Look at the days again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The working days on which anything is built, and what the schedule has of them."""

    days: tuple[date, ...]
    rows: tuple[Scheduled, ...]
    trouble: str = ""
    assumed: bool = False  # no phase has a start yet

    def on(self, day: date) -> tuple[Scheduled, ...]:
        """What is built on a day."""
        return tuple(one for one in self.rows if one.start <= day <= one.finish) if day in self.days else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPart:
    """One stage at one place on the day: which of its days this is, its sheet, who is on it, what was signed for."""

    row: Scheduled
    stage: str  # its title
    at: int  # which of its days, from 1
    of: int
    sheet: CrewSheet | None  # None: nothing of it stands in what was signed
    people: tuple[CrewMember, ...]
    signed: Mapping[str, tuple[SignedCheck, ...]]
    roles: frozenset[str] = frozenset()  # of what is put in on it
    waits_for: tuple[Planned, ...] = ()  # inspections that have not passed, of what this covers

    @property
    def key(self) -> str:
        """Names it in a form."""
        return "/".join(place_of(self.row.planned))


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySheet:
    """The sheet of a day. `person` is whose it is; None where it is everybody's."""

    stands: Stands
    day: date
    parts: tuple[DayPart, ...]
    crew: tuple[CrewMember, ...]
    person: CrewMember | None
    before: date | None
    after: date | None


def place_of(one: Planned) -> tuple[str, str, str]:
    """Zone, phase and stage, as what is said of it names them."""
    return one.place, one.phase, one.stage


def crew_days(office: Office, view: Sheet) -> Days:
    """The days of a job on which anything is built."""
    try:
        laid = schedule_of(office, view)
    except BadValue as wrong:
        return Days(days=(), rows=(), trouble=str(wrong))
    return _days(view, laid) if laid else Days(days=(), rows=())


def _days(view: Sheet, laid: Schedule) -> Days:
    rows = tuple(one for one in laid.activities if one.planned.activity.days > SMALL)
    working = working_days(view.basis.firm, view.today)
    spans = ((one.start, one.finish) for one in rows)
    return Days(days=days_of(spans, working.weekdays, working.closed), rows=rows, assumed=laid.assumed_start)


def days_to_take(office: Office, view: Sheet, ahead: timedelta) -> tuple[date, ...]:
    """The days from today on that a phone takes along."""
    return tuple(day for day in crew_days(office, view).days if view.today <= day <= view.today + ahead)


def day_sheet(office: Office, view: Sheet, day: date, person: str = "") -> DaySheet:
    """The sheet of a day, of one person or of all.

    Raises: NotFound where nothing is planned on it, or nobody of the crew has that key.
    """
    known, crew = crew_days(office, view), office.firm().crew
    on = known.on(day)
    if not on:
        raise NotFound(NO_SUCH_DAY)
    who = next((one for one in crew if one.key == person), None)
    if person and who is None:
        raise NotFound("Nobody of the crew goes by that name (any more). Look at the day again.")
    made = build_sheet(office, view)
    sheets = _sheets(office, view, made.stands, known.rows)
    unseen = {one.planned.activity.key: one.planned for one in known.rows if one.planned.inspected}
    parts = [replace(_part(view.job, one, day, known.days, crew, sheets), waits_for=_unseen(one, unseen)) for one in on]
    mine = [one for one in parts if who is None or who in one.people or one.row.planned.inspected]
    days = known.days
    return DaySheet(
        stands=made.stands,
        day=day,
        parts=tuple(mine),
        crew=crew,
        person=who,
        before=max((one for one in days if one < day), default=None),
        after=min((one for one in days if one > day), default=None),
    )


def _unseen(one: Scheduled, unseen: Mapping[str, Planned]) -> tuple[Planned, ...]:
    """The inspections it waits for; those that have passed take no day, and so are none of the rows."""
    return tuple(dict.fromkeys(unseen[link.before] for link in one.waits_for if link.before in unseen))


Sheets = Mapping[str, tuple[CrewSheet, frozenset[str]]]


def _part(
    job: Job, one: Scheduled, day: date, days: Sequence[date], crew: Sequence[CrewMember], sheets: Sheets
) -> DayPart:
    own = [it for it in days if one.start <= it <= one.finish]
    place = place_of(one.planned)
    sheet, roles = sheets.get(one.planned.activity.key, (None, frozenset[str]()))
    return DayPart(
        row=one,
        stage=building_stages().by_key[one.planned.stage].title,
        at=own.index(day) + 1,
        of=len(own),
        sheet=sheet,
        people=who_is_on(job.crew_on, crew, place, day) if not one.planned.trade else (),
        signed=signed_for(job.signed_checks, place),
        roles=roles,
    )


def _sheets(office: Office, view: Sheet, stands: Stands, rows: Sequence[Scheduled]) -> Sheets:
    """What belongs to each activity, by its key; worked out once while the job and its basis stand."""

    def work() -> Sheets:
        stages = building_stages()
        basis = crew_basis(stands, view.basis)
        reading = CrewReading(stands.job, basis)
        found = {}
        for doing in _doings(rows, stages, stands, basis):
            sheet = reading.sheet(doing[1].zone, doing[1])
            if not sheet.empty:
                found[doing[0]] = (sheet, reading.roles(doing[1]))
        return found

    key = ("day sheets", view.job.head.id, stands.signed.id if stands.signed else "", view.today)
    return kept(office, key, view.opened, work)


def _doings(rows: Sequence[Scheduled], stages: Stages, stands: Stands, basis: Basis) -> Iterable[tuple[str, Doing]]:
    stage_of = partial(stage_of_need, stands.basis, stages)
    steps = _steps(rows, stages, stands, lambda key: stages.in_order(basis.assemblies[key].build.order))
    pictured = _steps(rows, stages, stands, partial(pictured_steps, basis, stages))
    for one in rows:
        planned = one.planned
        if planned.inspected:
            continue  # somebody looks; nothing is built, bought or signed for
        yield (
            planned.activity.key,
            Doing(
                zone=planned.place,
                phase=planned.phase,
                stage=planned.stage,
                works=frozenset(planned.works),
                steps=frozenset(steps[planned.activity.key]),
                pictured=frozenset(pictured[planned.activity.key]),
                stage_of=stage_of,
                rank=stages.rank,
            ),
        )


def stage_of_need(basis: Basis, stages: Stages, one: Requirement) -> str:
    """The stage in which something is needed: as the schedule has it; a machine with the recipe that asks for it."""
    recipe = basis.assemblies[one.assembly]
    if one.kind == "task":
        return stages.of_task(one.key, recipe)
    material = basis.materials[one.key]
    if is_hired(material, recipe):
        return stages.of_hired(one.role, recipe)
    if material.cost_class in BY_THE_RECIPE:
        inner = innermost_first(basis.assemblies, recipe.key)
        recipe = next((it for it in inner if any(part.role == one.role for part in it.parts)), recipe)
    return stages.of_role(one.role, recipe)


def pictured_steps(basis: Basis, stages: Stages, key: str) -> Iterator[tuple[str, str]]:
    """The steps after which a recipe, or one within it, wants pictures taken, with their stages."""
    for recipe in innermost_first(basis.assemblies, key):
        for step, stage in stages.in_order(recipe.build.order):
            if step in recipe.build.photos_after:
                yield step, stage


def _steps(
    rows: Sequence[Scheduled], stages: Stages, stands: Stands, steps_of: Callable[[str], Iterable[tuple[str, str]]]
) -> Mapping[str, set[str]]:
    """Which of a recipe's steps belong to which activity: to that of their stage, else to the next there."""
    recipe_of = {work.id: work.assembly for work in stands.job.works}
    wanted: dict[tuple[str, str], dict[tuple[str, str], None]] = defaultdict(dict)
    at: dict[tuple[str, str], list[Scheduled]] = defaultdict(list)
    for one in (row for row in rows if not row.planned.inspected):
        place = one.planned.place, one.planned.phase
        at[place].append(one)
        orders = (steps_of(recipe_of[work]) for work in one.planned.works if work in recipe_of)
        wanted[place] |= dict.fromkeys(step for order in orders for step in order)
    found: dict[str, set[str]] = defaultdict(set)
    for place, steps in wanted.items():
        here = sorted(at[place], key=lambda one: stages.rank[one.planned.stage])
        for step, stage in steps:
            rank = stages.rank.get(stage, 0)
            after = [one for one in here if stages.rank[one.planned.stage] >= rank] or here[-1:]
            first = stages.rank[after[0].planned.stage]
            for one in after:
                if stages.rank[one.planned.stage] == first:
                    found[one.planned.activity.key].add(step)
    return found


def checks_of(office: Office, part: DayPart) -> tuple[str, ...]:
    """The words of everything that is signed for in a part of a day: of its steps, then of its recipes."""
    steps = crew_words(office.settings.library).steps
    held = part.sheet
    if held is None:
        return ()
    said = (steps[key].check for key in steps if key in held.steps)
    return tuple(dict.fromkeys(words for words in (*said, *held.checks) if words))


def planned_part(office: Office, view: Sheet, day: date, key: str) -> DayPart:
    """A stage of a place on a day, by its key. Raises: NotFound."""
    found = next((one for one in day_sheet(office, view, day).parts if one.key == key), None)
    if found is None:
        raise NotFound(NO_SUCH_DAY)
    return found
