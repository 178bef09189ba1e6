"""The crew sheet of a zone, and one for the general works: what to build, how deep, of what, in how many hours.

Nothing here can hold money, a supplier, a wage or a private note: the values have no field for them.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from app.domain.basis import Assembly, Basis, CostClass, Material
from app.domain.costing.estimate import days_of
from app.domain.costing.labor import hours_of
from app.domain.costing.quoted import deals
from app.domain.costing.site_factors import Slowing, slowing_of
from app.domain.crew.kept import kept_safe, valves_at
from app.domain.crew.layers import Size, known, layers, sizes
from app.domain.crew.lifting import HeavyPiece, heavy_pieces
from app.domain.crew.lines import gas_pipe, power_line
from app.domain.crew.work import CrewWork, together
from app.domain.job import (
    OVERHEAD,
    Answer,
    Fate,
    Job,
    Run,
    RunKind,
    known_lines,
    only_included,
)
from app.domain.takeoff.cautions import caution_keys
from app.domain.takeoff.drip_lines import RECIPE as DRIP_LINE
from app.domain.takeoff.drip_lines import bed_drip
from app.domain.takeoff.included import innermost_first
from app.domain.takeoff.kind import Special
from app.domain.takeoff.laid import COUNTS
from app.domain.takeoff.measures import WHOLE_JOB, Place, run_length
from app.domain.takeoff.purchases import wanted_of
from app.domain.takeoff.requirements import Requirement, Working, requirements, workings
from app.domain.takeoff.sprinkled import ValveWater
from app.domain.takeoff.vocabulary import PLACE_MEASURES
from app.domain.takeoff.whole import whole_up
from app.domain.units import RATIO, TRADE_UNITS

Wanted = Callable[[Sequence[Requirement], Sequence[Requirement]], bool]  # of a recipe's own, of all of its work
IN_THE_GROUND = (RunKind.CONDUIT, RunKind.PIPE, RunKind.DRAIN, RunKind.GAS)
MEASURE_WORDS = {"curved_length": "Length of curves"}
NOT_MEASURED = frozenset(
    {"fall", "ends", "gas_longest", "gas_heat", "laid_cuts", "laid_cut_length", "border_length"}
    | {"second_size_units", "third_size_units", *COUNTS}
)  # said elsewhere, or only counted with


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewAmount:
    """A material, a machine or a hired trade, summed over the sheet, in the unit it is bought by, losses included."""

    title: str
    amount: float
    unit: str
    kept: float = 0.0  # of it, left with the client


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewTask:
    """A task: how much of it there is, in the unit it is rated by, and its person-hours as planned."""

    title: str
    amount: float
    unit: str
    hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trade:
    """A part that a licensed or hired trade does; `before` is the step of ours that waits for it, by key."""

    trade: str
    what: str
    before: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundLine:
    """A line in the ground that this job lays: its kind, what it is called, its length [ft] where known."""

    kind: str
    title: str
    length: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewSheet:
    """All that one place's crew needs. `zone_id` is None for the general works."""

    zone_id: UUID | None
    letter: str
    title: str
    phases: tuple[str, ...]
    level: float | None
    fall: float | None
    fall_toward: str
    works: tuple[CrewWork, ...]
    materials: tuple[CrewAmount, ...]
    tools: tuple[CrewAmount, ...]
    hauled: tuple[CrewAmount, ...]
    hired: tuple[CrewAmount, ...]
    tasks: tuple[CrewTask, ...]
    trades: tuple[Trade, ...]
    steps: frozenset[str]  # keys of the steps of building
    cautions: tuple[str, ...]  # keys of the caution texts
    private_lines: tuple[tuple[str, Answer], ...]
    lines_note: str
    new_lines: tuple[GroundLine, ...]
    keep_safe: tuple[str, ...]
    at_hand: tuple[str, ...] = ()  # tools, in the recipes' words
    photos: tuple[str, ...] = ()  # of what will be covered, in the recipes' words
    checks: tuple[str, ...] = ()  # before going on, in the recipes' words
    heavy: tuple[HeavyPiece, ...] = ()
    valves: tuple[ValveWater, ...] = ()  # of the sprinklers, where something is done to them here

    @property
    def hours(self) -> float:
        """Person-hours in all."""
        return sum(task.hours for task in self.tasks)

    @property
    def empty(self) -> bool:
        """Whether nothing is placed here yet."""
        return not self.works


