"""How far a tape is off: a quarter of an inch near by, more the further it is pulled, by what it is made of.

Source of all figures: common practice, no source. They are standard deviations; the job may say its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.plan.crossing import TAPE

NEAR_BY = 30.0  # ft: up to here a tape is as good as it gets
_SIXTEENTH = 1 / 16 / 12  # ft


@dataclass(frozen=True, slots=True)
class TapeKind:
    """A kind of tape: how far off it is up to 30 ft, and what each further 30 ft add [ft]."""

    title: str
    near: float
    more: float


KINDS: Mapping[str, TapeKind] = {
    "steel": TapeKind("Steel tape", TAPE, 2 * _SIXTEENTH),
    "fiber": TapeKind("Fiberglass tape", TAPE, 4 * _SIXTEENTH),
    "laser": TapeKind("Laser", 2 * _SIXTEENTH, 1 * _SIXTEENTH),
}
USUAL = "steel"


def tape_deviation(length: float, kind: str = USUAL, within: float | None = None) -> float:
    """The standard deviation [ft] of a taped length [ft]. `within` [ft] is the job's own figure up to 30 ft.

    >>> [round(12 * tape_deviation(feet), 3) for feet in (12, 30, 60, 90)]
    [0.25, 0.25, 0.375, 0.5]
    """
    own = KINDS.get(kind, KINDS[USUAL])
    near = own.near if within is None else within
    return near + own.more * max(0.0, length - NEAR_BY) / NEAR_BY
