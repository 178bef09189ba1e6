"""Pieces traced to closed rings: split where they meet, walked so that the ground enclosed lies at their left."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import atan2, tau

from app.domain.plan.arcs import Arc, Line, Point, Ring, Segment, ring_area
from app.domain.plan.between import from_point
from app.domain.plan.outline import LEAST_EDGE, Outline, outline_of_rings
from app.domain.plan.pieces import SAME, distance, heading, meetings, part_of, point_at, share_of, turn_between

LEAST = 1e-3  # sq ft: a ring that encloses less is noise
_LOOK = 0.05  # ft: how far along a piece its direction is looked at


@dataclass(slots=True)
class Places:
    """Points by place: those nearer than a millionth of a foot are one, and the one named first stands for them."""

    known: dict[tuple[int, int], list[Point]] = field(default_factory=dict)

    def one(self, point: Point) -> Point:
        """The point that stands for this one."""
        x, y = round(point[0] / SAME / 4), round(point[1] / SAME / 4)
        for dx in (0, -1, 1):
            for dy in (0, -1, 1):
                for other in self.known.get((x + dx, y + dy), ()):
                    if distance(point, other) <= SAME:
                        return other
        self.known.setdefault((x, y), []).append(point)
        return point


def split_where_they_meet(pieces: Sequence[Segment], others: Sequence[Segment], places: Places) -> list[Segment]:
    """Pieces, each split where any of `others` crosses or touches it; ends are the points of `places`."""
    found: list[Segment] = []
    for piece in pieces:
        at = [
            point for other in others if other is not piece and near(piece, other) for point in meetings(piece, other)
        ]
        found += parts_between(piece, at, places)
    return found


def near(one: Segment, other: Segment) -> bool:
    """Whether the frames of two pieces touch."""
    a, b = _frame(one), _frame(other)
    return a[0] <= b[2] + SAME and b[0] <= a[2] + SAME and a[1] <= b[3] + SAME and b[1] <= a[3] + SAME


def _frame(piece: Segment) -> tuple[float, float, float, float]:
    if isinstance(piece, Arc):
        points = [*piece.extremes(), piece.end]
        return (
            min(x for x, _ in points),
            min(y for _, y in points),
            max(x for x, _ in points),
            max(y for _, y in points),
        )
    (ax, ay), (bx, by) = piece.start, piece.end
    return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)


def parts_between(piece: Segment, at: Iterable[Point], places: Places) -> Iterator[Segment]:
    """The parts of a piece between points on it, in their order; points at its ends part nothing."""
    start, end = places.one(piece.start), places.one(piece.end)
    inner = {places.one(point): share_of(piece, point) for point in at} if at else {}
    stops = sorted((share, point) for point, share in inner.items() if point not in {start, end})
    low, here = 0.0, start
    for share, point in (*stops, (1.0, end)):
        if point != here:
            yield part_of(piece, low, share, here, point)
            low, here = share, point


def traced(pieces: Sequence[Segment]) -> list[Ring]:
    """Every ring that directed pieces make, each walked by the sharpest left turn; pieces that lead nowhere are left.

    Ground enclosed lies at the left: outer rings run counterclockwise, holes clockwise.
    """
    leaving = _leaving(_rid_of_dead_ends(list(pieces)))
    used: set[int] = set()
    rings: list[Ring] = []
    for piece in (one for own in leaving.values() for one in own):
        ring: list[Segment] = []
        here = piece
        while id(here) not in used:
            used.add(id(here))
            ring.append(here)
            onward = leaving.get(here.end)
            if onward is None:
                break
            here = _leftmost(here, onward)
        if ring and ring[-1].end == ring[0].start:
            rings += _unpinched(ring)
    return rings


def _unpinched(ring: Sequence[Segment]) -> Iterator[Ring]:
    """A ring that touches itself at points as several that do not."""
    walked: list[Segment] = []
    starts: dict[Point, int] = {}
    for piece in ring:
        starts[piece.start] = len(walked)
        walked.append(piece)
        if piece.end in starts:
            first = starts[piece.end]
            yield tuple(walked[first:])
            for one in walked[first:]:
                del starts[one.start]
            del walked[first:]


def _rid_of_dead_ends(pieces: list[Segment]) -> list[Segment]:
    """Without pieces that nothing leads on from, or to, but the same piece walked back."""
    while True:
        starts, ends = _leaving(pieces), _leaving(piece.backward() for piece in pieces)
        kept = [piece for piece in pieces if _leads_on(piece, starts) and _leads_on(piece.backward(), ends)]
        if len(kept) == len(pieces):
            return kept
        pieces = kept


def _leads_on(piece: Segment, leaving: Mapping[Point, list[Segment]]) -> bool:
    """Whether there is another way on from a piece's end than straight back."""
    middle = point_at(piece, 0.5)
    return any(
        one.end != piece.start or distance(point_at(one, 0.5), middle) > SAME for one in leaving.get(piece.end, ())
    )


