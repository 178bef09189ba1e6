"""How deep a power line lies at least: by how it is wired, and by what lies above it along its way on the plan.

The values are rules of the library, as NFPA 70 table 300.5 prints them; the least cover of a line is the largest of the
places it passes. The licensed electrician designs it, the inspector and the adopted edition decide.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

import shapely

from app.domain.basis import Assembly, Basis, Rule
from app.domain.job import Fate, Job, Run, RunKind, Work, Zone, zones_by_key
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import Outline, chords
from app.domain.takeoff.drawn import Shape

MEASURE = "needed_cover"  # what formulas of a line may ask, by its wiring
CONDUIT = "conduit-run"
DIRECT, METAL, PLASTIC, PROTECTED = 1, 2, 3, 4  # as the recipe's number of its wiring says
WIRED: Mapping[int, str] = {DIRECT: "direct", METAL: "metal", PLASTIC: "plastic", PROTECTED: "protected"}
DRIVE, SLAB, BUILDING, YARD = "drive", "slab", "building", "yard"
IN_A_RACEWAY = 0.0  # ft of cover below a building: there a line lies in a raceway, or is none. The same table
THICK = 4 / 12  # ft: from here a slab counts. The same table, from memory
BEYOND = 0.5  # ft that such a slab reaches beyond the line. The same table, from memory
DRIVEWAY = "driveway"  # kind of an existing thing
DRIVES = ("drive", "driveway", "parking")  # words by which a surface is known to be driven on
SLABS = frozenset({"concrete-slab"})
TOUCHES = 0.05  # ft: less of a line is below nothing
Numbers = Callable[[Work], Mapping[str, float] | None]


@dataclass(frozen=True, slots=True)
class Passed:
    """A place that a line passes: of which kind, and what it is called."""

    kind: str
    title: str


METHODS: Mapping[str, str] = {
    "direct": "cable in the ground",
    "metal": "rigid metal conduit",
    "plastic": "plastic conduit",
    "protected": "120 V to 20 A with ground-fault protection",
}


def method_of(wiring: float | None) -> str:
    """The key of a wiring by the recipe's number; what is no such number, or an older recipe's, is plastic conduit."""
    return WIRED.get(round(wiring or PLASTIC), WIRED[PLASTIC])


@dataclass(frozen=True, slots=True)
class Needed:
    """The least cover of a line [ft], the place that wants it, the rule; no rule: below a building only."""

    cover: float
    place: Passed
    rule: Rule | None


@dataclass(frozen=True, slots=True)
class LineCover:
    """The places that a line passes, with the rules that hold there."""

    passed: tuple[Passed, ...]
    rules: tuple[tuple[str, Rule], ...]

    def needed(self, wiring: float | None) -> Needed:
        """The deepest cover that any of the places wants of a line wired so; what is no such number is plastic."""
        method, rules = method_of(wiring), dict(self.rules)
        return max((_needed(one, method, rules) for one in self.passed), key=lambda one: one.cover)

    @property
    def source(self) -> str:
        """What the line passes, in words."""
        return ", ".join(dict.fromkeys(f"below {one.title}" if one.title else "in the yard" for one in self.passed))

    @property
    def measures(self) -> Mapping[str, Callable[[float], float]]:
        """What formulas may ask."""
        return {MEASURE: lambda wiring: self.needed(wiring).cover}


def rule_key(kind: str, method: str) -> str:
    """The id of the rule of a place and a wiring."""
    return f"cover-{kind}-{method}"


EVERY_WIRING = f"cover-{DRIVE}"  # a firm's own rule of before the table was split by wiring: it still goes first
RULES = frozenset(rule_key(kind, method) for kind in (DRIVE, SLAB, YARD) for method in WIRED.values())


def _needed(one: Passed, method: str, rules: Mapping[str, Rule]) -> Needed:
    own = rules.get(EVERY_WIRING) if one.kind == DRIVE else None
    rule = own or rules.get(rule_key(one.kind, method))
    return Needed(rule.value / 12 if rule else IN_A_RACEWAY, one, rule)


def called_a_drive(*titles: str) -> bool:
    """Whether a surface is driven on, by the words it is called.

    >>> called_a_drive("Side drive, pavers"), called_a_drive("Driven posts")
    (True, False)
    """
    said = " ".join(titles).lower().replace("-", " ").split()
    return any(word.strip(",.") in DRIVES for word in said)


def asks_for_cover(recipe: Assembly) -> bool:
    """Whether a recipe as it is shipped goes by what its line passes, also where other numbers are set."""
    return any(MEASURE in one.value for one in recipe.parameters.values())


_COVERS: KeptByInputs[Mapping[UUID, tuple[Passed, ...]]] = KeptByInputs(64)


def cover_of(job: Job, basis: Basis, run: Run, numbers: Numbers) -> LineCover:
    """What a power line passes, with the rules that hold there; kept by what it rests on."""
    slabs = tuple(_slabs(job, numbers))
    rests_on = (job.runs, job.site, job.zones, job.alternatives, job.existing, slabs, Same(job.works))

    def made() -> Mapping[UUID, tuple[Passed, ...]]:
        grounds = _grounds(job, slabs)
        lines = [one for one in job.runs if one.kind is RunKind.CONDUIT]
        return {one.id: tuple(dict.fromkeys(_passed(one, grounds))) for one in lines}

    passed = _COVERS.get_or_make(job.head.id, rests_on, made).get(run.id) or (_IN_THE_YARD,)
    held = (key for key in (*sorted(RULES), EVERY_WIRING) if key in basis.rules)
    return LineCover(passed, tuple((key, basis.rules[key]) for key in held))


_IN_THE_YARD = Passed(YARD, "")


def _passed(run: Run, grounds: list[tuple[Passed, Shape]]) -> Iterator[Passed]:
    """The places along a line, each stretch by the first of the grounds that lies over it."""
    if len(run.points) < 2:
        yield _IN_THE_YARD  # told by its length alone
        return
    rest = shapely.linestrings(fine_points(run.points, run.rises))
    for place, ground in grounds:
        if rest.intersection(ground).length > TOUCHES:
            yield place
            rest = rest.difference(ground)
    if rest.length > TOUCHES:
        yield _IN_THE_YARD


def _slabs(job: Job, numbers: Numbers) -> Iterator[UUID]:
    """The ways that are concrete slabs of 4 in and more."""
    for work in job.works:
        if work.assembly in SLABS and work.place_id and (numbers(work) or {}).get("thick", 0.0) >= THICK - 1e-9:
            yield work.place_id


def _grounds(job: Job, slabs: tuple[UUID, ...]) -> list[tuple[Passed, Shape]]:
    """What may lie over a line: what is driven on first, then buildings, then slabs."""
    found = [*_that_are_there(job), *_of_zones(job, slabs)]
    if job.site.house is not None:
        found.append((Passed(BUILDING, "the house"), _ground(job.site.house)))
    return sorted(found, key=lambda one: _ORDER.index(one[0].kind))


_ORDER = (DRIVE, BUILDING, SLAB)


def _that_are_there(job: Job) -> Iterator[tuple[Passed, Shape]]:
    for one in job.existing:
        if one.fate is Fate.GOES or one.outline is None:
            continue
        if one.kind == DRIVEWAY:
            yield Passed(DRIVE, one.title or "the driveway"), _ground(one.outline)
        elif one.kind == "structure":
            yield Passed(BUILDING, one.title or "a structure"), _ground(one.outline)
        elif one.kind == "concrete" and (one.thickness or 0.0) >= THICK - 1e-9:
            yield Passed(SLAB, one.title or "a concrete slab"), _ground(one.outline).buffer(-BEYOND)


def _of_zones(job: Job, slabs: tuple[UUID, ...]) -> Iterator[tuple[Passed, Shape]]:
    zones = {zone.id: zone for zone in zones_by_key(job.zones).values()}
    for key, way in job.chosen_by_zone().items():
        zone, outline = zones[key], way.outline
        if outline is None:
            continue
        title = zone.title or f"zone {zone.letter}"
        if _is_driven(job, zone, way.id):
            yield Passed(DRIVE, title), _ground(outline)
        elif way.id in slabs:
            yield Passed(SLAB, title), _ground(outline).buffer(-BEYOND)


def _is_driven(job: Job, zone: Zone, way_id: UUID) -> bool:
    return called_a_drive(zone.title, *(work.title for work in job.works if work.place_id == way_id))


def _ground(outline: Outline) -> Shape:
    return chords(outline).polygon
