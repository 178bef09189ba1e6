"""The early range of the first call: kinds of zone, a size, how hard the way in is → a band by zone and in all.

A made-up job is built from a typical recipe for each kind of zone and worked out by the same engine; the band is as
wide as an estimate without a drawing must be. It is no offer.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, sqrt
from typing import Any
from uuid import UUID

from app.domain.basis import Basis, Task
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.lines import Line
from app.domain.errors import BadValue
from app.domain.findings import Finding
from app.domain.job import Alternative, Client, Feature, Head, Job, PlaceKind, Run, Site, Work, Zone, ZoneKind
from app.domain.money import share
from app.domain.plan.shapes import rectangle

BAND_STEP_CENTS = 100_000  # bands are told in whole thousands
APART = 1_000.0  # ft between made-up zones: nothing is shared
MOST_AREA = 100_000.0  # sq ft
SIZES = ("small", "medium", "large")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """One zone the caller would like: its kind, and small, medium, large or an area [sq ft]."""

    kind: ZoneKind
    size: str | float = "medium"


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """From, to [cents], in whole thousands."""

    low: int
    high: int


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlyRange:
    """Bands by wish in their order, and in all. `findings` says what could not be counted.

    `prices` [cents] are what each band lies around; `apart` is how far it reaches down and up, as shares. `unpriced` is
    how many materials or wages have no price yet: while there are any, a band's low end is a least and its high end
    no bound at all. `to_price` are those materials, by key; `lines` are
    those of the typical yard.
    """

    zones: tuple[Band, ...]
    total: Band
    findings: tuple[Finding, ...]
    prices: tuple[int, ...] = ()
    apart: tuple[float, float] = (0.0, 0.0)
    unpriced: int = 0
    to_price: frozenset[str] = frozenset()
    lines: tuple[Line, ...] = ()


def early_range(
    wishes: Sequence[Wish],
    access: str,
    basis: Basis,
    *,
    data: Mapping[str, Any],
    works: Sequence[str] = (),
) -> EarlyRange:
    """A band for each zone the caller would like, and for all of them.

    `data` is the table of typical recipes (zone, access, accuracy); `works` are assemblies that every job starts with.
    What belongs to the whole job is shared among the zones by their own prices. The total is the band of the sum, so it
    lies between the sums of the zones' bands, which are each rounded outward.
    Raises: BadValue for a kind, size or access the table does not know.
    """
    if not wishes:
        raise BadValue("Tick at least one kind of zone for an early range.", field="kind")
    job = early_job(wishes, data, works)
    worked = estimate(job, _slowed(basis, _one_of(data.get("access", {}), access, "access")))
    low, high = (float(data["accuracy"][end]) for end in ("low", "high"))
    prices = _by_zone(job, worked)
    return EarlyRange(
        zones=tuple(_band(one, low, high) for one in prices),
        total=_band(sum(prices), low, high),
        findings=worked.findings,
        prices=prices,
        apart=(low, high),
        unpriced=worked.unpriced,
        to_price=worked.materials_unpriced,
        lines=worked.lines,
    )


def _by_zone(job: Job, worked: Estimate) -> tuple[int, ...]:
    own = [worked.price_by_zone.get(str(zone.id), 0) for zone in job.zones]
    parts = share(worked.price_cents - sum(own), [max(0, one) for one in own])
    return tuple(price + part for price, part in zip(own, parts, strict=True))


def _band(price_cents: int, low: float, high: float) -> Band:
    """A band around a price, rounded outward to whole thousands."""
    step = BAND_STEP_CENTS
    least = floor(price_cents * (1 + low) / step) * step
    return Band(low=max(0, least), high=ceil(price_cents * (1 + high) / step) * step)


def _slowed(basis: Basis, access: Mapping[str, Any]) -> Basis:
    """The basis with every task's hours times the factor of the access; the site itself is not known yet."""
    factor = float(access["labor"])

    def times(three: tuple[float, float, float]) -> tuple[float, float, float]:
        return three[0] * factor, three[1] * factor, three[2] * factor

    def slow(task: Task) -> Task:
        return replace(task, hours=times(task.hours), setup=times(task.setup))

    slowed = {key: slow(task) for key, task in basis.tasks.items()} if factor != 1.0 else basis.tasks
    return replace(basis, tasks=slowed, reminders={})  # nobody is asked what may be forgotten before there is a yard