@dataclass(frozen=True, slots=True, kw_only=True)
class Doing:
    """A stage that is built at a place in a phase: its works, and how to tell what of them belongs to it.

    `steps` are the steps of building that are done in it, or that are looked at in it because nothing else does;
    `pictured` those, of recipes within recipes too, after which pictures are taken in it.
    """

    zone: str  # its id as text, or the whole job
    phase: str
    stage: str
    works: frozenset[UUID]
    steps: frozenset[str]
    stage_of: Callable[[Requirement], str]
    rank: Mapping[str, int]  # of the stages in their order
    pictured: frozenset[str] = frozenset()


def crew_sheets(job: Job, basis: Basis) -> tuple[CrewSheet, ...]:
    """The sheet of the general works first (where there are any), then one a zone, in their order."""
    job = only_included(job)
    reading = CrewReading(job, basis)
    general = reading.sheet(WHOLE_JOB)
    zones = tuple(reading.sheet(str(zone.id)) for zone in job.zones)
    return zones if general.empty else (general, *zones)


class CrewReading:
    """One job read once for all of its sheets."""

    def __init__(self, job: Job, basis: Basis) -> None:
        self.job = job
        self.basis = basis
        self.slowing = slowing_of(job.site, job.phases, basis.firm, basis.rules)
        days = days_of(job, basis)
        self.workings: Mapping[str, list[Working]] = _by_zone(workings(job, basis, crew_days=days), basis)
        self.needed: dict[str, list[Requirement]] = defaultdict(list)
        quoted = deals(job)
        self.given = frozenset(quoted.works) if quoted else frozenset()
        for one in requirements(job, basis, crew_days=days)[0]:
            if quoted and one.work_id in quoted.works and quoted.of(one):
                continue  # a subcontractor brings and does it
            self.needed[one.zone].append(one)

    def sheet(self, key: str, only: Doing | None = None) -> CrewSheet:
        """The sheet of a zone, or of the whole job's works; `only`: what belongs to one stage of it."""
        job = self.job
        zone = next((one for one in job.zones if str(one.id) == key), None)
        here, needed = self.workings.get(key, []), self.needed.get(key, [])
        recipes = list(dict.fromkeys(recipe for one in here for recipe in self._recipes(one.work.assembly)))
        closing, pictured = recipes, recipes
        if only:
            here = [one for one in here if one.work.id in only.works and one.place.phase == only.phase]
            closing = self._closing(here, needed, only)
            pictured = self._those(here, needed, lambda _own, _every: True)
            needed = [one for one in needed if _in_it(one, only)]
            recipes = self._worked_on(here, needed)
        steps = frozenset(step for one in recipes for step in self.basis.assemblies[one].build.order)
        built = [self.basis.assemblies[one].build for one in recipes]
        closed = [self.basis.assemblies[one].build for one in closing]
        chosen = job.chosen(zone) if zone else None
        return CrewSheet(
            zone_id=zone.id if zone else None,
            letter=zone.letter if zone else "",
            title=zone.title if zone else "",
            phases=self._phases(one.place.phase for one in here),
            level=chosen.level if chosen else None,
            fall=chosen.fall if chosen else None,
            fall_toward=chosen.fall_toward if chosen else "",
            works=together(_work(one, job, self.basis, given=one.work.id in self.given) for one in here),
            materials=self._amounts(needed, CostClass.MATERIAL),
            tools=self._amounts(needed, CostClass.EQUIPMENT),
            hauled=self._amounts(needed, CostClass.HAULING),
            hired=self._amounts(needed, CostClass.SUBCONTRACT),
            tasks=_tasks(needed, self.basis, self.slowing),
            trades=_trades(here, self.basis),
            steps=only.steps if only else steps,
            cautions=self._cautions(here),
            private_lines=tuple(known_lines(job.site, job.existing).items()),
            lines_note=job.site.private_lines_note,
            new_lines=tuple(_new_lines(job, zone.id if zone else None)),
            keep_safe=tuple(kept_safe(job)),
            at_hand=_each(words for one in built for words in one.tools),
            photos=_each((*self._pictures(pictured, only), *(words for one in closed for words in one.photos))),
            checks=_each(words for one in closed for words in one.checks),
            heavy=heavy_pieces(
                self.basis.materials[one.key] for one in needed if one.kind == "material" and one.amount > 0
            ),
            valves=valves_at(job, self.basis, (one.work.assembly for one in here)),
        )

    def roles(self, only: Doing) -> frozenset[str]:
        """The roles of what is put in at a stage: by them its layers are told from those of other days."""
        return frozenset(one.role for one in self.needed.get(only.zone, ()) if _in_it(one, only) and one.role)

    def _worked_on(self, here: Sequence[Working], needed: Sequence[Requirement]) -> list[str]:
        """The recipes that anything is needed of, the innermost first; of a work given away, all of them."""
        return self._those(here, needed, lambda own, every: bool(own) or not every)

    def _closing(self, here: Sequence[Working], needed: Sequence[Requirement], only: Doing) -> list[str]:
        """The recipes whose last stage at their work this is: what they want looked at is looked at in it."""
        end = only.rank[only.stage]

        def closes(own: Sequence[Requirement], every: Sequence[Requirement]) -> bool:
            held = own or every
            return not held or max(only.rank[only.stage_of(one)] for one in held) == end

        return self._those(here, needed, closes)

    def _pictures(self, recipes: Iterable[str], only: Doing | None) -> Iterator[str]:
        """Pictures of steps that are done at this stage; without one, of every step."""
        for key in recipes:
            for step, words in self.basis.assemblies[key].build.photos_after.items():
                yield from words if only is None or step in only.pictured else ()

    def _those(self, here: Sequence[Working], needed: Sequence[Requirement], wanted: Wanted) -> list[str]:
        """Recipes by what is needed of their own and of their whole work, each once."""
        found: dict[str, None] = {}
        for one in here:
            every = [it for it in needed if it.work_id == one.work.id]
            for key in self._recipes(one.work.assembly):
                recipe = self.basis.assemblies[key]
                if wanted([it for it in every if _is_of(it, recipe)], every):
                    found[key] = None
        return list(found)

    def _recipes(self, key: str) -> Iterator[str]:
        """A recipe and what it includes, the innermost first."""
        yield from (one.key for one in innermost_first(self.basis.assemblies, key))

    def _phases(self, ids: Iterable[str]) -> tuple[str, ...]:
        used = set(ids)
        return tuple(f"{p.number} {p.title}".strip() for p in self.job.phases if str(p.id) in used)

    def _cautions(self, here: Sequence[Working]) -> tuple[str, ...]:
        keys = (key for one in here for key in caution_keys(self.basis.assemblies[one.work.assembly], self.basis))
        wires = any(one.kind == OVERHEAD and one.fate is not Fate.GOES for one in self.job.existing)
        return tuple(dict.fromkeys((*keys, *(("overhead-lines",) if wires else ()))))

    def _amounts(self, needed: Iterable[Requirement], cost_class: CostClass) -> tuple[CrewAmount, ...]:
        wanted: dict[str, float] = defaultdict(float)
        kept: dict[str, float] = defaultdict(float)
        for one in needed:
            if one.kind == "material" and self.basis.materials[one.key].cost_class is cost_class:
                amount = wanted_of(one, self.basis.materials[one.key])
                wanted[one.key] += amount
                kept[one.key] += amount * one.keep / (1.0 + one.loss + one.keep)
        return tuple(_amount(self.basis.materials[key], wanted[key], kept[key]) for key in wanted if wanted[key] > 0)


