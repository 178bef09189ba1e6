"""Levels from rod readings: level = benchmark + backsight - foresight, over several setups of the instrument.

A mark that is read from two setups is a turning point, and closes a loop where its level was known already. What a
loop fails to close by is told; within the limit it is shared among all readings by least squares, above it nothing is
shared and the loop wants to be read again. All in feet above the job's datum.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

# ft for one setup: 1/4 in; a run of setups may miss by so much times the square root of their number. Common practice
# in construction leveling: the error of a series (J. Mahun, Open Access Surveying Library, Elevations, chapter E).
CLOSURE = 0.02


@dataclass(frozen=True, slots=True)
class Rod:
    """A reading of the rod on a mark from a setup [ft]."""

    setup: str
    reading: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LeveledMark:
    """A mark as told: its typed level [ft], the rod readings on it."""

    key: str
    level: float | None = None
    rods: tuple[Rod, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """Where the instrument stood: the mark with a known level it first looked at, and the rod read there [ft]."""

    key: str
    benchmark: str | None = None
    backsight: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkLevel:
    """The level of a mark [ft]; `read` are the levels the setups give for it before anything is shared, by setup."""

    level: float
    typed: bool
    read: Mapping[str, float]

    @property
    def spread(self) -> float:
        """How far the levels found for it lie apart [ft], the typed one among them."""
        every = [*self.read.values(), *([self.level] if self.typed else [])]
        return max(every) - min(every) if every else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Leveling:
    """What the readings give: levels by mark, the height of the instrument by setup [ft], how well the loops close."""

    levels: Mapping[str, MarkLevel]
    heights: Mapping[str, float]
    closure: float | None  # the worst of the spreads [ft]; None where nothing was read twice
    limit: float
    worst: str  # the mark it was found at
    shared: bool

    @property
    def closes(self) -> bool:
        """Whether what was read twice agrees within the limit."""
        return self.closure is None or self.closure <= self.limit


@dataclass(frozen=True, slots=True)
class _Sight:
    setup: str
    mark: str
    reading: float
    back: bool = False


def leveled(marks: Sequence[LeveledMark], setups: Sequence[Setup]) -> Leveling:
    """The levels of all marks that can be told from the typed levels and the readings; their order changes nothing.

    >>> marks = [LeveledMark(key="BM", level=820.0), LeveledMark(key="X", rods=(Rod("1", 1.2),))]
    >>> round(leveled(marks, [Setup(key="1", benchmark="BM", backsight=8.42)]).levels["X"].level, 2)
    827.22
    """
    typed = {mark.key: mark.level for mark in marks if mark.level is not None}
    sights = _sights(marks, setups)
    levels, heights, begun = _carried(typed, sights)
    read: dict[str, dict[str, float]] = {mark.key: {} for mark in marks}
    for sight in sights:
        if sight.setup in heights and sight not in begun:
            read[sight.mark][sight.setup] = heights[sight.setup] - sight.reading
    raw = {
        key: MarkLevel(level=level, typed=key in typed, read=read[key]) for key, level in levels.items() if key in read
    }
    closure, worst = _closure(raw)
    limit = CLOSURE * sqrt(max(len(heights), 1))
    shared = closure is not None and closure <= limit
    if shared:
        heights, levels = _shared(typed, levels, heights, sights)
        raw = {key: MarkLevel(level=levels[key], typed=one.typed, read=one.read) for key, one in raw.items()}
    return Leveling(levels=raw, heights=heights, closure=closure, limit=limit, worst=worst, shared=shared)


def _sights(marks: Sequence[LeveledMark], setups: Sequence[Setup]) -> list[_Sight]:
    """Every reading, backsights first; a backsight that was typed as a reading of its mark as well counts once."""
    there, known = {setup.key for setup in setups}, {mark.key for mark in marks}
    back = [
        _Sight(one.key, one.benchmark, one.backsight, back=True)
        for one in setups
        if one.benchmark in known and one.benchmark is not None and one.backsight is not None
    ]
    fore = [_Sight(rod.setup, mark.key, rod.reading) for mark in marks for rod in mark.rods if rod.setup in there]
    seen = {(sight.setup, sight.mark, sight.reading) for sight in back}
    return [*back, *(sight for sight in fore if (sight.setup, sight.mark, sight.reading) not in seen)]


def _carried(
    typed: Mapping[str, float], sights: Sequence[_Sight]
) -> tuple[dict[str, float], dict[str, float], set[_Sight]]:
    """Levels and heights carried from setup to setup, and the sights that the heights were begun with.

    A height comes from the backsight; only where none leads on, from another mark of known level that was read.
    """
    levels, heights = dict(typed), dict[str, float]()
    begun: set[_Sight] = set()
    while True:
        open_now = [sight for sight in sights if sight.setup not in heights and sight.mark in levels]
        leading = {sight.setup: sight for sight in reversed(open_now) if sight.back}
        leading = leading or {sight.setup: sight for sight in reversed(open_now)}
        if not leading:
            return levels, heights, begun
        for sight in leading.values():
            heights[sight.setup] = levels[sight.mark] + sight.reading
            begun.add(sight)
        for sight in sights:
            if sight.setup in leading:
                levels.setdefault(sight.mark, heights[sight.setup] - sight.reading)


def _closure(levels: Mapping[str, MarkLevel]) -> tuple[float | None, str]:
    twice = {key: one for key, one in levels.items() if len(one.read) + one.typed > 1}
    if not twice:
        return None, ""
    worst = max(sorted(twice), key=lambda key: twice[key].spread)
    return twice[worst].spread, worst


def _shared(
    typed: Mapping[str, float], levels: Mapping[str, float], heights: Mapping[str, float], sights: Sequence[_Sight]
) -> tuple[dict[str, float], dict[str, float]]:
    """Heights and levels that fit all readings best, typed levels kept: least squares, every reading of one weight."""
    used = [sight for sight in sights if sight.setup in heights]
    loose = [key for key in levels if key not in typed]
    names = [*heights]
    design, right = np.zeros((len(used), len(names) + len(loose))), np.zeros(len(used))
    for row, sight in enumerate(used):
        design[row, names.index(sight.setup)] = 1.0
        right[row] = sight.reading
        if sight.mark in typed:
            right[row] += typed[sight.mark]
        else:
            design[row, len(names) + loose.index(sight.mark)] = -1.0
    found = np.linalg.lstsq(design, right, rcond=None)[0].tolist()
    return dict(zip(names, found, strict=False)), dict(typed) | dict(zip(loose, found[len(names) :], strict=True))
