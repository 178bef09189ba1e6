"""A job's marks as they were measured: where each lies, how high, and the ground between them."""

from collections.abc import Mapping
from functools import lru_cache

from app.domain.job import Job, LevelSetup, Mark
from app.domain.plan.arcs import Point
from app.domain.plan.leveling import LeveledMark, Leveling, Rod, Setup, leveled
from app.domain.plan.outline import Outline
from app.domain.plan.surface import Spot, Surface, surface_of
from app.domain.plan.taping import Survey, TapedLength, TapedMark, surveyed
from app.domain.plan.taping_words import TapingWords, names_of
from app.domain.plan.tolerances import USUAL, tape_deviation
from app.domain.units import System

KEPT = 64


def survey_of(job: Job) -> Survey:
    """Where the marks of a job lie, by their typed places and their tapes."""
    return survey_of_marks(job.marks, job.site.house, job.site.tape_kind, job.site.tape_within)


def leveling_of(job: Job) -> Leveling:
    """How high the marks of a job lie, by typed levels and rod readings."""
    return _leveling(job.marks, job.level_setups)


def mark_names(job: Job) -> Mapping[str, str]:
    """What each mark is called, by its id as text."""
    return names_of([(str(mark.id), mark.title) for mark in job.marks])


def taping_words(job: Job, system: System) -> TapingWords:
    """The sentences about the tapes of a job."""
    return TapingWords(survey_of(job), mark_names(job), system)


def mark_places(job: Job) -> Mapping[str, Point | None]:
    """The place of each mark by its name; None for one that has none yet."""
    found = survey_of(job).places
    return {name: found[key].at if key in found else None for key, name in mark_names(job).items()}


def spots_of(job: Job) -> tuple[Spot, ...]:
    """Places and levels [ft] of the marks on the ground that have both: its spot levels."""
    places, levels = survey_of(job).places, leveling_of(job).levels
    ground = [str(mark.id) for mark in job.marks if mark.on_ground]
    return tuple((*places[key].at, levels[key].level) for key in ground if key in places and key in levels)


def ground_of(job: Job) -> Surface:
    """The ground between a job's spot levels."""
    return surface_of(spots_of(job))


@lru_cache(maxsize=KEPT)
def survey_of_marks(
    marks: tuple[Mark, ...], house: Outline | None, kind: str = USUAL, within: float | None = None
) -> Survey:
    """Where marks lie, kept by what they rest on: tapes of a kind, their own figure where the job says one."""
    return surveyed([_taped(mark, kind, within) for mark in marks], house=house)


@lru_cache(maxsize=KEPT)
def _leveling(marks: tuple[Mark, ...], setups: tuple[LevelSetup, ...]) -> Leveling:
    return leveled([_leveled(mark) for mark in marks], [_setup(one) for one in setups])


def _taped(mark: Mark, kind: str, within: float | None) -> TapedMark:
    at = (mark.x, mark.y) if mark.x is not None and mark.y is not None else None
    tapes = tuple(
        TapedLength(str(tape.from_id), tape.length, tape.left_out, tape_deviation(tape.length, kind, within))
        for tape in mark.tapes
    )
    return TapedMark(key=str(mark.id), name=mark.title, at=at, tapes=tapes, side=mark.side)


def _leveled(mark: Mark) -> LeveledMark:
    rods = tuple(Rod(str(one.setup_id), one.reading) for one in mark.rods)
    return LeveledMark(key=str(mark.id), level=mark.level, rods=rods)


def _setup(setup: LevelSetup) -> Setup:
    benchmark = str(setup.benchmark_id) if setup.benchmark_id else None
    return Setup(key=str(setup.id), benchmark=benchmark, backsight=setup.backsight)