def early_job(wishes: Sequence[Wish], data: Mapping[str, Any], works: Sequence[str] = ()) -> Job:
    """A made-up job of typical recipes: each zone a square of its size, runs and features as the recipe says."""
    made = _Making()
    for number, wish in enumerate(wishes):
        recipe = _one_of(data.get("zone", {}), wish.kind.value, "kind")
        made.zone(number, wish, recipe)
    for assembly in works:
        made.work(PlaceKind.JOB, None, assembly)
    total = sum(made.areas)
    nowhere = Site(id=made.new(), lot_area=4 * total, haul_distance=60.0, access_width=6.0)
    client = Client(id=made.new())
    return Job(
        head=Head(id=made.new(), client_id=client.id),
        client=client,
        site=nowhere,
        zones=tuple(made.zones),
        alternatives=tuple(made.alternatives),
        runs=tuple(made.runs),
        features=tuple(made.features),
        works=tuple(made.works),
    )


class _Making:
    """Things of the made-up job, numbered as they come."""

    def __init__(self) -> None:
        self.count = 0
        self.areas: list[float] = []
        self.zones: list[Zone] = []
        self.alternatives: list[Alternative] = []
        self.runs: list[Run] = []
        self.features: list[Feature] = []
        self.works: list[Work] = []

    def new(self) -> UUID:
        """The next id."""
        self.count += 1
        return UUID(int=self.count)

    def work(self, place: PlaceKind, place_id: UUID | None, assembly: str) -> None:
        """An assembly placed."""
        self.works.append(Work(id=self.new(), place=place, place_id=place_id, assembly=assembly))

    def zone(self, number: int, wish: Wish, recipe: Mapping[str, Any]) -> None:
        """A zone with all that its recipe places in it."""
        area = _area(wish, recipe)
        side = sqrt(area)
        own, way = self.new(), self.new()
        title = str(recipe.get("title", wish.kind.value))
        self.areas.append(area)
        self.zones.append(Zone(id=own, letter=str(number + 1), title=title, kind=wish.kind, chosen_id=way))
        square = rectangle(side, side, at=(number * APART, 0.0))
        self.alternatives.append(Alternative(id=way, zone_id=own, outline=square, fall=0.02))
        for placed in recipe.get("work", ()):
            self._place(placed, own, way, 4 * side)

    def _place(self, placed: Mapping[str, Any], zone: UUID, alternative: UUID, outline: float) -> None:
        assembly = str(placed["assembly"])
        if placed["place"] == "zone":
            self.work(PlaceKind.ALTERNATIVE, alternative, assembly)
        elif placed["place"] == "run":
            length = float(placed.get("length", outline * float(placed.get("outline_share", 0.0))))
            run = Run(id=self.new(), zone_id=zone, length=length, height=placed.get("height"), under=_NOTHING_UNDER)
            self.runs.append(run)
            self.work(PlaceKind.RUN, run.id, assembly)
        else:
            feature = Feature(id=self.new(), zone_id=zone, count=int(placed.get("count", 1)))
            feature = replace(feature, **_sizes(placed))
            self.features.append(feature)
            self.work(PlaceKind.FEATURE, feature.id, assembly)


_NOTHING_UNDER: Mapping[str, float] = {"zone": 0.0}


def _sizes(placed: Mapping[str, Any]) -> dict[str, Any]:
    return {name: float(placed[name]) for name in ("area", "length", "thickness", "height") if name in placed}


def _area(wish: Wish, recipe: Mapping[str, Any]) -> float:
    if isinstance(wish.size, str):
        if wish.size not in SIZES:
            raise BadValue(f"“{wish.size}” is no size. Choose small, medium or large, or type an area.", field="size")
        return float(recipe[wish.size])
    if not 0 < wish.size <= MOST_AREA:
        raise BadValue(f"An area of {wish.size:,.0f} sq ft is out of range; type up to {MOST_AREA:,.0f}.", field="size")
    return float(wish.size)


def _one_of(table: Mapping[str, Any], key: str, field: str) -> Mapping[str, Any]:
    found = table.get(key)
    if not isinstance(found, Mapping):
        raise BadValue(f"“{key}” is not known here. Known are {', '.join(table)}.", field=field)
    return found