def _is_of(one: Requirement, recipe: Assembly) -> bool:
    """Whether a recipe itself, without what it includes, asks for it."""
    if one.kind == "task":
        return any(use.task == one.key for use in recipe.tasks)
    return any(part.role == one.role for part in recipe.parts)


def _in_it(one: Requirement, only: Doing) -> bool:
    return one.work_id in only.works and one.phase == only.phase and only.stage_of(one) == only.stage


def _each(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))


def _amount(material: Material, wanted: float, kept: float) -> CrewAmount:
    """What is counted is carried whole."""
    counted = TRADE_UNITS[material.buy].dimension == RATIO
    return CrewAmount(
        title=material.title,
        amount=float(whole_up(wanted)) if counted else wanted,
        unit=material.buy,
        kept=float(whole_up(kept)) if counted else kept,
    )


def _by_zone(found: Iterable[Working], basis: Basis) -> Mapping[str, list[Working]]:
    """Workings by zone; those that only the owner's own hours go into are no concern of the crew."""
    by_zone: dict[str, list[Working]] = defaultdict(list)
    for one in found:
        if one.taken and not all(_own(piece.piece.key, piece.piece.is_task, basis) for piece in one.taken):
            by_zone[one.place.zone].append(one)
    return by_zone


def _own(key: str, is_task: bool, basis: Basis) -> bool:
    """Whether this is the owner's own time."""
    if not is_task:
        return False
    labor = basis.labor_classes.get(basis.tasks[key].crew)
    return labor is not None and labor.own


