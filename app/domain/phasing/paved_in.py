"""Never pave yourself out: what a machine must reach, and what earlier work has closed to it by then."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from app.domain.basis import Basis
from app.domain.findings import Finding, Severity
from app.domain.job import Fate, Job, PlaceKind, Run, phase_of, ways_by_key, zones_by_key
from app.domain.keeping import KeptByInputs
from app.domain.phasing.way_in import WayIn, way_in
from app.domain.takeoff.drawn import BARRIERS, shapes_of
from app.domain.takeoff.measures import zone_title
from app.domain.takeoff.requirements import Requirement

# roles of what drives to where it works; what two people carry or push through a gate needs no way of its own
DRIVES = frozenset({"excavating machine", "loader", "trencher", "stump grinder"})
CARRIES = frozenset({"drive plate", "ground mat"})  # roles of what is laid down to be driven on
MACHINES = DRIVES | CARRIES
WIDTH_RULE = "machine-passes"
NAMED = 3  # things named in one sentence


@dataclass(frozen=True, slots=True, order=True)
class Needed:
    """A machine is needed at a place (`zone:ID`, `run:ID` …) in a phase (its id as text, empty: none)."""

    place: str
    phase: str


@dataclass(frozen=True, slots=True)
class Machines:
    """Where machines are needed, and where plates are laid over a zone (by its key) in a phase."""

    needed: tuple[Needed, ...]
    plates: tuple[Needed, ...]


def machines_of(job: Job, requirements: Iterable[Requirement]) -> Machines:
    """Where a job needs machines that drive there, from what its works ask for."""
    asked = [one for one in requirements if one.role in MACHINES and one.kind == "material" and one.amount > 0]
    places = _places(job, {one.work_id.int for one in asked})
    needed: dict[Needed, None] = {}
    plates: dict[Needed, None] = {}
    for one in asked:
        place = places.get(one.work_id.int)
        if place is not None:
            (needed if one.role in DRIVES else plates)[Needed(place, one.phase)] = None
    return Machines(tuple(sorted(needed)), tuple(sorted(plates)))


def _places(job: Job, works: Collection[int]) -> Mapping[int, str]:
    """The key of the place of each of these works that has one on the plan; both by the numbers of their ids."""
    if not works:
        return {}
    zone_of = {one.id: one.zone_id for one in job.alternatives}
    edges = {one.id: one.zone_id for one in job.edges}
    kinds = {PlaceKind.RUN: "run", PlaceKind.FEATURE: "feature", PlaceKind.EXISTING: "existing"}
    found: dict[int, str] = {}
    for work in job.works:
        if work.place_id is None or work.id.int not in works:
            continue
        if work.place in kinds:
            found[work.id.int] = f"{kinds[work.place]}:{work.place_id}"
        elif zone_id := zone_of.get(work.place_id) or edges.get(work.place_id):
            found[work.id.int] = f"zone:{zone_id}"
    return found


class Order:
    """In which phase everything of a job is finished, and the ground that is then closed to a machine."""

    def __init__(self, job: Job, machines: Machines, width: float) -> None:
        self.job, self.machines, self.width = job, machines, width
        self.numbers: Mapping[str, int] = {str(one.id): one.number for one in job.phases}
        self.shapes = shapes_of(job)
        self.finished = finished_in(job)
        self.way: WayIn | None = way_in(job, width, self.finished)

    def needs(self) -> tuple[tuple[str, int], ...]:
        """What a machine must reach, with the number of the phase, where it is drawn."""
        return tuple((one.place, self.numbers.get(one.phase, 0)) for one in self.machines.needed if self._drawn(one))

    def _drawn(self, one: Needed) -> bool:
        return one.place in self.shapes

    def closed(self, number: int, but: str = "") -> frozenset[str]:
        """What is finished before a phase begins; but not where plates lie in it, nor the place itself."""
        plated = {one.place for one in self.machines.plates if self.numbers.get(one.phase, 0) == number}
        return frozenset(
            key for key, done in self.finished.items() if done < number and key not in plated and key != but
        )

    def in_the_way(self, place: str, number: int) -> tuple[str, ...]:
        """What keeps a machine from a place in a phase; empty where it gets there, or where nothing is known."""
        if self.way is None or self.way.start is None or place not in self.shapes:
            return ()
        return self.way.in_the_way(self.shapes[place], self.closed(number, but=place))

    def behind(self) -> tuple[tuple[str, str], ...]:
        """Pairs of zones of one phase: a machine reaches the first over the second only, so that is finished later."""
        if self.way is None or self.way.start is None:
            return ()
        found: list[tuple[str, str]] = []
        for place, number in self.needs():
            before = self.closed(number, but=place)
            if not place.startswith("zone:") or not self.way.reaches(self.shapes[place], before):
                continue
            with_it = sorted(key for key, done in self.finished.items() if done == number and key != place)
            found += [
                (place, other)
                for other in with_it
                if other.startswith("zone:") and not self.way.reaches(self.shapes[place], before | {other})
            ]
        return tuple(found)


def finished_in(job: Job) -> Mapping[str, int]:
    """The number of the phase in which zones that are built, walls and fences are finished: they are closed then."""
    numbers = {one.id: one.number for one in job.phases}
    built = {work.place_id for work in job.works}

    def number(phase: UUID | None) -> int:
        return numbers.get(phase, 0) if phase else 0

    found: dict[str, int] = {}
    zones = zones_by_key(job.zones)
    for key, way in ways_by_key(job).items():
        if way.id in built:
            found[f"zone:{key}"] = number(phase_of(job, zones[key]))
    for run in job.runs:
        if run.kind in BARRIERS and run.id in built:
            found[f"run:{run.id}"] = number(phase_of(job, run))
    return found


_ORDERS: KeptByInputs[Order] = KeptByInputs(32)


def order_of(job: Job, basis: Basis, machines: Machines) -> Order | None:
    """The order of a job on the ground for its machines; None without the rule that says how wide they are. Kept."""
    rule = basis.rules.get(WIDTH_RULE)
    if rule is None:
        return None
    rests = (
        job.site, job.zones, job.alternatives, job.runs, job.features, job.existing, job.phases, machines, rule.value,
        tuple(work.place_id for work in job.works),
    )  # fmt: skip
    return _ORDERS.get_or_make(job.head.id, rests, lambda: Order(job, machines, rule.value))


def way_points(job: Job, basis: Basis, requirements: Sequence[Requirement]) -> Iterator[Finding]:
    """Machines that do not pass at all; places that are paved in before a machine was there; what cannot be told."""
    machines = machines_of(job, requirements)
    order = order_of(job, basis, machines) if machines.needed else None
    if order is None:
        return
    width, narrowest = order.width, job.site.access_width
    if narrowest is not None and narrowest < width and not _opened(job):
        yield _does_not_pass(order, narrowest)
        return
    if order.way is None or order.way.start is None or not order.way.comes_in:
        if any(order.closed(number) for _, number in order.needs()):
            yield _not_known(order)
        return
    for place, number in order.needs():
        if not order.way.reaches(order.shapes[place], frozenset()):
            yield _no_way(order, place)
        elif blockers := order.in_the_way(place, number):
            yield _paved_in(order, place, number, blockers)


def _opened(job: Job) -> bool:
    """Whether a fence or wall comes out, so that the way in is wider while the work lasts."""
    return any(one.kind in {"fence", "wall"} and one.fate in {Fate.GOES, Fate.MOVES} for one in job.existing)


def _does_not_pass(order: Order, narrowest: float) -> Finding:
    places = dict.fromkeys(one.place for one in order.machines.needed)
    return Finding(
        rule="machine-does-not-pass",
        severity=Severity.WARN,
        where="site",
        what=f"The way in is {narrowest:g} ft at its narrowest, and a small machine needs {order.width:g} ft: "
        f"{named(order.job, tuple(places))} {'counts' if len(places) == 1 else 'count'} on one.",
        measured=f"{narrowest:g} ft",
        limit=f"{order.width:g} ft",
        source=f"rule {WIDTH_RULE}",
        remedy="Take a fence out for the machine and mark it as moving on Site, dig by hand, or bring a narrower one "
        "and set your own width in the rules.",
    )


def _not_known(order: Order) -> Finding:
    lacks = "the lot is not drawn" if order.way is None else "where machines come in is not said"
    if order.way is not None and order.way.start is not None:
        lacks = "no machine fits where it is said to come in"
    return Finding(
        rule="paved-in",
        severity=Severity.NOT_CHECKED,
        where="site",
        what=f"Whether machines of a later phase still get past what is finished was not checked: {lacks}.",
        measured=lacks,
        limit=f"a way {order.width:g} ft wide",
        remedy="Say on Site where machines come in, and draw the lot.",
    )


def _no_way(order: Order, place: str) -> Finding:
    what = named(order.job, (place,))
    return Finding(
        rule="no-way-in",
        severity=Severity.WARN,
        where=place,
        what=f"No way {order.width:g} ft wide leads a machine to {what}, even before anything is built.",
        measured="behind the house and what stays",
        limit=f"a way {order.width:g} ft wide",
        source=f"rule {WIDTH_RULE}",
        remedy="Take a fence out for the machine and mark it as moving on Site, draw the gate it comes through, "
        "lift it over with a crane, or dig by hand.",
    )


def _paved_in(order: Order, place: str, number: int, blockers: tuple[str, ...]) -> Finding:
    what, which = named(order.job, (place,)), named(order.job, blockers)
    one = len(blockers) == 1
    return Finding(
        rule="paved-in",
        severity=Severity.WARN,
        where=place,
        what=f"A machine can't get to {what} in phase {number}: {which} {'is' if one else 'are'} finished by then, "
        f"and no way {order.width:g} ft wide is left.",
        measured=f"phase {number}, behind {which}",
        limit=f"a way {order.width:g} ft wide",
        source=f"rule {WIDTH_RULE}",
        remedy=f"Build {what} no later than {which}, leave a strip {order.width:g} ft wide unfinished until then, "
        "or put “Plates over what is finished” on the zone in between, in that phase.",
    )


def named(job: Job, places: Sequence[str]) -> str:
    """Places in words, as in `Fire court and Lawn`; a few of many."""
    titles: dict[str, str] = {f"zone:{one.id}": zone_title(one) for one in job.zones}
    kinds: tuple[tuple[str, Iterable[Run]], ...] = (("run", job.runs),)
    titles |= {f"{kind}:{one.id}": one.title or one.kind.value for kind, things in kinds for one in things}
    titles |= {f"feature:{one.id}": one.title or "a thing" for one in job.features}
    titles |= {f"existing:{one.id}": one.title or one.kind for one in job.existing}
    words = [titles.get(place, "a place") for place in places]
    more = len(words) - NAMED
    shown = words[:NAMED] + ([f"{more} more"] if more > 0 else [])
    return " and ".join(filter(None, (", ".join(shown[:-1]), shown[-1]))) if shown else ""