def _leaving(pieces: Iterable[Segment]) -> dict[Point, list[Segment]]:
    found: dict[Point, list[Segment]] = {}
    for piece in pieces:
        found.setdefault(piece.start, []).append(piece)
    return found


def _leftmost(piece: Segment, onward: Sequence[Segment]) -> Segment:
    """Of the pieces that leave a piece's end, the first one clockwise from the way back."""
    if len(onward) == 1:
        return onward[0]
    look = min(_LOOK, *(0.1 * one.length for one in (piece, *onward)))
    back = _bearing(piece.end, point_at(piece, 1 - look / piece.length))

    def clockwise(one: Segment) -> float:
        turned = (back - _bearing(one.start, point_at(one, look / one.length))) % tau
        return turned if turned > 1e-9 else tau  # straight back comes last

    return min(onward, key=clockwise)


def _bearing(here: Point, there: Point) -> float:
    return atan2(there[1] - here[1], there[0] - here[0])


def outlines_of(rings: Iterable[Ring], typed: Collection[Point] = ()) -> list[Outline]:
    """Rings as outlines: each outer ring with the holes that lie in it, the largest first.

    An edge too short to be kept is drawn together to one point: to the one of its ends that was typed.
    """
    areas = [(ring_area(ring), _without_slivers(ring, typed)) for ring in rings if abs(ring_area(ring)) > LEAST]
    outers = sorted(((size, ring) for size, ring in areas if size > LEAST), key=lambda one: -one[0])
    holes: Mapping[int, list[Ring]] = {place: [] for place in range(len(outers))}
    alone = [outline_of_rings([ring]) for _, ring in outers]
    for size, ring in areas:
        if size < -LEAST:
            inside = [n for n, one in enumerate(alone) if outers[n][0] > LEAST - size and _holds(one, ring)]
            if inside:
                holes[inside[-1]].append(ring)
    return [
        outline_of_rings([ring, *holes[place]]) if holes[place] else alone[place]
        for place, (_, ring) in enumerate(outers)
    ]


def _holds(outline: Outline, ring: Ring) -> bool:
    """Whether a ring lies in an outline: most of the middles of its pieces do."""
    inside = sum(from_point(outline, point_at(piece, 0.5)) < SAME for piece in ring)
    return 2 * inside > len(ring)


def _without_slivers(ring: Ring, typed: Collection[Point]) -> Ring:
    goes = {}
    for piece in ring:
        if piece.length < 2 * LEAST_EDGE:
            gone, kept = (piece.start, piece.end) if piece.start not in typed else (piece.end, piece.start)
            goes[gone] = kept
    if not goes:
        return ring
    long = (piece for piece in ring if piece.length >= 2 * LEAST_EDGE)
    return tuple(
        part_of(piece, 0, 1, goes.get(piece.start, piece.start), goes.get(piece.end, piece.end)) for piece in long
    )


def run_together(ring: Sequence[Segment], at: Iterable[Point]) -> Ring:
    """A ring whose pieces run on as one across the points `at`, where they are parts of one line or circle."""
    pieces, seams = list(ring), set(at)
    place = 0
    while place < len(pieces) and len(pieces) > 2:
        one, other = pieces[place - 1], pieces[place]
        whole = _as_one(one, other) if other.start in seams else None
        if whole is None:
            place += 1
            continue
        pieces[place - 1] = whole
        del pieces[place]
        place = max(place - 1, 0)
    return tuple(pieces)


def _as_one(one: Segment, other: Segment) -> Segment | None:
    """Two pieces in a row as one, where they are parts of one line or of one circle."""
    straight = abs(turn_between(heading(one, 1), heading(other, 0))) < SAME
    if isinstance(one, Line) and isinstance(other, Line):
        return Line(one.start, other.end) if straight else None
    if isinstance(one, Arc) and isinstance(other, Arc) and straight:
        same = distance(one.center, other.center) < 10 * SAME and abs(one.radius - other.radius) < 10 * SAME
        sweep = one.sweep + other.sweep
        if same and abs(sweep) < tau - 0.1:
            longer = max((one, other), key=lambda arc: abs(arc.sweep))
            whole = Arc(one.start, one.end, other.end, longer.center, longer.radius, one.from_angle, sweep)
            return replace(whole, through=whole.at(0.5))
    return None
