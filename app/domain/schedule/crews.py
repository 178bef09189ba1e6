"""Activities laid one after the other where a crew can be in one place only."""

from bisect import bisect_right, insort
from collections.abc import Mapping
from heapq import heapify, heappop, heappush

from app.domain.schedule.axis import SAME, Axis
from app.domain.schedule.network import Activity, Link, Moments, Network, earliest

Placed = Mapping[str, tuple[float, float]]


def with_crews(network: Network, axis: Axis, moments: Mapping[str, Moments], crews: Mapping[str, int]) -> Placed:
    """Start and finish of each activity when no crew is asked for more often than the firm has it.

    `crews` says how many of each there are; one that is not named is not short. Whoever has to be done first goes
    first (smallest latest start): a rule, not a search, so a cleverer order may end a little sooner. Nothing starts
    before what it waits for, and an activity once begun goes on.

    Source: serial schedule generation with the latest-start rule; Kolisch, European Journal of Operational Research
    90 (1996); from memory.
    """
    placed: dict[str, tuple[float, float]] = {}
    busy: dict[str, list[tuple[float, float]]] = {crew: [] for crew in crews}
    open_links = {key: len({link.before for link in network.wait[key]}) for key in network.order}
    rank = {key: (moments[key].late_start, moments[key].late_finish, at) for at, key in enumerate(network.order)}
    ready = [(rank[key], key) for key, waits in open_links.items() if not waits]
    heapify(ready)
    while ready:
        _, key = heappop(ready)
        one = network.activities[key]
        start = earliest(one, network.wait[key], placed, axis)
        if one.crew in crews and one.days > SAME:
            find = _only_gap if crews[one.crew] <= 1 else _gap
            start = find(one, start, axis, busy[one.crew], crews[one.crew])
        placed[key] = (start, axis.done(start, one.days, outdoors=one.outdoors))
        if one.crew in crews and one.days > SAME:
            insort(busy[one.crew], placed[key])
        for after in {link.after for link in network.follow[key]}:
            open_links[after] -= 1
            if not open_links[after]:
                heappush(ready, (rank[after], after))
    return placed


def _only_gap(one: Activity, start: float, axis: Axis, busy: list[tuple[float, float]], _most: int) -> float:
    """The same for a single crew: what it is busy with lies one after the other, in order."""
    begin = start
    end = axis.done(begin, one.days, outdoors=one.outdoors)
    for at in range(max(0, bisect_right(busy, (start, float("inf"))) - 1), len(busy)):
        first, last = busy[at]
        if first >= end - SAME:
            break
        if last > begin + SAME:
            begin = max(begin, last)
            end = axis.done(begin, one.days, outdoors=one.outdoors)
    return begin


def _gap(one: Activity, start: float, axis: Axis, busy: list[tuple[float, float]], most: int) -> float:
    """The first moment from `start` on at which one crew of the kind is free for the whole activity."""
    ahead = [row for row in busy if row[1] > start]
    for begin in sorted({start, *(finish for _, finish in ahead)}):
        end = axis.done(begin, one.days, outdoors=one.outdoors)
        if _most_at_once(ahead, begin, end) < max(1, most):
            return begin
    raise AssertionError("after the last finish every crew is free")


def _most_at_once(busy: list[tuple[float, float]], begin: float, end: float) -> int:
    """How many are at work at once at the busiest moment between two."""
    within = [(start, finish) for start, finish in busy if start < end - SAME and finish > begin + SAME]
    at = [max(begin, start) for start, _ in within]
    return max((sum(1 for s, f in within if s <= moment + SAME and f > moment + SAME) for moment in at), default=0)


def after_one_another(network: Network, placed: Placed, crews: Mapping[str, int]) -> tuple[Link, ...]:
    """The links that short crews put between activities: each waits for what its crew did last before it."""
    found: list[Link] = []
    for crew, count in crews.items():
        done: list[tuple[float, str]] = []  # of each crew of the kind: until when, and with what
        mine = [key for key, one in network.activities.items() if one.crew == crew and one.days > SAME]
        for key in sorted(mine, key=lambda one: placed[one]):
            start, finish = placed[key]
            free = max((one for one in done if one[0] <= start + SAME), default=None)
            if free is not None:
                done.remove(free)
                found.append(Link(before=free[1], after=key, why="The same crew"))
            done.append((finish, key))
        assert len(done) <= max(1, count)
    return tuple(found)
