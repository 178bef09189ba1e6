"""What the page of tape and level shows: marks with their tapes and levels, setups, the ground under the zones."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from app.domain.job import Job, LevelSetup, Mark, Zone
from app.domain.plan.arcs import Point
from app.domain.plan.leveling import Leveling
from app.domain.plan.leveling_words import LevelingWords
from app.domain.plan.levels import compass_word
from app.domain.plan.surface import plane_of
from app.domain.plan.taping import Survey
from app.domain.plan.taping_words import TapingWords
from app.domain.takeoff.ground import ground_of, leveling_of, mark_names, spots_of, survey_of
from app.domain.units import System, format_length, format_slope
from app.services.sheets import Sheet
from app.services.zone_falls import ZoneFinish, zone_finish

FINE = 1 / 384  # ft: a tape that misses by less than 1/32 in fits


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeLine:
    """A tape of a mark; `fits` in words: what it is too long or short by."""

    place: int
    start: str
    length: float
    left_out: bool
    bad: bool
    fits: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkLine:
    """A mark: its place and level as found, each with how; doubts and what is missing in sentences."""

    mark: Mark
    name: str
    at: Point | None
    across: float  # ft from the datum, and which way, for the eye
    across_words: str
    along: float
    along_words: str
    how: str
    off: float | None  # ft: how well its place is known
    why: str
    choose_side: bool
    doubts: tuple[str, ...]
    tapes: tuple[TapeLine, ...]
    level: float | None
    level_how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RodLine:
    """A rod reading of a setup: on which mark, and the level it gives."""

    mark_id: UUID
    name: str
    reading: float
    level: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupLine:
    """A setup of the instrument, its height [ft], what was read from it."""

    setup: LevelSetup
    name: str
    benchmark: str
    height: float | None
    rods: tuple[RodLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BadLine:
    """A tape that does not fit: its sentence; the mark and number to leave it out by, where one tape is named."""

    words: str
    mark_id: str
    place: int
    named: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundLine:
    """The ground under a zone as it is today: how it falls, and the earth between it and the finish."""

    zone: Zone
    finish: ZoneFinish


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """All that was measured in a yard, as its page shows it."""

    tapes_said: str
    levels_said: str
    ground_said: str
    bad: tuple[BadLine, ...]
    marks: tuple[MarkLine, ...]
    setups: tuple[SetupLine, ...]
    setups_missing: tuple[str, ...]
    grounds: tuple[GroundLine, ...]

    @property
    def starts(self) -> tuple[tuple[str, str], ...]:
        """The marks one can tape from: id and name."""
        return tuple((str(line.mark.id), line.name) for line in self.marks)

    @property
    def next_starts(self) -> tuple[str, ...]:
        """The marks the next one is likely taped from: those of the newest taped mark, then the others as they come."""
        taped = [line.mark for line in self.marks if line.mark.tapes]
        last = [str(tape.from_id) for tape in taped[-1].tapes] if taped else []
        return tuple(dict.fromkeys([*last, *(key for key, _ in self.starts)]))


def measured_ground(view: Sheet) -> Measured:
    """What was measured in the yard of a job."""
    job, system = view.job, view.basis.firm.system
    survey, leveling, names = survey_of(job), leveling_of(job), mark_names(job)
    taping = TapingWords(survey, names, system)
    setups = {str(one.id): one.title or f"Setup {number}" for number, one in enumerate(job.level_setups, 1)}
    leveling_words = LevelingWords(leveling, names, setups, system)
    bad = tuple(
        BadLine(words=taping.bad(one), mark_id=one.tape.mark, place=one.tape.place, named=not one.suspects)
        for one in survey.bad
    )
    return Measured(
        tapes_said=taping.summary(),
        levels_said=leveling_words.summary(),
        ground_said=_ground_said(job, system),
        bad=bad,
        marks=tuple(_mark_lines(job, taping, leveling, setups, system)),
        setups=tuple(_setup_lines(job, leveling, names, setups)),
        setups_missing=leveling_words.without_height(),
        grounds=tuple(ground_lines(job)),
    )


def _mark_lines(
    job: Job, words: TapingWords, leveling: Leveling, setups: Mapping[str, str], system: System
) -> Iterator[MarkLine]:
    survey = words.survey
    for mark in job.marks:
        key = str(mark.id)
        placed, missing, level = survey.places.get(key), survey.unplaced.get(key), leveling.levels.get(key)
        yield MarkLine(
            mark=mark,
            name=words.names[key],
            at=placed.at if placed else None,
            across=abs(placed.at[0]) if placed else 0.0,
            across_words="left" if placed and placed.at[0] < 0 else "right",
            along=abs(placed.at[1]) if placed else 0.0,
            along_words="down" if placed and placed.at[1] < 0 else "up",
            how=words.how(placed) if placed else "",
            off=placed.deviation if placed and not placed.typed else None,
            why=words.unplaced(key, missing) if missing and mark.tapes else "",
            choose_side=(missing is not None and len(missing.fitting) > 1) or bool(placed and placed.by),
            doubts=tuple(words.doubts(key, placed)) if placed else (),
            tapes=tuple(_tape_lines(survey, key, words.names, system)),
            level=level.level if level else None,
            level_how=_level_how(key, leveling, setups, system),
        )


def _tape_lines(survey: Survey, key: str, names: Mapping[str, str], system: System) -> Iterator[TapeLine]:
    bad = {(one.tape.mark, one.tape.place) for one in survey.bad if not one.suspects}
    for tape in survey.tapes:
        if tape.mark == key:
            yield TapeLine(
                place=tape.place,
                start=names[tape.start],
                length=tape.length,
                left_out=tape.left_out,
                bad=(tape.mark, tape.place) in bad,
                fits=_fits(tape.misfit, system),
            )


def _fits(misfit: float | None, system: System) -> str:
    if misfit is None:
        return ""
    if abs(misfit) < FINE:
        return "fits"
    return f"{format_length(abs(misfit), system, sixteenths=True)} {'long' if misfit > 0 else 'short'}"


def _level_how(key: str, leveling: Leveling, setups: Mapping[str, str], system: System) -> str:
    level = leveling.levels.get(key)
    if level is None:
        return ""
    read = [setups[setup] for setup in level.read]
    said = "typed" if level.typed else f"read from {' and '.join(read)}" if read else "carried by its backsight"
    if len(level.read) + level.typed > 1:
        return f"{said}, read {format_length(level.spread, system, sixteenths=True)} apart"
    return said


def _setup_lines(
    job: Job, leveling: Leveling, names: Mapping[str, str], setups: Mapping[str, str]
) -> Iterator[SetupLine]:
    for setup in job.level_setups:
        height = leveling.heights.get(str(setup.id))
        rods = tuple(
            RodLine(
                mark_id=mark.id,
                name=names[str(mark.id)],
                reading=one.reading,
                level=None if height is None else height - one.reading,
            )
            for mark in job.marks
            for one in mark.rods
            if one.setup_id == setup.id
        )
        benchmark = names.get(str(setup.benchmark_id), "")
        yield SetupLine(setup=setup, name=setups[str(setup.id)], benchmark=benchmark, height=height, rods=rods)


def _ground_said(job: Job, system: System) -> str:
    spots = spots_of(job)
    if len(spots) < 3:
        return "The ground is known once three marks have both a place and a level."
    plane = plane_of(spots)
    if plane is None:
        return "The spot levels lie in one line. Read one to the side of it, and the ground is known."
    said = f"{len(spots)} spot levels. The ground between them"
    if plane.bearing is None:
        return f"{said} is level."
    toward = compass_word(plane.bearing, job.site.north)
    off = format_length(plane.off, system)
    return f"{said} falls {format_slope(plane.fall, system)} to the {toward}, on the whole; up to {off} off one plane."


def ground_lines(job: Job) -> Iterator[GroundLine]:
    """The ground under every zone that is drawn, as far as spot levels cover it; none without a surface."""
    if ground_of(job).triangles:
        drawn = ((zone, job.chosen(zone)) for zone in job.zones)
        yield from (GroundLine(zone=zone, finish=zone_finish(job, zone)) for zone, way in drawn if way and way.outline)