def _work(one: Working, job: Job, basis: Basis, *, given: bool) -> CrewWork:
    assembly = basis.assemblies[one.work.assembly]
    measured = tuple(_measures(one.place))
    way = next((way for way in job.alternatives if way.id == one.work.place_id), None)
    laid = layers(one.taken, basis) if one.place.kind == "zone" else ()
    words = (line for recipe in innermost_first(basis.assemblies, assembly.key) for line in recipe.build.words)
    return CrewWork(
        title=one.work.title or assembly.title,
        where=one.place.title,
        measures=measured,
        layers=laid,
        sizes=sizes(one.taken, beside_layers=bool(laid)),
        words=tuple(dict.fromkeys(words)),
        cure_days=assembly.build.cure_days,
        laid=one.laid,
        drip=bed_drip(job, basis, way) if way and assembly.key == DRIP_LINE else None,
        gas=gas_pipe(one),
        power=power_line(one),
        by_subcontractor=given,
    )


def _measures(place: Place) -> Iterator[Size]:
    """The measures of a place that are known and not zero; the fall stands on the sheet by itself."""
    for name, kind in PLACE_MEASURES[place.kind].items():
        if isinstance(kind, Special) or name in NOT_MEASURED:
            continue
        value = known(lambda name=name: place.measures[name])  # type: ignore[misc]
        if value and not (name == "count" and value == 1):
            yield Size(label=MEASURE_WORDS.get(name, name.capitalize()), value=float(value), dimension=kind)


def _tasks(needed: Iterable[Requirement], basis: Basis, slowing: Slowing) -> tuple[CrewTask, ...]:
    sums: dict[str, tuple[float, float]] = {}
    for one in needed:
        if one.kind == "task" and not _own(one.key, is_task=True, basis=basis):
            amount, hours = sums.get(one.key, (0.0, 0.0))
            task = basis.tasks[one.key]
            worked = hours_of(one.amount, task, basis.firm, slowing.of(one.phase)).priced
            sums[one.key] = amount + one.amount / TRADE_UNITS[task.unit].size, hours + worked
    return tuple(
        CrewTask(title=basis.tasks[key].title, amount=amount, unit=basis.tasks[key].unit, hours=hours)
        for key, (amount, hours) in sums.items()
        if amount > 0
    )


def _trades(here: Iterable[Working], basis: Basis) -> tuple[Trade, ...]:
    found = (
        Trade(trade=recipe.build.trade, what=one.work.title or recipe.title, before=recipe.build.waits_for_trade)
        for one in here
        for recipe in innermost_first(basis.assemblies, one.work.assembly)
        if recipe.build.trade
    )
    return tuple(dict.fromkeys(found))


def _new_lines(job: Job, zone_id: UUID | None) -> Iterator[GroundLine]:
    """Lines this job lays: those of the zone, and of no zone, which may pass anywhere; all on the general sheet."""
    for run in job.runs:
        if run.kind in IN_THE_GROUND and (zone_id is None or run.zone_id in (None, zone_id)):
            yield _ground_line(run)


def _ground_line(run: Run) -> GroundLine:
    return GroundLine(kind=run.kind.value, title=run.title, length=run_length(run))
