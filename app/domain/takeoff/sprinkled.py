"""Sprinklers of a plan: heads that are there and new ones, the valves they hang on, what each valve really waters.

What a valve waters is what its heads throw over of lawn and beds, today and once the plan is built; its rate is the
water that lands there over that area. What is not known is named, never taken for nothing.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from app.domain.basis import Basis
from app.domain.job import SPRINKLERS, VALVE, Existing, Fate, Feature, Job, PlaceKind, only_included
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.arcs import Point
from app.domain.takeoff.green import Green, green_built, green_today
from app.domain.trades.sprinklers import Throw, Wetted, minutes_for, sector, wetted

NEW_HEAD = "sprinkler-head"  # the recipe of a new head
LAWN_FACTOR, BED_FACTOR = 0.8, 0.9  # of the water a hot day takes. Source: as the calculation of drip run time
EVENNESS = 0.65  # where the firm's rules do not say. Source: as the rule
WATER_DAY = 0.18  # in of water a hot day, likewise
WHOLE = 360.0  # degrees
# ft, degrees, gpm: what a head can be said to throw; what is typed is held to them
THROWS, ARCS, FLOWS = (0.5, 200.0), (1.0, WHOLE), (0.01, 500.0)
STAY = frozenset({Fate.STAYS, Fate.PROTECTED})


@dataclass(frozen=True, slots=True, kw_only=True)
class SprinklerHead:
    """A head of the plan where it stands: what is known of it. `new`: it is a feature; else a thing that is there.

    `to` is where one that moves goes.
    """

    thing: Existing | Feature
    at: Point
    fate: Fate = Fate.STAYS
    new: bool = False
    to: Point | None = None

    @property
    def where(self) -> str:
        """Its key as a place."""
        return f"{'feature' if self.new else 'existing'}:{self.thing.id}"

    @property
    def title(self) -> str:
        """What it is called."""
        return self.thing.title or "A sprinkler head"

    @property
    def lacks(self) -> tuple[str, ...]:
        """What keeps its water from being worked out."""
        one = self.thing
        known = (("throw", one.throw, THROWS), ("arc", one.arc, ARCS), ("flow", one.flow, FLOWS))
        found = [name for name, value, bounds in known if not _lies(value, bounds)]
        if _lies(one.arc, ARCS) and one.arc != WHOLE and one.faces is None:
            found.append("the way it faces")
        return tuple(found)

    def throw_at(self, at: Point) -> Throw | None:
        """Where it throws, standing at a point; None where that is not known."""
        one = self.thing
        if one.throw is None or one.arc is None or set(self.lacks) - {"flow"}:
            return None
        flow = one.flow if "flow" not in self.lacks else 0.0
        return Throw(at=at, radius=one.throw, arc=one.arc, faces=one.faces or 0.0, flow=flow or 0.0)

    @property
    def stands_later(self) -> Point | None:
        """Where it stands once the plan is built; None for one that goes, or moves nobody said where to."""
        if self.fate is Fate.MOVES:
            return self.to
        return None if self.fate is Fate.GOES else self.at


@dataclass(frozen=True, slots=True, kw_only=True)
class Watered:
    """What a valve waters: its heads, what they wet of lawn and beds; `lacks` says why `lawn` and `beds` are None.

    `gives` is the flow of its heads [gpm], None where one is not known. `measured`: it is the valve's own, by meter or
    bucket, shared by what each head throws over.
    """

    heads: tuple[SprinklerHead, ...]
    gives: float | None = None
    lacks: tuple[str, ...] = ()
    whole: Wetted | None = None
    lawn: Wetted | None = None
    beds: Wetted | None = None
    measured: bool = False

    @property
    def rate(self) -> float | None:
        """How fast it waters what it really serves [in/h]; None where that is not known or nothing is served."""
        return self.whole.rate if self.whole else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveWater:
    """A valve with its heads, today and once the plan is built. `valve` is None for heads of no known valve.

    `printed` is what its heads add up to today [gpm]; None where one is not known. Minutes are those of a hot week.
    """

    valve: Existing | None
    today: Watered
    built: Watered
    printed: float | None
    lawn_minutes: float | None = None
    bed_minutes: float | None = None
    lawn_depth: float = 0.0
    bed_depth: float = 0.0

    @property
    def title(self) -> str:
        """What it is called."""
        return (self.valve.title or "Valve") if self.valve else "No valve said"

    @property
    def where(self) -> str:
        """Its key as a place; that of its first head where it is none."""
        if self.valve:
            return f"existing:{self.valve.id}"
        return (self.today.heads or self.built.heads)[0].where


@dataclass(frozen=True, slots=True, kw_only=True)
class Sprinkled:
    """All sprinklers of a plan: every valve, the heads, what is watered, and heads counted without a place."""

    valves: tuple[ValveWater, ...]
    heads: tuple[SprinklerHead, ...]
    today: Green
    built: Green
    counted: int

    @property
    def own(self) -> tuple[ValveWater, ...]:
        """The valves that somebody named."""
        return tuple(one for one in self.valves if one.valve)


def _lies(value: float | None, bounds: tuple[float, float]) -> bool:
    return value is not None and bounds[0] <= value <= bounds[1]


_SPRINKLED: KeptByInputs[Sprinkled] = KeptByInputs(32)


def heads_of(job: Job) -> tuple[SprinklerHead, ...]:
    """Every head that stands on the plan: those that are there, then new ones."""
    return (*_there(job), *_new(job))


def _there(job: Job) -> Iterator[SprinklerHead]:
    for one in job.existing:
        if is_head(one) and one.x is not None and one.y is not None:
            yield SprinklerHead(thing=one, at=(one.x, one.y), fate=one.fate, to=one.moves_to)


def _new(job: Job) -> Iterator[SprinklerHead]:
    works = {one.place_id for one in job.works if one.place is PlaceKind.FEATURE and one.assembly == NEW_HEAD}
    for one in job.features if works else ():
        if one.id in works and one.count == 1 and one.x is not None and one.y is not None:
            yield SprinklerHead(thing=one, at=(one.x, one.y), new=True)


def is_head(thing: Existing) -> bool:
    """Whether a thing that is there is one head at a point of the plan."""
    drawn = thing.outline is not None or len(thing.points) > 1
    return thing.kind == SPRINKLERS and thing.count == 1 and not drawn and thing.x is not None and thing.y is not None


def is_sprinkler(thing: Existing) -> bool:
    """Whether a thing that is there is a valve, or one head: both stand on the Sprinklers sheet."""
    return thing.kind == VALVE or is_head(thing)


def sprinkled(job: Job, basis: Basis) -> Sprinkled | None:
    """The sprinklers of what is included of a job; None where no head and no valve is on it. Kept."""
    job = only_included(job)
    if not any(one.kind == VALVE or is_head(one) for one in job.existing) and not any(_new(job)):
        return None
    rests_on = (*(Same(one) for one in _rests_on(job)), Same(basis))
    return _SPRINKLED.get_or_make(job.head.id, rests_on, lambda: _sprinkled(job, basis))


def _rests_on(job: Job) -> tuple[object, ...]:
    return job.existing, job.features, job.works, job.zones, job.alternatives, job.site


def _sprinkled(job: Job, basis: Basis) -> Sprinkled:
    heads, today, built = heads_of(job), green_today(job), green_built(job, basis)
    by_valve: dict[UUID | None, list[SprinklerHead]] = defaultdict(list)
    known = {one.id: one for one in job.existing if one.kind == VALVE}
    for head in heads:
        by_valve[head.thing.valve_id if head.thing.valve_id in known else None].append(head)
    valves = [*known.values(), *([None] if by_valve[None] else [])]
    counted = (one for one in job.existing if one.kind == SPRINKLERS and not is_head(one) and not one.points)
    return Sprinkled(
        valves=tuple(_valve(one, by_valve[one.id if one else None], (today, built), basis) for one in valves),
        heads=heads,
        today=today,
        built=built,
        counted=sum(one.count for one in counted),
    )


def _valve(
    valve: Existing | None, heads: Sequence[SprinklerHead], grounds: tuple[Green, Green], basis: Basis
) -> ValveWater:
    now = tuple(one for one in heads if not one.new)
    later = tuple(one for one in heads if one.fate is not Fate.GOES)
    flows = [one.thing.flow for one in now]
    printed = sum(one for one in flows if one is not None) if flows and None not in flows else None
    measured = valve.flow if valve and _lies(valve.flow, FLOWS) else None
    today = _watered(now, [one.at for one in now], grounds[0], measured)
    same = [(one.thing.id, one.stands_later) for one in later] == [(one.thing.id, one.at) for one in now]
    built = _watered(later, [one.stands_later for one in later], grounds[1], measured if same else None)
    found = ValveWater(valve=valve, today=today, built=built, printed=printed)
    return _timed(found, basis) if valve else found


def _watered(
    heads: tuple[SprinklerHead, ...], places: Sequence[Point | None], green: Green, measured: float | None
) -> Watered:
    """What heads wet, standing at those places, of lawn and beds."""
    lacks = tuple(_lacking(heads, places, green, measured))
    known_flows = bool(heads) and not any("flow" in one.lacks for one in heads)
    gives = measured if measured is not None else sum(one.thing.flow or 0.0 for one in heads) if known_flows else None
    found = Watered(heads=heads, gives=gives, lacks=lacks, measured=measured is not None)
    throws = [head.throw_at(at) for head, at in zip(heads, places, strict=True) if at is not None]
    known = [one for one in throws if one is not None]
    if lacks or not heads:
        return found
    if measured is not None:
        known = _shared(known, measured)
    whole = wetted(known, green.all)
    if whole.rate is None:
        return replace(found, lacks=("any lawn or bed where its heads throw",))
    return replace(found, whole=whole, lawn=wetted(known, green.lawn), beds=wetted(known, green.beds))


def _shared(throws: Sequence[Throw], flow: float) -> list[Throw]:
    """The measured flow shared by what the heads give, else by what each throws over."""
    given = [one.flow for one in throws]
    parts = given if all(given) else [sector(one).area for one in throws]
    return [replace(one, flow=flow * part / sum(parts)) for one, part in zip(throws, parts, strict=True)]


def _lacking(
    heads: Sequence[SprinklerHead], places: Sequence[Point | None], green: Green, measured: float | None
) -> Iterator[str]:
    if not heads:
        yield "its heads"
    for head, at in zip(heads, places, strict=True):
        if at is None:
            yield f"where {head.title} moves to"
        for one in head.lacks:
            if one != "flow" or measured is None:
                yield f"{one} of {head.title}"
    if not green.drawn:
        yield "the outline of lawn or beds"


def _timed(found: ValveWater, basis: Basis) -> ValveWater:
    """With the minutes that it runs in a hot week, once built: for its lawn and for its beds."""
    day = _said(basis, "plant-water-day", WATER_DAY)
    lawn, beds = 7 * day * LAWN_FACTOR, 7 * day * BED_FACTOR
    found = replace(found, lawn_depth=lawn, bed_depth=beds)
    return replace(
        found,
        lawn_minutes=minutes_of(found.built, basis, lawn) if _wets(found.built.lawn) else None,
        bed_minutes=minutes_of(found.built, basis, beds) if _wets(found.built.beds) else None,
    )


def minutes_of(water: Watered, basis: Basis, depth: float) -> float | None:
    """How long a valve runs for a depth of water [in], as even as the firm's rule says; None without its rate."""
    evenness = _said(basis, "sprinkler-evenness", EVENNESS)
    return minutes_for(depth, water.rate, evenness) if water.rate is not None else None


def _wets(part: Wetted | None) -> bool:
    return part is not None and part.rate is not None


def _said(basis: Basis, rule: str, usual: float) -> float:
    found = basis.rules.get(rule)
    return found.value if found else usual
