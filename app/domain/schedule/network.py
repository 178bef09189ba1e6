"""Activities with links: earliest and latest moments, floats, and the critical path.

Source: the critical path method as taught; NAVEDTRA 14233 (Seabee planner's and estimator's handbook), ch. on network
analysis: a lag is added to the early finish; the largest of the predecessors' counts forward, the smallest of the
followers' back; curing is a lag and no work.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from graphlib import CycleError, TopologicalSorter
from typing import NamedTuple

from app.domain.errors import BadValue
from app.domain.schedule.axis import SAME, Axis


class LinkKind(StrEnum):
    """What waits for what."""

    FINISH_START = "finish-start"
    START_START = "start-start"
    FINISH_FINISH = "finish-finish"


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """Work that is done in one go by one crew. `days` [crew-days, ≥ 0] are what it takes in good weather.

    `crew` names who does it (empty: nobody that others wait for); `not_before` is a moment [working days].
    """

    key: str
    title: str = ""
    days: float = 0.0
    crew: str = ""
    outdoors: bool = False
    not_before: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One activity waits for another. `lag` [days] passes between; `cures`: it counts days of the calendar."""

    before: str
    after: str
    kind: LinkKind = LinkKind.FINISH_START
    lag: float = 0.0
    cures: bool = False
    why: str = ""


class Moments(NamedTuple):
    """When an activity may begin and end, in working days from the first morning.

    `total` is how long it can slip without moving the end, `free` without moving anything else.
    """

    start: float
    finish: float
    late_start: float
    late_finish: float
    total: float
    free: float

    @property
    def critical(self) -> bool:
        """A day lost here is a day lost at the end."""
        return self.total <= SAME


class LinksGoRound(BadValue):
    """Activities that wait for one another."""

    def __init__(self, titles: Sequence[str]) -> None:
        """`titles` are the activities of the ring in their order."""
        super().__init__(f"These wait for one another and none can begin: {' → '.join(titles)}.")
        self.titles = tuple(titles)


class Network:
    """Activities in an order in which each comes after what it waits for."""

    __slots__ = ("activities", "follow", "order", "wait")

    def __init__(self, activities: Iterable[Activity], links: Iterable[Link]) -> None:
        """Raises LinksGoRound where activities wait for one another, BadValue where a link names none of them."""
        self.activities: Mapping[str, Activity] = {one.key: one for one in activities}
        self.wait: dict[str, list[Link]] = {key: [] for key in self.activities}
        self.follow: dict[str, list[Link]] = {key: [] for key in self.activities}
        for link in links:
            if link.before not in self.activities or link.after not in self.activities:
                raise BadValue(f"A link names an activity that does not exist: {link.before} → {link.after}.")
            self.wait[link.after].append(link)
            self.follow[link.before].append(link)
        self.order = self._in_order()

    def _in_order(self) -> tuple[str, ...]:
        sorter = TopologicalSorter({key: [one.before for one in links] for key, links in self.wait.items()})
        try:
            return tuple(sorter.static_order())
        except CycleError as ring:
            names = [self.activities[key].title or key for key in reversed(ring.args[1])]
            raise LinksGoRound(names) from None


def critical_path(network: Network, axis: Axis, *, part: Mapping[str, str] | None = None) -> Mapping[str, Moments]:
    """Earliest and latest moments of every activity.

    `part` names the part of the work that each activity belongs to: then its floats look to the end of that part, and
    not to the end of all.

    >>> from app.domain.schedule.axis import Even
    >>> dig, pour = Activity(key="dig", days=2), Activity(key="pour", days=1)
    >>> network = Network([dig, pour], [Link(before="dig", after="pour", lag=3)])
    >>> critical_path(network, Even())["pour"].finish
    6.0
    """
    early = forward(network, axis)
    ends: dict[str, float] = {}
    parts = {key: part[key] if part else "" for key in network.order}
    for key in network.order:
        ends[parts[key]] = max(ends.get(parts[key], 0.0), early[key][1])
    last = {key: ends[parts[key]] for key in network.order}
    late = _back(network, axis, last)
    return {
        key: Moments(*early[key], *late[key], late[key][0] - early[key][0], _free(network, axis, early, key, last[key]))
        for key in network.order
    }


def forward(network: Network, axis: Axis) -> dict[str, tuple[float, float]]:
    """Earliest start and finish of each activity."""
    found: dict[str, tuple[float, float]] = {}
    for key in network.order:
        one = network.activities[key]
        start = earliest(one, network.wait[key], found, axis)
        found[key] = (start, axis.done(start, one.days, outdoors=one.outdoors))
    return found


def earliest(one: Activity, links: Iterable[Link], placed: Mapping[str, tuple[float, float]], axis: Axis) -> float:
    """The first moment an activity may start at, once all it waits for is placed."""
    start = one.not_before
    for link in links:
        began, ended = placed[link.before]
        over = _over(axis, began if link.kind is LinkKind.START_START else ended, link)
        if link.kind is LinkKind.FINISH_FINISH:
            over = axis.begun(over, one.days, outdoors=one.outdoors)
        start = max(start, over)
    return start


def _back(network: Network, axis: Axis, last: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    found: dict[str, tuple[float, float]] = {}
    for key in reversed(network.order):
        one, finish = network.activities[key], last[key]
        for link in network.follow[key]:
            starts, ends = found[link.after]
            limit = _over_back(axis, ends if link.kind is LinkKind.FINISH_FINISH else starts, link)
            if link.kind is LinkKind.START_START:
                limit = axis.done(limit, one.days, outdoors=one.outdoors)
            finish = min(finish, limit)
        found[key] = (axis.begun(finish, one.days, outdoors=one.outdoors), finish)
    return found


def _free(network: Network, axis: Axis, early: Mapping[str, tuple[float, float]], key: str, last: float) -> float:
    began, ended = early[key]
    free = last - ended
    for link in network.follow[key]:
        starts, ends = early[link.after]
        limit = _over_back(axis, ends if link.kind is LinkKind.FINISH_FINISH else starts, link)
        free = min(free, limit - (began if link.kind is LinkKind.START_START else ended))
    return free


def _over(axis: Axis, moment: float, link: Link) -> float:
    return axis.waited(moment, link.lag) if link.cures else moment + link.lag


def _over_back(axis: Axis, moment: float, link: Link) -> float:
    return axis.waited_back(moment, link.lag) if link.cures else moment - link.lag
