"""Where tapes from known marks cross: the two places that fit, which of them is meant, how flat they cross."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import acos, atan2, cos, degrees, fsum, hypot, log1p, sin, sqrt

from app.domain.plan.arcs import Point

TAPE = 1 / 48  # ft: 1/4 in, the standard deviation of a tape pulled in a yard (common practice, no source)
REACH = 1 / 24  # ft: 1/2 in, by which two tapes may fail to meet and still count as meeting on the line
FLAT = 30.0  # degrees: tapes that cross at less tell a place badly (well-conditioned triangles; common practice)
SURE = 1.5  # per tape: a place that fits worse than this may be drawn off by a bad tape (two deviations: 1.1)
UNLIKELIER = 2.5  # a place that fits worse by this is not meant (one tape that misses by five deviations: 2.6)
MOST_PAIRS = 40


@dataclass(frozen=True, slots=True)
class Sight:
    """A tape as seen from the mark that is looked for: a known point, length, standard deviation [ft]."""

    known: Point
    length: float
    deviation: float = TAPE

    def misfit(self, place: Point) -> float:
        """How much longer the tape is than the way to a place [ft]; negative: shorter."""
        return self.length - hypot(place[0] - self.known[0], place[1] - self.known[1])


def shortfall(one: Sight, other: Sight) -> float:
    """How far two tapes fail to meet [ft]; 0 where they meet.

    Positive where together they are too short to reach, negative where the longer one ends beyond the shorter one.

    >>> shortfall(Sight((0, 0), 12), Sight((20, 0), 5)), shortfall(Sight((0, 0), 30), Sight((20, 0), 5))
    (3.0, -5.0)
    """
    apart = hypot(other.known[0] - one.known[0], other.known[1] - one.known[1])
    missing = apart - one.length - other.length
    beyond = abs(one.length - other.length) - apart
    return missing if missing > 0 else -beyond if beyond > 0 else 0.0


def crossings(one: Sight, other: Sight) -> tuple[Point, Point] | None:
    """The two places that both tapes reach, left of the way from the first known mark to the second first.

    Where they do not meet, twice the place on the line that shares what is missing. None for one and the same mark.
    Source: geometry.

    >>> crossings(Sight((0, 0), 5), Sight((6, 0), 5))
    ((3.0, 4.0), (3.0, -4.0))
    """
    (ax, ay), (bx, by) = one.known, other.known
    apart = hypot(bx - ax, by - ay)
    if apart == 0:
        return None
    ux, uy = (bx - ax) / apart, (by - ay) / apart
    missed = shortfall(one, other)
    if missed > 0:
        along, off = one.length + missed / 2, 0.0
    elif missed < 0:
        longer = one.length > other.length
        along = (one.length + apart + other.length) / 2 if longer else (apart - other.length - one.length) / 2
        off = 0.0
    else:
        along = (apart**2 + one.length**2 - other.length**2) / (2 * apart)
        off = sqrt(max(one.length**2 - along**2, 0.0))
    x, y = ax + along * ux, ay + along * uy
    return (x - off * uy, y + off * ux), (x + off * uy, y - off * ux)


def is_left(place: Point, first: Point, second: Point) -> bool:
    """Whether a place lies left of the way from one known mark to another."""
    (ax, ay), (bx, by) = first, second
    return (bx - ax) * (place[1] - ay) - (by - ay) * (place[0] - ax) > 0


@dataclass(frozen=True, slots=True)
class Fit:
    """The places that fit some tapes: the best one, and its mirror image where that fits as well.

    `unlikely`: how badly the best one fits; `cleared`: whether only what stands between ruled the other one out.
    """

    places: tuple[Point, ...]
    unlikely: float
    cleared: bool = False

    @property
    def is_sure(self) -> bool:
        """Whether one place fits, and well."""
        return len(self.places) == 1 and self.unlikely <= SURE


def fitting_places(sights: Sequence[Sight], clear: Callable[[Point], bool] = lambda _place: True) -> Fit | None:
    """The places that fit two tapes or more; those that `clear` rules out only where nothing else fits at all.

    A bad tape counts little more than a doubtful one, so that the others decide. None where all start at one mark.
    """
    every = list(_every_crossing(sights))
    if not every:
        return None
    best = min([place for place in every if clear(place)] or every, key=lambda place: _unlikely(sights, place))
    other = _mirrored(best, [sight.known for sight in sights])
    own = _unlikely(sights, best)
    share = own / len(sights)
    apart = hypot(other[0] - best[0], other[1] - best[1])
    if apart <= REACH or _unlikely(sights, other) > own + UNLIKELIER:
        return Fit((best,), share)
    if clear(best) and not clear(other):
        return Fit((best,), share, cleared=True)
    return Fit((best, other), share)


def best_angle(place: Point, knowns: Sequence[Point]) -> float | None:
    """The angle at a place nearest to square between any two lines to known marks [degrees, 0 to 90]; None for one.

    >>> round(best_angle((0, 0), [(10, 0), (-10, 1), (5, 5)]))
    51
    """
    bearings = [atan2(y - place[1], x - place[0]) for x, y in knowns]
    angles = [degrees(acos(min(1.0, abs(cos(a - b))))) for a, b in combinations(bearings, 2)]
    return max(angles, default=None)


def _every_crossing(sights: Sequence[Sight]) -> Iterator[Point]:
    for count, (one, other) in enumerate(combinations(sights, 2)):
        if count >= MOST_PAIRS:
            return
        yield from crossings(one, other) or ()


def _unlikely(sights: Sequence[Sight], place: Point) -> float:
    """How badly a place fits: grows ever more slowly with what a tape misses by, in standard deviations."""
    return fsum(log1p((sight.misfit(place) / sight.deviation) ** 2 / 2) for sight in sights)


def _mirrored(place: Point, knowns: Sequence[Point]) -> Point:
    """A place on the other side of the line that the known marks lie along best."""
    count = len(knowns)
    mx, my = sum(x for x, _ in knowns) / count, sum(y for _, y in knowns) / count
    xx = sum((x - mx) ** 2 for x, _ in knowns)
    yy = sum((y - my) ** 2 for _, y in knowns)
    xy = sum((x - mx) * (y - my) for x, y in knowns)
    angle = atan2(2 * xy, xx - yy) / 2
    ux, uy = cos(angle), sin(angle)
    off = ux * (place[1] - my) - uy * (place[0] - mx)
    return place[0] + 2 * off * uy, place[1] - 2 * off * ux
