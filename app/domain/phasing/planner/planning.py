"""The phase planner: the order of zones that breaks no rule, keeps every budget, brings what is wanted first soonest.

Of orders that are as good for the client the cheapest is taken: what comes again (moving in, trenches, protection,
rests of crew-days and packs) is least. A program proposes (`program`), the ground is asked (`ground`), and every
proposal is priced by the full estimate; what breaks a rule or a budget is barred, and the program asked again. Large
jobs end after a fixed count of prices, never after a time: one answer on every machine, which then says that it is not
proven.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import product

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.fitting import Row
from app.domain.errors import Refused
from app.domain.job import Job
from app.domain.phasing.planner.asked import Asked, checked, wants_of, weights_of
from app.domain.phasing.planner.ground import Ground
from app.domain.phasing.planner.pieces import Assignment, Pieces
from app.domain.phasing.planner.program import Proposing, SolveWithin, StandAlone

FEWEST_PRICED, MOST_PRICED, PRICED_CELLS = 10, 600, 1600  # orders priced in full, by how many cells there are
SMALL_CELLS, ALL_BRANCHES, FEW_BRANCHES = 30, 100_000, 8
TINY_CELLS, SMALL_PRICED = 18, 120  # of those, how many orders of larger ones are priced
MOST_ASKED = 2000  # times the program is asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """An order of zones with its full price [cents], and that of each phase that was asked for."""

    assignment: Assignment
    price_cents: int
    phases: tuple[int, ...]
    late: int

    @property
    def rank(self) -> tuple[int, int, int]:
        """The better order is the smaller one; of two as good at the same price, the one that is built sooner."""
        return (self.late, self.price_cents, sum(self.assignment))


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the planner found; `best` None where no order does. `at_once` is all of it in one phase."""

    best: Order | None
    at_once: Order
    priced: int
    proven: bool
    why: str = ""  # no order: what makes it impossible: "season", "ground", "money"
    short: tuple[tuple[int, int], ...] = ()  # by phase (its place): what its budget would have to be for an order
    out_of_season: tuple[int, ...] = ()  # zones that no phase may plant


