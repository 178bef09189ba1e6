"""What is built: zones and their alternatives, runs, features, shared edges, and the works placed on them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from uuid import UUID

from app.domain.job.kinds import EdgeChoice, Measured, PlaceKind, RunKind, ZoneKind
from app.domain.plan.arcs import Point
from app.domain.plan.laying.pattern import Laying
from app.domain.plan.outline import Outline


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
    left_out: bool = False  # drawn, but neither priced nor built for now


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
    fall_bearing: float | None = None  # degrees clockwise from the top of the plan: where its water runs to
    level_at: Point | None = None  # where `level` holds; None: the center of its area
    position: int = 0
    drip: str = ""  # a bed: "around" lays drip line as the outline runs; empty: in rows along its longest edge


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
    corners_typed: bool = False  # the count holds even where it is none; else none means: as drawn
    ends: int = 2
    points: tuple[Point, ...] = ()
    rises: tuple[float, ...] = ()  # ft, by stretch of `points`: its arc above the chord, right of the way if positive
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
    fed_from: UUID | None = None  # a 12 V light: what feeds it, where somebody said so; None: found by where they stand
    along: UUID | None = None  # a transformer: the run that its 12 V cables follow; None: they go straight
    watts: float | None = None  # each 12 V light here, at 12 V; None: the firm's rule
    along_ids: tuple[UUID, ...] = ()  # a transformer: more runs that its cables follow, on from where runs meet
    lamp: str = ""  # a 12 V light: "filament" (less as the voltage falls); empty: the same power at any (LED driver)
    valve_id: UUID | None = None  # a new sprinkler head: its valve, and all as of one that is there
    head: str = ""
    throw: float | None = None  # ft
    arc: float | None = None  # degrees
    faces: float | None = None  # degrees clockwise from the top of the plan
    flow: float | None = None  # gpm


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A shared edge that somebody decided or typed. `neighbor` is a zone id as text, or house, lot, ground, wall.

    `length` is None while the edge is found from the outlines; `drop` [ft] likewise, from the levels of both sides.
    `at` is a point on the one stretch that is decided; None: every stretch with this neighbor.
    """

    id: UUID
    zone_id: UUID
    neighbor: str
    choice: EdgeChoice = EdgeChoice.OPEN
    length: float | None = None
    curved_length: float = 0.0
    drop: float | None = None
    gap: float = 0.0
    at: Point | None = None


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
    laying: Laying | None = None  # how its units are laid; None: no pattern is set
    position: int = 0
    tax: str = ""  # "ours", "client", "exempt", "client, labor too" in place of what its lines say; empty: as they say
    tax_reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Planting:
    """A row of a bed's plant list: a species in a size, filling its share of the bed or placed one by one.

    `spacing` [ft] is between plants; None: as the plant table says. `share` is its parts of the bed beside the other
    rows that fill it; one that lies `under` them fills the whole bed. `points` are plants placed one by one.
    """

    id: UUID
    alternative_id: UUID
    species: str = ""  # key of the plant table
    size: str = ""  # key of the sizes
    pattern: str = "triangular"  # or "square", or "placed"
    spacing: float | None = None
    share: float = 1.0
    under: bool = False
    points: tuple[Point, ...] = ()
    variety: str = ""  # as it is ordered, where a named variety is wanted
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A dimension somebody put on the plan: between two points [ft], drawn `offset` [ft] to the left of the way."""

    id: UUID
    start: Point = (0.0, 0.0)
    end: Point = (0.0, 0.0)
    offset: float = 0.0
    words: str = ""  # before the length
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Words on the plan, with a leader to what they are about. It is printed."""

    id: UUID
    words: str = ""
    x: float = 0.0
    y: float = 0.0
    to: Point | None = None
    position: int = 0
