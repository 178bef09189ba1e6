"""The yard as it is before anything is built."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from app.domain.job.kinds import Answer, Fate
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door or gate: where people come out, x and y in feet from the datum."""

    title: str
    x: float = 0.0
    y: float = 0.0
    width: float = 3.0
    level: float | None = None  # of its threshold above the datum, ft
    mark_id: UUID | None = None  # the mark on its threshold, whose level counts while none is typed


@dataclass(frozen=True, slots=True, kw_only=True)
class LotLine:
    """Which side of the lot a lot line is: a point on it [ft from the datum], and the key of `LOT_SIDES`."""

    x: float
    y: float
    side: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnFactor:
    """A factor by which a site slows work, set by hand in place of the one worked out, and why."""

    factor: float
    reason: str


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
    drive_minutes: float | None = None  # one way from the yard; None: the firm's usual
    slope: float | None = None  # rise over run, steepest where work is done
    soil: str = ""  # "sand", "loam", "clay", "rock", "fill"
    lot_area: float | None = None
    coverage_limit: float | None = None  # allowed share of hard surface, 0 to 1
    coverage_before: float | None = None  # hard surface today, sq ft
    setbacks: str = ""
    easements: str = ""
    lot_lines: tuple[LotLine, ...] = ()  # which lot line is front, side or rear; one that is not named is not known
    built_year: int | None = None
    ticket: str = ""  # number of the locate ticket of the one-call center
    ticket_until: date | None = None  # the last day it holds
    private_lines: Mapping[str, Answer] = field(default_factory=dict)  # by key of `PRIVATE_LINES`
    private_lines_note: str = ""
    sun_note: str = ""
    water_note: str = ""
    seen_on: date | None = None
    baseline_ids: tuple[UUID, ...] = ()  # two marks that the crew measures offsets from
    slowing: Mapping[str, OwnFactor] = field(default_factory=dict)  # by cause: set by hand, with the reason
    tape_kind: str = ""  # what was taped with, key of `tolerances.KINDS`; empty: the usual one
    tape_within: float | None = None  # ft: how far off a tape is up to 30 ft; None: as usual for its kind
    meeting_gap: float | None = None  # ft: outlines drawn this near to each other meet; None: 2 in
    way_in: Point | None = None  # where machines come onto the lot; None: not said
    wall_color: str = ""  # hex, of the house as it stands; empty: not looked at
    roof_color: str = ""
    trim_color: str = ""
    latitude: float | None = None  # degrees, north positive, as looked up for the address
    longitude: float | None = None  # degrees, east positive: negative in America
    usda_zone: str = ""  # of the hardiness map, such as 6b
    house_height: float | None = None  # ft from the ground to the eaves
    wind_from: str = ""  # where it mostly blows from when people sit outdoors: one of the eight winds; empty: not known
    source_flow: float | None = None  # gpm that the sprinklers' source gives, by meter or bucket
    source_pressure: float | None = None  # psi there while nothing runs


@dataclass(frozen=True, slots=True, kw_only=True)
class Existing:
    """A thing that stands in the yard today, with its fate. What goes, moves or is protected prices itself.

    It lies within an outline, along a line of `points` (with `rises` as those of a run), or at a point.
    """

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
    x: float | None = None  # a tree: its trunk
    y: float | None = None
    points: tuple[Point, ...] = ()  # a fence, a wall, a utility line
    rises: tuple[float, ...] = ()
    spread: float | None = None  # width of a tree's crown, ft
    utility: str = ""  # key of `UTILITIES`
    depth: float | None = None  # below the ground, ft, as told or found
    valve_id: UUID | None = None  # a sprinkler head: the valve it hangs on, a thing of kind `VALVE`
    head: str = ""  # its key of `HEADS`
    throw: float | None = None  # how far it throws, ft
    arc: float | None = None  # of a circle that it wets, degrees
    faces: float | None = None  # the middle of that arc, degrees clockwise from the top of the plan
    flow: float | None = None  # gpm: of a head, as printed for its nozzle; of a valve, measured by meter or bucket
    pressure: float | None = None  # of a valve: psi at its last head while it runs
    moves_to: Point | None = None  # a head that moves: where to


@dataclass(frozen=True, slots=True, kw_only=True)
class Setback:
    """How far one kind of thing keeps off the lot lines of one side, as the town or the association says."""

    id: UUID
    side: str = ""  # key of `LOT_SIDES`; empty: every lot line
    kind: str = ""  # key of `LIMITED`; empty: all that is built
    distance: float | None = None  # ft; 0: none asked
    source: str = ""  # who says so: ordinance and section, plat, association's rules, a variance
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Easement:
    """Ground that somebody else has a right to: a strip `width` [ft] along a lot line or a line, or an outline."""

    id: UUID
    title: str = ""
    at: Point | None = None  # a point on the lot line it runs along
    width: float | None = None
    outline: Outline | None = None  # holds before a strip
    points: tuple[Point, ...] = ()  # the middle of the strip, `rises` as those of a run; holds before the lot line
    rises: tuple[float, ...] = ()
    allows: tuple[str, ...] = ()  # keys of `LIMITED`: what may stand there; low planting and lawn always
    source: str = ""  # deed, plat, whoever holds it
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """A distance [ft] taped from another mark. One that was found bad is left out, not forgotten."""

    from_id: UUID
    length: float
    left_out: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RodReading:
    """What was read [ft] on a rod held on a mark, from one set-up of the leveling instrument."""

    setup_id: UUID
    reading: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A point of the ground that was measured: a house corner, a stake, a benchmark, a spot whose level matters.

    x and y [ft] are typed; None: found from the tapes. `level` [ft above the datum] likewise, from the rods.
    """

    id: UUID
    title: str = ""
    x: float | None = None
    y: float | None = None
    tapes: tuple[Tape, ...] = ()
    side: str = ""  # "left" or "right" of the way between the first two known marks, where two tapes leave two answers
    level: float | None = None
    rods: tuple[RodReading, ...] = ()
    on_ground: bool = True  # its level is the ground's; a sill or a nail in a wall is none of the ground
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelSetup:
    """Where the leveling instrument stood: what it read [ft] on a benchmark, a mark whose level is known."""

    id: UUID
    title: str = ""
    benchmark_id: UUID | None = None
    backsight: float | None = None
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Underlay:
    """A photo or plat below the plan: where its lower left corner lies [ft], feet per pixel, turn [degrees clockwise].

    `known_from` and `known_to` [px from its upper left corner] are `known_length` [ft] apart in the yard.
    """

    id: UUID
    file: str = ""
    title: str = ""
    width: int = 0  # px
    height: int = 0
    x: float = 0.0
    y: float = 0.0
    scale: float = 0.1
    turn: float = 0.0
    known_from: Point | None = None
    known_to: Point | None = None
    known_length: float | None = None
    opacity: float = 0.5
    shown: bool = True
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A picture by the hash of its bytes (location data taken out)."""

    id: UUID
    file: str
    caption: str = ""
    when: str = "before"  # before, during, after, sample
    place: str = ""
    taken: date | None = None
    hides: str = ""  # what stands in it and will be covered: pipe, base, footing