@dataclass
class Planner:
    """The state of one search."""

    job: Job
    basis: Basis
    asked: Asked
    solve: SolveWithin
    today: date | None = None
    priced: int = 0
    times: int = 0
    kept: dict[Assignment, Order] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.pieces = Pieces(self.job, self.basis, checked(self.asked))
        if not self.pieces.zones:
            raise Refused("There is nothing to plan yet: draw zones and say how they are built.")
        at_once = self.pieces.job_of((0,) * len(self.pieces.zones))
        worked = estimate(at_once, self.basis, self.today)
        if worked.unpriced:
            raise Refused("Something has no price yet, so phases can't be priced. Type the missing prices first.")
        self.ground = Ground(self.pieces, worked.requirements)
        wants = wants_of(self.pieces.job, self.asked.wants)
        weights = weights_of(self.pieces.job, wants, len(self.asked.phases))
        self.weights = tuple(weights[zone.id] for zone in self.pieces.zones)
        self.prices = self._stand_alone(worked)
        self.budgets = [None if one.budget_cents is None else one.budget_cents / 100 for one in self.asked.phases]
        self.above = [0.0] * len(self.asked.phases)
        self.off = self._off(worked)

    def _stand_alone(self, worked: Estimate) -> StandAlone:
        """Shares of the price of everything at once; a phase more by pricing one."""
        pieces = self.pieces
        zones, followers = [0.0] * len(pieces.zones), [0.0] * len(pieces.followers)
        of_place = {one.thing.id: at for at, one in enumerate(pieces.followers)}
        of_work = {str(work.id): of_place.get(work.place_id) for work in pieces.job.works if work.place_id}
        at = {str(zone.id): place for place, zone in enumerate(pieces.zones)}
        base = 0.0
        for line, cents in zip(worked.lines, worked.selling, strict=True):
            follower = of_work.get(line.work_id)
            if follower is not None:
                followers[follower] += cents / 100
            elif line.zone in at:
                zones[at[line.zone]] += cents / 100
            else:
                base += cents / 100
        return StandAlone(tuple(zones), tuple(followers), base, self._again(worked))

    def _again(self, worked: Estimate) -> float:
        """What a phase more costs where the last zone is built by itself [whole money]."""
        if len(self.pieces.phases) < 2 or len(self.pieces.zones) < 2:
            return 0.0
        apart = self.pieces.job_of((*(0,) * (len(self.pieces.zones) - 1), 1))
        return max(0.0, (estimate(apart, self.basis, self.today).price_cents - worked.price_cents) / 100)

    def _off(self, worked: Estimate) -> float:
        """How far the full price of a phase may lie from its stand-alone one [whole money].

        A pack and a load of each material, the rest of a crew-day a phase, and the edges between zones in other phases.
        """
        direct = worked.build_up.step("direct").cents or 1
        packs = sum(one.cents / max(1, one.packs) + one.delivery_cents / max(1, one.loads) for one in worked.purchases)
        hours = sum(line.hours for line in worked.lines) or 1.0
        labor = sum(line.cents for line in worked.lines if line.hours)
        firm = worked.paying.firm
        day = firm.crew_size * float(firm.crew_day_hours) * labor / hours
        return (packs + day) * worked.price_cents / direct / 100 + self.prices.again

    @property
    def most(self) -> int:
        """How many orders are priced in full at most: fewer, the more there is to choose."""
        cells = max(1, len(self.pieces.zones) * len(self.pieces.phases))
        if self.small:
            return MOST_PRICED if cells <= TINY_CELLS else SMALL_PRICED
        return max(PRICED_CELLS // cells, FEWEST_PRICED)

    @property
    def branches(self) -> int:
        """How many branches of a program are looked at: of small ones all there can be."""
        return ALL_BRANCHES if self.small else FEW_BRANCHES

    @property
    def small(self) -> bool:
        """Whether everything that could be best is priced."""
        return len(self.pieces.zones) * len(self.pieces.phases) <= SMALL_CELLS

    @property
    def few(self) -> bool:
        """Whether there are no more orders than may be priced."""
        return self.small and len(self.pieces.phases) ** len(self.pieces.zones) <= self.most

    @property
    def tired(self) -> bool:
        """Whether as many were priced, or asked for, as may be."""
        return self.priced >= self.most or self.times >= MOST_ASKED

    def price(self, assignment: Assignment) -> Order:
        """An order priced in full; kept."""
        if assignment not in self.kept:
            self.priced += 1
            worked = estimate(self.pieces.job_of(assignment), self.basis, self.today)
            by_phase = worked.price_by_phase
            phases = tuple(by_phase.get(str(phase.id), 0) for phase in self.pieces.phases)
            late = self.late(assignment)
            one = Order(assignment=assignment, price_cents=worked.price_cents, phases=phases, late=late)
            self.kept[assignment] = one
        return self.kept[assignment]

    def late(self, assignment: Assignment) -> int:
        """How late what is wanted comes."""
        return sum(weight * at for weight, at in zip(self.weights, assignment, strict=True))

    def could_be(self, assignment: Assignment) -> bool:
        """Whether the ground allows an order, its stand-alone prices no further over the budgets than they may lie."""
        alone = self.prices.of(self.pieces, assignment)
        kept = all(budget is None or one <= budget + self.off for budget, one in zip(self.budgets, alone, strict=True))
        return kept and not self.ground.forbids(assignment)

    def over(self, order: Order) -> list[int]:
        """The phases of an order that cost more than they may."""
        return [at for at, budget in enumerate(self.budgets) if budget is not None and order.phases[at] > budget * 100]

    def stands(self, assignment: Assignment, program: Proposing) -> bool:
        """Whether the ground allows an order; else what it is about is barred, in every order that holds it."""
        paved = self.ground.paved(assignment)
        for one in paved:
            late, blockers = self.ground.zones_of(one.place), [self.ground.zones_of(key) for key in one.blockers]
            if len(late) == 1 and all(len(zones) == 1 for zones in blockers):
                phases = [at for at in range(1, program.count) if not self.ground.plated(one.blockers, at)]
                program.bar_order(late[0], sorted({zones[0] for zones in blockers}), phases)
            else:
                program.bar(assignment)
        return not paved

    def program(self) -> Proposing:
        """A program with nothing barred but planting out of season."""
        found = Proposing(self.pieces, self.prices, self.weights, self.solve, self.branches)
        for zone, phase in sorted(self.ground.out_of_season):
            found.forbid(zone, phase)
        return found

    def propose(self, program: Proposing, costs: Sequence[float], rows: Sequence[Row]) -> Assignment | None:
        """The next order of least cost that the ground allows; None where there is none."""
        while self.times < MOST_ASKED:
            self.times += 1
            found = program.solved(costs, rows)
            if found is None or self.stands(found, program):
                return found
        return None

    def learn(self, program: Proposing, order: Order) -> None:
        """Bar an order that is too dear, and every one that puts as much into a phase that is."""
        for at in self.over(order):
            program.bar_content(order.assignment, at)


def plan(job: Job, basis: Basis, asked: Asked, solve: SolveWithin, today: date | None = None) -> Found:
    """The best order of a job's zones in the phases asked for.

    Raises: BadValue for phases that make no sense; Refused where there is nothing to plan, or something has no price.
    """
    planner = Planner(job, basis, asked, solve, today)
    at_once = planner.price((0,) * len(planner.pieces.zones))
    program = planner.program()
    best = _first(planner, program)
    if best is None:
        return _why(planner, at_once)
    best = _sooner(planner, program, best)
    best, proven = _cheaper(planner, program, best)
    return Found(best=best, at_once=at_once, priced=planner.priced, proven=proven and not program.cut_short)


def _first(planner: Planner, program: Proposing) -> Order | None:
    """An order that keeps every budget, by stand-alone prices held lower by what full ones were seen above them."""
    while not planner.tired:
        room = [-more for more in planner.above]
        found = planner.propose(program, program.lateness(), program.money(planner.budgets, room))
        if found is None:
            return _any(planner, program)
        order = planner.price(found)
        if not planner.over(order):
            return order
        for at in planner.over(order):
            planner.above[at] += 1.0 + order.phases[at] / 100 - (planner.budgets[at] or 0.0)
        planner.learn(program, order)
    return None


def _any(planner: Planner, program: Proposing) -> Order | None:
    """Any order that keeps the budgets, asked for as loosely as full and stand-alone prices may lie apart."""
    while not planner.tired:
        room = [planner.off] * len(planner.budgets)
        found = planner.propose(program, program.lateness(), program.money(planner.budgets, room))
        if found is None:
            return None
        order = planner.price(found)
        if not planner.over(order):
            return order
        planner.learn(program, order)
    return None


def _sooner(planner: Planner, program: Proposing, best: Order) -> Order:
    """Ask for what brings the wanted sooner until nothing is left that could fit."""
    if not (planner.small or any(planner.above)):
        return best  # the first that was proposed is the soonest by stand-alone prices
    columns = tuple(range(program.columns))
    loose = planner.off if planner.small else 0.0
    room = program.money(planner.budgets, [loose] * len(planner.budgets))
    while not planner.tired and best.late > 0:
        wanted = Row(columns, program.lateness(), most=float(best.late - 1))
        found = planner.propose(program, program.lateness(), [*room, wanted])
        if found is None:
            break
        order = planner.price(found)
        if planner.over(order):
            planner.learn(program, order)
        else:
            best = order
    return best


def _cheaper(planner: Planner, program: Proposing, best: Order) -> tuple[Order, bool]:
    """Of the orders that are as good the cheapest; whether every one that could be was priced."""
    if planner.few:
        return _cheapest_of_all(planner, best), True
    columns = tuple(range(program.columns))
    loose = planner.off if planner.small else 0.0  # a large job looks where most is kept, and proves nothing
    room = program.money(planner.budgets, [loose] * len(planner.budgets))
    wanted = Row(columns, program.lateness(), most=float(best.late))
    program.bar(best.assignment)
    while not planner.tired:
        found = planner.propose(program, program.costs(), [*room, wanted])
        if found is None:
            return best, planner.small
        order = planner.price(found)
        if planner.over(order):
            planner.learn(program, order)
            continue
        program.bar(order.assignment)
        if order.rank < best.rank:
            best = order
    return best, False


def _cheapest_of_all(planner: Planner, best: Order) -> Order:
    """Where there are few orders every one that could be is priced: no program need be asked which."""
    for assignment in product(range(len(planner.pieces.phases)), repeat=len(planner.pieces.zones)):
        if planner.late(assignment) <= best.late and planner.could_be(assignment):
            order = planner.price(assignment)
            if not planner.over(order) and order.rank < best.rank:
                best = order
    return best


def _why(planner: Planner, at_once: Order) -> Found:
    """Why there is no order: season, ground, or money; and by how much each budget alone falls short."""
    zones, phases = len(planner.pieces.zones), len(planner.pieces.phases)
    barred = planner.ground.out_of_season
    never = tuple(zone for zone in range(zones) if all((zone, phase) in barred for phase in range(phases)))
    ended = planner.tired
    planner.times, planner.priced = 0, 0
    free = planner.propose(planner.program(), planner.program().lateness(), [])
    why = "season" if never else "ground" if free is None else "money"
    short = tuple(_needed(planner, at) for at in range(phases)) if why == "money" else ()
    return Found(
        best=None, at_once=at_once, priced=planner.priced, proven=not ended, why=why, out_of_season=never,
        short=tuple(one for one in short if one is not None),
    )  # fmt: skip


def _needed(planner: Planner, phase: int) -> tuple[int, int] | None:
    """What a phase's budget would have to be while the others stay [cents]; None where that does not help."""
    if planner.budgets[phase] is None:
        return None
    kept, planner.budgets = planner.budgets, [None if at == phase else one for at, one in enumerate(planner.budgets)]
    try:
        program = planner.program()
        planner.times, planner.priced, planner.above = 0, 0, [0.0] * len(kept)
        least: Order | None = None
        costs = list(program.costs())
        for zone, price in enumerate(planner.prices.zones):
            costs[program.x(zone, phase)] += price  # as little in it as may be
        while planner.priced < (FEWEST_PRICED if planner.small else 3) and not planner.tired:
            room = program.money(planner.budgets, [-more for more in planner.above])
            found = planner.propose(program, costs, room)
            if found is None:
                break
            order = planner.price(found)
            if not planner.over(order):
                least = order
                break
            planner.learn(program, order)
        return (phase, least.phases[phase]) if least else None
    finally:
        planner.budgets = kept
