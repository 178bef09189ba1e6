"""What closed jobs say of what is lost of a material: what went into the work against what the plan measured.

A job tells of a material where somebody counted, once the work was done, what was left of it. Then

    went in = came whole by orders + bought beside them - returned - left over
    share lost = went in / measured - 1

all in bought units. `measured` is what the plan puts in place: by area, volume or length; of units laid piece by piece
the units laid with their cuts. What geometry cuts away is in that count already, so a share of this way holds breakage,
blending and second batches alone, never added to a share that has the cuts in it. The two ways are learned apart.

Jobs move a share by credibility, robustly (`credibility`), as differences of shares in place of multiples.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import fsum

from app.domain.basis import LearnedWaste, Material
from app.domain.codec import content_hash
from app.domain.looking_back.credibility import Moved, Seen, moved, spread_of
from app.domain.takeoff.rates import ENOUGH_JOBS

LEAST_TAU, MOST_TAU = 0.02, 0.04  # how far a believed share may be off (assumption)
JOBS_DIFFER = 2.0  # times as much as that, while they are few: one job weighs a fifth (assumption)
MOST_SHARE = 0.95
HAIR = 1e-9


class Way(StrEnum):
    """How the amount was measured, and so what a share lost is of."""

    MEASURED = "measured"  # by area, volume or length: cuts are lost besides
    LAID = "laid"  # units laid one by one: cuts are counted already
    RECIPE = "recipe"  # a recipe says its own loss: nothing of the material's is asked


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialJob:
    """One closed job at one material [bought units].

    `measured` is what its signed plan puts in place and `planned` the share lost that it was bid with; `came` is what
    came whole by orders, `beside` what was bought beside them, `returned` and `left_over` as counted at the end.
    """

    job_id: str
    number: int
    measured: float
    planned: float
    came: float
    beside: float = 0.0
    returned: float = 0.0
    left_over: float = 0.0
    counted_on: date | None = None

    @property
    def went_in(self) -> float:
        """What the work took [bought units]."""
        return self.came + self.beside - self.returned - self.left_over

    @property
    def lost(self) -> float:
        """The share lost; below 0 where the work took less than the plan measured.

        >>> MaterialJob(job_id="", number=1, measured=400, planned=0.05, came=480, left_over=32).lost
        0.12
        """
        return round(self.went_in / self.measured - 1.0, 9)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldWaste:
    """A job with how much it counts (1: in full)."""

    job: MaterialJob
    counts: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WasteLesson:
    """What jobs make of what is lost of one material: as it stands, as it was believed before them, as it would become.

    All shares of what is measured. `now` is None where units laid are ordered by the firm's custom.
    """

    material: Material
    way: Way
    now: float | None
    believed: float
    after: float
    jobs: tuple[ToldWaste, ...]
    moved: Moved
    held: bool  # jobs lost less, and are too few to lower what is ordered

    @property
    def thin(self) -> bool:
        """Whether fewer jobs than enough say so."""
        return len(self.jobs) < ENOUGH_JOBS

    @property
    def lost(self) -> float:
        """What was lost over all jobs, each by what it measured."""
        whole = fsum(one.job.measured for one in self.jobs)
        return fsum(one.job.went_in for one in self.jobs) / whole - 1.0

    @property
    def taken(self) -> bool:
        """Whether the owner took just this already."""
        known = learned_of(self.material, self.way)
        return known is not None and self.now == self.after and known.job_ids == self._ids

    @property
    def can_be_taken(self) -> bool:
        """Whether there is something to take."""
        return not self.taken and not self.held

    @property
    def mark(self) -> str:
        """Names what is shown, so that nothing else is taken than what was seen."""
        return content_hash([self.way.value, self.after, list(self._ids)])[:16]

    @property
    def _ids(self) -> tuple[str, ...]:
        return tuple(one.job.job_id for one in self.jobs)

    def fields(self, today: date) -> Mapping[str, object]:
        """What of the material is set when it is taken."""
        learned = LearnedWaste(
            share=self.after,
            before=self.believed,
            job_ids=self._ids,
            job_numbers=tuple(one.job.number for one in self.jobs),
            weight=round(self.moved.rate_weight, 4),
            spread=round(self.moved.spread, 4),
            on=today,
        )
        return {"laid_beyond": learned} if self.way is Way.LAID else {"loss": self.after, "learned": learned}


def as_before(material: Material, way: Way) -> Mapping[str, object] | None:
    """What of a material is set to go back to what stood before own jobs were taken; None where none were."""
    known = learned_of(material, way)
    if known is None:
        return None
    return {"laid_beyond": None} if way is Way.LAID else {"loss": known.before, "learned": None}


def learned_of(material: Material, way: Way) -> LearnedWaste | None:
    """How the share stands taken from own jobs; None where it was typed since, or never taken."""
    if way is Way.LAID:
        return material.laid_beyond
    known = material.learned
    return known if known is not None and known.share == material.loss else None


def tau_of(share: float) -> float:
    """How far a share may lie from where it is believed: a third of it, in bounds (assumption).

    >>> tau_of(0.09), tau_of(0.0), tau_of(0.5)
    (0.03, 0.02, 0.04)
    """
    return min(MOST_TAU, max(LEAST_TAU, share / 3))


def usual_spread(share: float) -> float:
    """How far what jobs of one firm lose differs, as a share of what is measured, while few say so (assumption).

    >>> usual_spread(0.05)
    0.04
    """
    return JOBS_DIFFER * tau_of(share)


def lesson(material: Material, way: Way, jobs: Iterable[MaterialJob]) -> WasteLesson | None:
    """What these closed jobs make of what is lost of a material; None where none tells anything.

    Every job is held against what was believed before any of them, so none counts twice however often it is taken.
    Fewer than three jobs never lower what is ordered: running short costs a second batch.
    """
    held = [one for one in jobs if one.measured > HAIR and one.went_in > HAIR]
    if not held or way is Way.RECIPE:
        return None
    known = learned_of(material, way)
    believed = known.before if known else material.loss if way is Way.MEASURED else _as_planned(held)
    seen = [Seen(1.0 + one.lost - believed) for one in held]
    found = moved(seen, tau_of(believed), spread=spread_of([one.times for one in seen], usual_spread(believed)))
    after = min(MOST_SHARE, max(0.0, round(believed + found.rate - 1.0, 4)))
    few = len(held) < ENOUGH_JOBS and after < believed
    return WasteLesson(
        material=material,
        way=way,
        now=(known.share if known else None) if way is Way.LAID else material.loss,
        believed=believed,
        after=believed if few else after,
        jobs=tuple(ToldWaste(job=one, counts=count) for one, count in zip(held, found.counts, strict=True)),
        moved=found,
        held=few,
    )


def _as_planned(jobs: Sequence[MaterialJob]) -> float:
    """What the jobs were bid with beyond the units laid, each by its units."""
    whole = fsum(one.measured for one in jobs)
    return round(fsum(one.measured * one.planned for one in jobs) / whole, 4)


def lessons(
    materials: Mapping[str, Material], jobs: Mapping[tuple[str, Way], Sequence[MaterialJob]]
) -> tuple[WasteLesson, ...]:
    """What jobs make of every material they tell of: what is not taken yet first, the farthest moved first."""
    found = [lesson(materials[key], way, held) for (key, way), held in jobs.items() if key in materials]
    known = [one for one in found if one is not None]
    return tuple(sorted(known, key=lambda one: (one.taken, -abs(one.after - one.believed), one.material.title)))
