"""An order of zones as a program of yes and no: what is built when, what must be there by then, what it may cost.

Its prices are stand-alone: what each piece sells for in a full estimate of the job built at once. A phase comes to more
or less than that, by what comes again and by packs and loads, so every order it proposes is priced in full.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from app.domain.costing.fitting import Program, Row
from app.domain.phasing.planner.pieces import Assignment, Pieces

# a program and how many branches may be looked at: the places of what is chosen (None: nothing), whether that is proven
SolveWithin = Callable[[Program, int], tuple[tuple[int, ...] | None, bool]]


@dataclass(frozen=True, slots=True)
class StandAlone:
    """Prices [whole money]: of each zone, of each follower, of the whole job and what is loose, of a phase more."""

    zones: tuple[float, ...]
    followers: tuple[float, ...]
    base: float
    again: float

    def of(self, pieces: Pieces, assignment: Assignment) -> list[float]:
        """What each phase comes to by these."""
        found = [0.0] * len(pieces.phases)
        for place, cents in zip(assignment, self.zones, strict=True):
            found[place] += cents
        for one, cents in zip(pieces.followers, self.followers, strict=True):
            found[pieces.early(one, assignment)] += cents
        used = pieces.used(assignment)
        found[used[0]] += self.base + self.again * (len(used) - 1)
        return found


@dataclass
class Proposing:
    """The program of one job, with all that was barred so far."""

    pieces: Pieces
    prices: StandAlone
    weights: tuple[int, ...]  # of each zone, what a phase of waiting counts
    solve: SolveWithin
    branches: int
    rows: list[Row] = field(default_factory=list)
    cut_short: bool = False  # whether any answer was not proven best

    def __post_init__(self) -> None:
        self.count = len(self.pieces.phases)
        self.rows = [*self._one_phase_each(), *self._early(), *self._used()]

    # columns: zone × phase, then follower × phase, then whether a phase is used

    def x(self, zone: int, phase: int) -> int:
        """The column that says whether a zone is built in a phase."""
        return zone * self.count + phase

    def _f(self, follower: int, phase: int) -> int:
        return (len(self.pieces.zones) + follower) * self.count + phase

    def _u(self, phase: int) -> int:
        return (len(self.pieces.zones) + len(self.pieces.followers)) * self.count + phase

    @property
    def columns(self) -> int:
        """How many there are."""
        return self._u(self.count)

    def _one_phase_each(self) -> list[Row]:
        units = len(self.pieces.zones) + len(self.pieces.followers)
        every = [tuple(unit * self.count + phase for phase in range(self.count)) for unit in range(units)]
        return [Row(places, (1.0,) * self.count, least=1.0, most=1.0) for places in every]

    def _early(self) -> list[Row]:
        """A follower is there with the earliest of its zones: neither later nor sooner."""
        found = []
        for at, one in enumerate(self.pieces.followers):
            for phase in range(self.count - 1):
                there = tuple(self._f(at, before) for before in range(phase + 1))
                zones = [tuple(self.x(zone, before) for before in range(phase + 1)) for zone in one.zones]
                found += [Row((*there, *own), (1.0,) * len(there) + (-1.0,) * len(own), least=0.0) for own in zones]
                every = tuple(place for own in zones for place in own)
                found.append(Row((*there, *every), (1.0,) * len(there) + (-1.0,) * len(every), most=0.0))
        return found

    def _used(self) -> list[Row]:
        return [
            Row((self.x(zone, phase), self._u(phase)), (1.0, -1.0), most=0.0)
            for zone in range(len(self.pieces.zones))
            for phase in range(self.count)
        ]

    def forbid(self, zone: int, phase: int) -> None:
        """A zone is not built in a phase."""
        self.rows.append(Row((self.x(zone, phase),), (1.0,), most=0.0))

    def bar_order(self, late: int, blockers: Sequence[int], phases: Sequence[int]) -> None:
        """A zone is built in none of these phases after every one of the blockers."""
        for phase in phases:
            before = [self.x(zone, sooner) for zone in blockers for sooner in range(phase)]
            row = Row((self.x(late, phase), *before), (1.0,) * (len(before) + 1), most=float(len(blockers)))
            self.rows.append(row)

    def bar(self, assignment: Assignment) -> None:
        """Not this very order."""
        places = tuple(self.x(zone, phase) for zone, phase in enumerate(assignment))
        self.rows.append(Row(places, (1.0,) * len(places), most=float(len(places) - 1)))

    def bar_content(self, assignment: Assignment, phase: int) -> None:
        """No order in which this phase holds all that it holds here: more is never cheaper.

        The first one pays for the others too, so there it is barred only with as many of them.
        """
        places = [self.x(zone, phase) for zone, its in enumerate(assignment) if its == phase]
        used = self.pieces.used(assignment)
        if phase == used[0]:
            places += [self._u(other) for other in used[1:]]
        self.rows.append(Row(tuple(places), (1.0,) * len(places), most=float(len(places) - 1)))

    def costs(self) -> tuple[float, ...]:
        """What is paid again for each phase that is used; then what is built sooner."""
        found = [0.0] * self.columns
        for zone in range(len(self.pieces.zones)):
            for phase in range(self.count):
                found[self.x(zone, phase)] = 0.5 * phase / max(1, len(self.pieces.zones) * self.count)
        for phase in range(self.count):
            found[self._u(phase)] = self.prices.again + 1.0
        return tuple(found)

    def lateness(self) -> tuple[float, ...]:
        """What each yes counts for how late what is wanted comes."""
        found = [0.0] * self.columns
        for zone, weight in enumerate(self.weights):
            for phase in range(self.count):
                found[self.x(zone, phase)] = float(weight * phase)
        return tuple(found)

    def money(self, budgets: Sequence[float | None], room: Sequence[float]) -> list[Row]:
        """What each phase may come to, with so much room beside each budget [whole money]."""
        found = []
        for phase, (budget, more) in enumerate(zip(budgets, room, strict=True)):
            if budget is None:
                continue
            places = [self.x(zone, phase) for zone in range(len(self.pieces.zones))]
            places += [self._f(at, phase) for at in range(len(self.pieces.followers))]
            cents = [*self.prices.zones, *self.prices.followers]
            if phase == 0:  # what is of the whole job is paid with the first
                places += [self._u(at) for at in range(self.count)]
                cents += [self.prices.base, *[self.prices.again] * (self.count - 1)]
            found.append(Row(tuple(places), tuple(cents), most=budget + more))
        return found

    def solved(self, costs: Sequence[float], rows: Sequence[Row]) -> Assignment | None:
        """The order of least cost that meets the rows; None where none does."""
        found, proven = self.solve(Program(tuple(costs), (*self.rows, *rows)), self.branches)
        self.cut_short |= not proven
        if found is None:
            return None
        chosen = [0] * len(self.pieces.zones)
        for place in found:
            zone, phase = divmod(place, self.count)
            if zone < len(chosen):
                chosen[zone] = phase
        return tuple(chosen)
