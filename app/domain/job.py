"""The job: one immutable value that holds everything a client, a yard, a plan and an agreement consist of.

Each class with an `id` is a *thing*: one row, one version, changed by one mechanism (`app.domain.change`).
Lengths are in feet, areas in square feet, money in integer cents. A text that is empty is unknown.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from uuid import UUID

from app.domain.plan.outline import Outline

NO_TEXTS: Mapping[str, str] = {}


class Stage(StrEnum):
    """Where a job stands."""

    LEAD = "lead"
    DESIGN = "design"
    OFFERED = "offered"
    SIGNED = "signed"
    BUILDING = "building"
    DONE = "done"
    LOST = "lost"


class ZoneKind(StrEnum):
    """What a zone is for."""

    FIRE = "fire"
    WATER = "water"
    COOKING = "cooking"
    DINING = "dining"
    LOUNGING = "lounging"
    PLANTING = "planting"
    LAWN = "lawn"
    PATH = "path"
    STEPS = "steps"
    PLAY = "play"
    SERVICE = "service"
    OTHER = "other"


class RunKind(StrEnum):
    """What is built along a line. The kinds that a surface can bury are also kinds of `under(kind)`."""

    WALL = "wall"
    EDGING = "edging"
    FENCE = "fence"
    CONDUIT = "conduit"
    PIPE = "pipe"
    DRAIN = "drain"
    GAS = "gas"
    OTHER = "other"


class Fate(StrEnum):
    """What happens to a thing that stands in the yard today."""

    STAYS = "stays"
    PROTECTED = "protected"
    GOES = "goes"
    MOVES = "moves"


class Answer(StrEnum):
    """Answer to a question about the site."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "not known"


class Measured(StrEnum):
    """How well a measure is known: a sketch widens the range."""

    SKETCH = "sketch"
    TAPED = "taped"


class PriceShown(StrEnum):
    """How far the proposal breaks the price down."""

    WHOLE = "whole"
    PHASE = "phase"
    ZONE = "zone"
    LINE = "line"


class Firmness(StrEnum):
    """How the price of a later phase holds."""

    FIRM = "firm"
    RISE = "rise"
    RANGE = "range"


class PlaceKind(StrEnum):
    """What a work is done on."""

    ALTERNATIVE = "alternative"  # of a zone
    RUN = "run"
    FEATURE = "feature"
    EDGE = "edge"
    EXISTING = "existing"
    JOB = "job"


class EdgeChoice(StrEnum):
    """Whether a shared edge is decided, and how."""

    OPEN = "open"
    NOTHING = "nothing"
    BUILT = "built"  # by the works placed on the edge


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """Who asks for the yard. `private_note` never leaves the firm."""

    id: UUID
    name: str = ""
    second_name: str = ""
    phone: str = ""
    email: str = ""
    street: str = ""
    town: str = ""
    state: str = ""
    postal_code: str = ""
    found_us: str = ""
    private_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The job's own facts: what it is called, where it stands, what comes next, how it is offered."""

    id: UUID
    client_id: UUID
    number: int = 0
    title: str = ""
    street: str = ""
    town: str = ""
    state: str = ""
    postal_code: str = ""
    time_zone: str = "America/New_York"
    stage: Stage = Stage.LEAD
    next_step: str = ""
    next_day: date | None = None
    first_call: date | None = None
    wanted_start: date | None = None
    wanted_done: date | None = None
    budget_low_cents: int | None = None
    budget_high_cents: int | None = None
    association: str = ""
    association_rules: str = ""
    story: str = ""  # the proposal's title sentence
    price_shown: PriceShown = PriceShown.ZONE
    holds_days: int = 30
    paper: str = ""  # "letter", "a4", or empty: the firm's
    exclusions: tuple[str, ...] = ()
    early: Mapping[str, str] = field(default_factory=dict)  # kind of zone → small, medium, large, or an area in sq ft
    design_fee_cents: int | None = None  # of the design agreement; None and empty: as the firm has it
    design_words: str = ""
    design_revisions: int | None = None
    design_credit: str = ""  # "yes" or "no": whether the fee counts toward the build
    drawings_owner: str = ""
    basis_file: str = ""  # hash of the job file whose prices this job came with; empty: it stands on the firm's own
    firm_price_by: str = ""  # who went on to a firm price before the range allowed one
    firm_price_reason: str = ""
    private_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door or gate: where people come out, x and y in feet from the datum."""

    title: str
    x: float = 0.0
    y: float = 0.0
    width: float = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The yard as it is before anything is built. None and empty mean not known yet."""

    id: UUID
    lot: Outline | None = None
    house: Outline | None = None
    openings: tuple[Opening, ...] = ()
    north: float = 0.0  # degrees clockwise from the top of the drawing
    datum: str = ""  # what the crew measures from
    access: str = ""  # "easy", "tight", "hard" as told on the first call
    access_width: float | None = None
    haul_distance: float | None = None
    haul_off_miles: float | None = None
    slope: float | None = None  # rise over run, steepest where work is done
    soil: str = ""  # "sand", "loam", "clay", "rock", "fill"
    lot_area: float | None = None
    coverage_limit: float | None = None  # allowed share of hard surface, 0 to 1
    coverage_before: float | None = None  # hard surface today, sq ft
    setbacks: str = ""
    easements: str = ""
    built_year: int | None = None
    private_lines: Mapping[str, Answer] = field(default_factory=dict)  # by key of `PRIVATE_LINES`
    private_lines_note: str = ""
    sun_note: str = ""
    water_note: str = ""
    seen_on: date | None = None


