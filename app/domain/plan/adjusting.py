"""Least squares on a network of taped distances: places that fit all tapes best, and how well each tape fits.

Gauss-Newton on all marks together, every tape weighted by its standard deviation. The standardized residual of a tape
is what it misses by over the standard deviation that this miss would have if all were well; its limit 3.29 holds for
one good tape in a thousand. Source: W. Baarda, A Testing Procedure for Use in Geodetic Networks, Netherlands Geodetic
Commission, 1968 (limit from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.domain.plan.arcs import Point
from app.domain.plan.crossing import TAPE

LIMIT = 3.29
SEEN = 1e-3  # share of a tape that the others check; with less, nothing can be said of it
_MOST_STEPS = 60
_STILL = 1e-9  # ft
_HELD = 1e-4  # of the best held coordinate: less, and the normal equations lose too many digits
_RANK = 1e-7  # of the largest singular value

_Floats = NDArray[np.float64]
# starts, ends, lengths, weights: `TAPE` over the standard deviation, so that what is weighted counts in tapes of `TAPE`
_Lines = tuple[NDArray[np.intp], NDArray[np.intp], _Floats, _Floats]


@dataclass(frozen=True, slots=True)
class Line:
    """A taped distance between two marks by their number in the row of places; length and standard deviation [ft]."""

    start: int
    end: int
    length: float
    deviation: float = TAPE


@dataclass(frozen=True, slots=True)
class Adjusted:
    """A network as adjusted. All by number of place or of line; lengths in ft.

    `misfits`: what each tape is too long by; `checked`: the share of each that the others check (its redundancy
    number, 0 to 1); `standardized`: None where nothing checks it; `deviations`: the standard deviation of each
    place in its worst direction (0 for known places); `squares`: the sum of squared misfits, each over its tape's
    standard deviation.
    """

    places: tuple[Point, ...]
    misfits: tuple[float, ...]
    checked: tuple[float, ...]
    standardized: tuple[float | None, ...]
    deviations: tuple[float, ...]
    redundancy: int
    squares: float

    @property
    def tape_deviation(self) -> float | None:
        """The standard deviation of a short tape as this network shows it [ft]; None where nothing is checked."""
        return float(TAPE * np.sqrt(self.squares / self.redundancy)) if self.redundancy > 0 else None

    @property
    def agrees(self) -> bool:
        """Whether no tape misses by more than chance explains."""
        return all(abs(one) <= LIMIT for one in self.standardized if one is not None)


def adjusted(places: Sequence[Point], fixed: Sequence[bool], lines: Sequence[Line]) -> Adjusted:
    """The places that fit all lines best, begun at `places`; those that are `fixed` stay."""
    at = np.array(places, dtype=float).reshape(-1, 2)
    free = np.flatnonzero(~np.array(fixed, dtype=bool))
    rows: _Lines = (
        np.array([one.start for one in lines], dtype=np.intp),
        np.array([one.end for one in lines], dtype=np.intp),
        np.array([one.length for one in lines], dtype=float),
        np.array([TAPE / one.deviation for one in lines], dtype=float),
    )
    middle = at.mean(axis=0) if len(at) else np.zeros(2)
    at = at - middle  # small numbers, wherever the plan lies
    design = np.zeros((0, 0))
    for _ in range(_MOST_STEPS):
        misfits, design = _seen(at, free, rows)
        step = _solved(design, misfits)
        at, long = _stepped(at, free, step, rows)
        if long < _STILL:
            break
    misfits, design = _seen(at, free, rows)
    return _result(at + middle, free, misfits, design, rows[3])


def _seen(at: _Floats, free: NDArray[np.intp], lines: _Lines) -> tuple[_Floats, _Floats]:
    """What each line misses by, and how its length changes with each free coordinate; both weighted."""
    starts, ends, lengths, weights = lines
    way = at[ends] - at[starts]
    far = np.hypot(way[:, 0], way[:, 1])
    along = way / np.where(far > 0, far, 1.0)[:, None]
    column = np.full(len(at), -1)
    column[free] = np.arange(len(free))
    design = np.zeros((len(lengths), 2 * len(free)))
    for ends_at, sign in ((ends, 1.0), (starts, -1.0)):
        rows = np.flatnonzero(column[ends_at] >= 0)
        for axis in (0, 1):
            design[rows, 2 * column[ends_at[rows]] + axis] += sign * along[rows, axis]
    return (lengths - far) * weights, design * weights[:, None]


def _solved(design: _Floats, misfits: _Floats) -> _Floats:
    """The step that fits best: by the normal equations where the lines hold them well, else by least squares."""
    if not design.size:
        return np.zeros(design.shape[1])
    normal = design.T @ design
    try:
        held = np.linalg.cholesky(normal).diagonal()
    except np.linalg.LinAlgError:
        held = np.zeros(1)
    if held.min() > _HELD * held.max():
        return np.asarray(np.linalg.solve(normal, design.T @ misfits), dtype=np.float64)
    found: _Floats = np.asarray(np.linalg.lstsq(design, misfits, rcond=_RANK)[0], dtype=np.float64)
    return found


def _stepped(at: _Floats, free: NDArray[np.intp], step: _Floats, lines: _Lines) -> tuple[_Floats, float]:
    """One step, halved until it makes nothing worse; how far the places moved at most."""
    moves = step.reshape(-1, 2)
    before = _squares(at, lines)
    for _ in range(30):
        moved = at.copy()
        moved[free] += moves
        if _squares(moved, lines) <= before:
            return moved, float(np.abs(moves).max(initial=0.0))
        moves = moves / 2
    return at, 0.0


def _squares(at: _Floats, lines: _Lines) -> float:
    starts, ends, lengths, weights = lines
    way = at[ends] - at[starts]
    return float((((lengths - np.hypot(way[:, 0], way[:, 1])) * weights) ** 2).sum())


def _result(at: _Floats, free: NDArray[np.intp], misfits: _Floats, design: _Floats, weights: _Floats) -> Adjusted:
    left, sizes, right = np.linalg.svd(design, full_matrices=False)
    kept = sizes > _RANK * sizes.max(initial=0.0)
    left, right, sizes = left[:, kept], right[kept], sizes[kept]
    checked = np.clip(1.0 - (left**2).sum(axis=1), 0.0, 1.0)
    cofactors = (right.T / sizes**2) @ right
    deviations = np.zeros(len(at))
    loose = (right**2).sum(axis=0) < 1 - 1e-6  # a coordinate that no tape holds
    for number, place in enumerate(free):
        own = slice(2 * number, 2 * number + 2)
        worst = np.linalg.eigvalsh(cofactors[own, own])[-1]
        deviations[place] = np.inf if loose[own].any() else TAPE * np.sqrt(max(worst, 0.0))
    standardized = [
        float(miss / (TAPE * np.sqrt(share))) if share > SEEN else None
        for miss, share in zip(misfits, checked, strict=True)
    ]
    return Adjusted(
        places=tuple((float(x), float(y)) for x, y in at),
        misfits=tuple(float(one) for one in misfits / weights),
        checked=tuple(float(one) for one in checked),
        standardized=tuple(standardized),
        deviations=tuple(float(one) for one in deviations),
        redundancy=len(misfits) - int(kept.sum()),
        squares=float(((misfits / TAPE) ** 2).sum()),
    )