PRIVATE_LINES: Mapping[str, str] = {
    "gas": "Gas line to a grill, heater or fire",
    "pool": "Pool piping or wiring",
    "septic": "Septic tank or field",
    "well": "Well and its line",
    "sprinklers": "Sprinklers",
    "dog-fence": "Buried dog fence",
    "yard-lights": "Yard lights",
    "outbuilding": "Feed to a detached building",
    "roof-drains": "Roof drains below ground",
    "footings": "Old footings or walls",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What the client asked for, and the zones that meet it."""

    id: UUID
    words: str = ""
    must: bool = True
    zone_ids: tuple[UUID, ...] = ()
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """An area with a purpose. It has one or more alternatives; `chosen_id` names the one that is priced."""

    id: UUID
    letter: str = ""
    title: str = ""
    kind: ZoneKind = ZoneKind.OTHER
    words: str = ""  # the client's page, in plain words
    chosen_id: UUID | None = None
    phase_id: UUID | None = None
    position: int = 0
    private_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """One way to do a zone: its outline, level and how well both are known."""

    id: UUID
    zone_id: UUID
    title: str = ""
    outline: Outline | None = None
    measured: Measured = Measured.SKETCH
    level: float | None = None  # finish level above the datum, ft
    fall: float | None = None  # slope of the finished surface, rise over run
    fall_toward: str = ""
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A line that is built. `points` are x, y pairs in feet; `length` overrules them when typed."""

    id: UUID
    title: str = ""
    kind: RunKind = RunKind.OTHER
    zone_id: UUID | None = None
    phase_id: UUID | None = None
    length: float | None = None
    height: float | None = None
    corners: int = 0
    ends: int = 2
    points: tuple[tuple[float, float], ...] = ()
    under: Mapping[str, float] = field(default_factory=dict)  # ft below finished surfaces, by kind of surface
    measured: Measured = Measured.SKETCH
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """A thing at a point: grill, fire unit, column, light, pump, tree."""

    id: UUID
    title: str = ""
    zone_id: UUID | None = None
    phase_id: UUID | None = None
    count: int = 1
    x: float | None = None
    y: float | None = None
    area: float | None = None
    length: float | None = None
    thickness: float | None = None
    height: float | None = None
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Existing:
    """A thing that stands in the yard today, with its fate. What goes, moves or is protected prices itself."""

    id: UUID
    title: str = ""
    kind: str = ""  # key of `EXISTING_KINDS`
    fate: Fate = Fate.STAYS
    outline: Outline | None = None
    count: int = 1
    area: float | None = None
    length: float | None = None
    thickness: float | None = None
    height: float | None = None
    phase_id: UUID | None = None
    position: int = 0


EXISTING_KINDS: Mapping[str, str] = {
    "concrete": "Concrete slab or walk",
    "pavers": "Pavers",
    "deck": "Deck",
    "wall": "Wall",
    "fence": "Fence",
    "turf": "Lawn",
    "bed": "Planting bed",
    "tree": "Tree",
    "stump": "Stump",
    "shrub": "Shrub",
    "sprinklers": "Sprinklers",
    "structure": "Shed or structure",
    "driveway": "Driveway",
    "other": "Something else",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A shared edge that somebody decided or typed. `neighbor` is a zone id as text, or house, lot, ground, wall.

    `length` is None while the edge is found from the outlines; `drop` and `gap` in feet.
    """

    id: UUID
    zone_id: UUID
    neighbor: str
    choice: EdgeChoice = EdgeChoice.OPEN
    length: float | None = None
    curved_length: float = 0.0
    drop: float = 0.0
    gap: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """An assembly placed somewhere: by key and hash, with what was set differently and what was chosen.

    `parameters` are formulas by parameter name (`base = "6*inch"`); `finishes` are material keys by role.
    """

    id: UUID
    place: PlaceKind
    place_id: UUID | None = None  # None on the job itself
    assembly: str
    assembly_hash: str = ""
    title: str = ""  # overrules the assembly's
    parameters: Mapping[str, str] = field(default_factory=dict)
    finishes: Mapping[str, str] = field(default_factory=dict)
    phase_id: UUID | None = None  # overrules the place's
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A finish the client chose: for which role, from which sample, on which day."""

    id: UUID
    role: str
    material: str
    zone_id: UUID | None = None  # None: wherever the role occurs
    chosen_on: date | None = None
    chosen_by: str = ""
    sample: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """What is built when. `firmness` says how its price holds; `rise` is a share (0.04 = 4%)."""

    id: UUID
    number: int = 1
    title: str = ""
    start: date | None = None
    done: date | None = None
    firmness: Firmness = Firmness.FIRM
    firm_until: date | None = None
    rise: Decimal = Decimal(0)
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """Money set aside for a thing that is not chosen yet; printed with its true-up rule.

    `material` names a material without a price that this money stands for: it is then not missing.
    """

    id: UUID
    title: str = ""
    cents: int = 0
    zone_id: UUID | None = None
    phase_id: UUID | None = None
    words: str = ""
    material: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPrice:
    """A price agreed for what may be found in the ground, per unit, at selling price."""

    id: UUID
    title: str = ""
    unit: str = ""
    cents: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Payment:
    """A payment due at a visible event: a share of its phase (or of the whole), or fixed cents."""

    id: UUID
    event: str = ""
    phase_id: UUID | None = None
    share: Decimal | None = None  # 0 to 1; None with no cents: what is left
    cents: int | None = None
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Settlement:
    """A finding somebody decided to go on with: who, when, why. It rests on the finding's key."""

    id: UUID
    finding: str
    by: str
    reason: str
    on: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A picture by the hash of its bytes (location data taken out)."""

    id: UUID
    file: str
    caption: str = ""
    when: str = "before"  # before, during, after, sample
    place: str = ""
    taken: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Everything about one job, by value. Tuples are in the order of `position`, then id."""

    head: Head
    client: Client
    site: Site
    needs: tuple[Need, ...] = ()
    zones: tuple[Zone, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    runs: tuple[Run, ...] = ()
    features: tuple[Feature, ...] = ()
    existing: tuple[Existing, ...] = ()
    edges: tuple[Edge, ...] = ()
    works: tuple[Work, ...] = ()
    choices: tuple[Choice, ...] = ()
    phases: tuple[Phase, ...] = ()
    allowances: tuple[Allowance, ...] = ()
    unit_prices: tuple[UnitPrice, ...] = ()
    payments: tuple[Payment, ...] = ()
    settlements: tuple[Settlement, ...] = ()
    photos: tuple[Photo, ...] = ()

    def chosen(self, zone: Zone) -> Alternative | None:
        """The alternative of a zone that is priced: the chosen one, else its only one."""
        own = _by_zone(self.alternatives).get(zone.id, ())
        return next((one for one in own if one.id == zone.chosen_id), own[0] if own else None)

    def chosen_by_zone(self) -> Mapping[UUID, Alternative]:
        """The alternative that is priced of each zone that has one: `chosen` for all zones at once."""
        known = {one.id: one for one in self.alternatives}
        first: dict[UUID, Alternative] = {}
        for one in self.alternatives:
            first.setdefault(one.zone_id, one)
        found: dict[UUID, Alternative] = {}
        for zone in self.zones:
            named = known.get(zone.chosen_id) if zone.chosen_id else None
            chosen = named if named and named.zone_id == zone.id else first.get(zone.id)
            if chosen:
                found[zone.id] = chosen
        return found


Ways = Mapping[UUID, tuple[Alternative, ...]]
_WAYS: dict[int, tuple[tuple[Alternative, ...], Ways]] = {}
_MOST_WAYS = 64


def _by_zone(alternatives: tuple[Alternative, ...]) -> Ways:
    """Alternatives by zone, kept for the very tuple: one page asks for the chosen one hundreds of times."""
    kept = _WAYS.get(id(alternatives))
    if kept is None or kept[0] is not alternatives:
        ways: dict[UUID, tuple[Alternative, ...]] = {}
        for one in alternatives:
            ways[one.zone_id] = (*ways.get(one.zone_id, ()), one)
        if len(_WAYS) >= _MOST_WAYS:
            _WAYS.clear()
        _WAYS[id(alternatives)] = kept = (alternatives, ways)
    return kept[1]


Thing = (
    Client
    | Head
    | Site
    | Need
    | Zone
    | Alternative
    | Run
    | Feature
    | Existing
    | Edge
    | Work
    | Choice
    | Phase
    | Allowance
    | UnitPrice
    | Payment
    | Settlement
    | Photo
)

# kind of thing → (class, field of Job that holds it); the one list that rows, changes and files go by
JOB_THINGS: Mapping[str, tuple[type[Thing], str]] = {
    "job": (Head, "head"),
    "client": (Client, "client"),
    "site": (Site, "site"),
    "need": (Need, "needs"),
    "zone": (Zone, "zones"),
    "alternative": (Alternative, "alternatives"),
    "run": (Run, "runs"),
    "feature": (Feature, "features"),
    "existing": (Existing, "existing"),
    "edge": (Edge, "edges"),
    "work": (Work, "works"),
    "choice": (Choice, "choices"),
    "phase": (Phase, "phases"),
    "allowance": (Allowance, "allowances"),
    "unit_price": (UnitPrice, "unit_prices"),
    "payment": (Payment, "payments"),
    "settlement": (Settlement, "settlements"),
    "photo": (Photo, "photos"),
}
