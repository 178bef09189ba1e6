"""The best set under a budget: proposed by a program of stand-alone prices, judged by the full estimate.

The program says yes or no to every unit in every way, so that what the client asked for is met as far as the money
goes. Its prices are shares of full estimates of everything, so a set may cost more or less than the program thinks:
each proposed set is priced in full. One that does not fit is barred; while a better one could still fit, it is asked
for. Large jobs end after so many sets; what was dropped and still fits is then put back by full prices, and one more
program says what the best of all that was not priced could come to: where that is worth no more, the set is proven.
Of two sets worth the same the one with the lower stand-alone price is taken, then by a fixed weight of each unit.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.fitting_units import OUT, Picks, Units
from app.domain.errors import Refused
from app.domain.job import Job, PlaceKind

FEWEST_PRICED, MOST_PRICED = 10, 256  # sets priced in full before the best so far is taken
PRICED_CELLS = 1600  # so many by the number of yes or no questions: the more there are, the longer each program takes
MOST_PUT_BACK = 12
GOLDEN = 0.6180339887498949  # its multiples are spread evenly and never meet


@dataclass(frozen=True, slots=True)
class Row:
    """One condition: `least` ≤ sum of coefficients times what is chosen ≤ `most`."""

    places: tuple[int, ...]
    coefficients: tuple[float, ...]
    least: float = float("-inf")
    most: float = float("inf")


@dataclass(frozen=True, slots=True)
class Program:
    """A choice of yes or no for each of `costs`: the least cost that meets every row."""

    costs: tuple[float, ...]
    rows: tuple[Row, ...]


Solve = Callable[[Program], tuple[int, ...] | None]  # the places of what is chosen; None where nothing meets the rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The best set found: what it is, its full price [cents], and what was tried.

    `proven` while every better set that could still fit was priced in full; `picks` None where not even nothing fits.
    `could`: where that is not proven, the best of all sets not priced that could fit; nothing worth more than it can.
    """

    picks: Picks | None
    price_cents: int
    budget_cents: int
    least_cents: int  # the price with nothing that may be out
    priced: int
    proven: bool
    could: Picks | None = None


@dataclass(frozen=True, slots=True)
class StandAlone:
    """Stand-alone prices [whole money] of each unit in each way, the price without any, and how far off they may be."""

    base: float
    units: tuple[tuple[float, ...], ...]
    off: float

    def of(self, picks: Sequence[int]) -> float:
        """The price of a set by these."""
        return self.base + sum(self.units[at][pick] for at, pick in enumerate(picks) if pick != OUT)


def stand_alone(units: Units, basis: Basis) -> StandAlone:
    """What each unit takes of a full estimate of everything, each way in its turn, with its share of the whole job."""
    everything = [_every_way(units, at) for at in range(max(len(unit.ways) for unit in units.all))]
    worked = [estimate(units.job_of(picks), basis) for picks in everything]
    base = estimate(units.job_of((OUT,) * len(units.all)), basis).price_cents
    prices: list[list[float]] = [[0.0] * len(unit.ways) for unit in units.all]
    for picks, one in zip(everything, worked, strict=True):
        for at, cents in enumerate(_shared_out(units, one, base)):
            prices[at][picks[at]] = cents
    whole = tuple(tuple(_whole(cents) for cents in ways) for ways in prices)
    return StandAlone(float(_whole(base)), whole, max(_off(units, one) for one in worked) / 100)


def _whole(cents: float) -> float:
    return float(round(cents / 100))


def _every_way(units: Units, turn: int) -> Picks:
    """Everything in; every unit in the way whose turn it is, the last one where it has fewer."""
    return tuple(min(turn, len(unit.ways) - 1) for unit in units.all)


def _shared_out(units: Units, worked: Estimate, base: int) -> list[float]:
    """The price of everything above the base, shared by what the lines of each unit sell for."""
    own = [0.0] * len(units.all)
    of_work, zones = units.unit_of_work(), {str(key): at for key, at in units.of_zone.items()}
    for line, cents in zip(worked.lines, worked.selling, strict=True):
        at = of_work.get(line.work_id) if line.work_id in of_work else zones.get(line.zone)
        if at is not None:
            own[at] += cents
    together = sum(own)
    scale = (worked.price_cents - base) / together if together else 0.0
    return [cents * scale for cents in own]


def _off(units: Units, worked: Estimate) -> float:
    """How far full and stand-alone prices may lie apart [cents].

    A pack and a load of each material, a crew day a phase, and the edges between zones, at selling price.
    """
    direct = worked.build_up.step("direct").cents or 1
    packs = sum(one.cents / max(1, one.packs) + one.delivery_cents / max(1, one.loads) for one in worked.purchases)
    hours = sum(line.hours for line in worked.lines) or 1.0
    labor = sum(line.cents for line in worked.lines if line.hours)
    firm = worked.paying.firm
    days = len(worked.crew_days) * firm.crew_size * float(firm.crew_day_hours) * labor / hours
    edges = {str(work.id) for work in units.job.works if work.place is PlaceKind.EDGE}
    built = sum(line.cents for line in worked.lines if line.work_id in edges)
    return (packs + days + built) * worked.price_cents / direct


@dataclass
class _Search:
    """The state of one search: what is barred, the best so far, how far full prices were seen above the program's."""

    units: Units
    basis: Basis
    solve: Solve
    budget: int
    barred: list[Picks] = field(default_factory=list)
    above: float = 0.0
    priced: int = 0

    @property
    def tired(self) -> bool:
        """Whether as many sets were priced as may be: fewer, the more there is to choose."""
        return self.priced >= min(max(PRICED_CELLS // max(1, len(self.cells)), FEWEST_PRICED), MOST_PRICED)

    @cached_property
    def prices(self) -> StandAlone:
        return stand_alone(self.units, self.basis)

    @cached_property
    def cells(self) -> list[tuple[int, int]]:
        """Unit and way of each yes or no."""
        return [(at, way) for at, unit in enumerate(self.units.all) for way in range(len(unit.ways))]

    @cached_property
    def costs(self) -> tuple[float, ...]:
        """Stand-alone price of each, with a weight of its own far below a dollar, so that no two sets are alike."""
        most = 0.4 / max(1, len(self.cells))
        return tuple(
            self.prices.units[at][way] + most * ((place + 1) * GOLDEN % 1.0)
            for place, (at, way) in enumerate(self.cells)
        )

    @cached_property
    def worths(self) -> tuple[float, ...]:
        """What each yes is worth, then what each wish that is met is."""
        must, nice, thing, as_now = self.units.scales
        own = [
            float(thing + (as_now if way == self.units.all[at].now and not self.units.all[at].is_option else 0))
            for at, way in self.cells
        ]
        return (*own, *(float(must if wish.must else nice * wish.weight) for wish in self.units.wishes))

    @cached_property
    def fixed_rows(self) -> list[Row]:
        """One way each; what rests on something needs it; a wish is met by all of its units."""
        of_unit: dict[int, tuple[int, ...]] = {}
        for place, (at, _) in enumerate(self.cells):
            of_unit[at] = (*of_unit.get(at, ()), place)
        rows = [Row(places, (1.0,) * len(places), most=1.0) for places in of_unit.values() if len(places) > 1]
        pairs = [(of_unit[at], below) for at, unit in enumerate(self.units.all) for below in unit.rests_on]
        met = [((len(self.cells) + at,), below) for at, wish in enumerate(self.units.wishes) for below in wish.units]
        for above, below in (*pairs, *met):
            under = of_unit[below]
            rows.append(Row((*above, *under), (1.0,) * len(above) + (-1.0,) * len(under), most=0.0))
        return rows

    def rows(self, limit: float) -> list[Row]:
        """All rows: the fixed ones, the money, and the sets that are barred."""
        money = Row(tuple(range(len(self.cells))), self.costs, most=limit - self.prices.base)
        return [*self.fixed_rows, money, *(self._bar(picks) for picks in self.barred)]

    def _bar(self, picks: Picks) -> Row:
        """No set that holds all of this one: more is never cheaper."""
        chosen = tuple(place for place, (at, way) in enumerate(self.cells) if picks[at] == way)
        return Row(chosen, (1.0,) * len(chosen), most=float(len(chosen) - 1))

    def best(self, limit: float) -> Picks | None:
        """The set of most worth within the money, then of least stand-alone price."""
        most = self._solved(tuple(-worth for worth in self.worths), self.rows(limit))
        return None if most is None else self.cheapest(limit, self.units.worth(most))

    def cheapest(self, limit: float, worth: int) -> Picks | None:
        """The set of least stand-alone price that is worth so much, within the money."""
        every = tuple(range(len(self.worths)))
        wanted = Row(every, self.worths, least=float(worth))
        return self._solved((*self.costs, *(0.0 for _ in self.units.wishes)), [*self.rows(limit), wanted])

    def _solved(self, costs: tuple[float, ...], rows: Sequence[Row]) -> Picks | None:
        found = self.solve(Program(costs, tuple(rows)))
        if found is None:
            return None
        picks = [OUT] * len(self.units.all)
        for place in found:
            if place < len(self.cells):
                at, way = self.cells[place]
                picks[at] = way
        return tuple(picks)

    def price(self, picks: Picks) -> int:
        """The full price [cents]; a set that does not fit is barred."""
        self.priced += 1
        cents = estimate(self.units.job_of(picks), self.basis).price_cents
        self.above = max(self.above, cents / 100 - self.prices.of(picks))
        if cents > self.budget:
            self.barred.append(picks)
        return cents


def fit(job: Job, basis: Basis, budget_cents: int, solve: Solve) -> Fit:
    """The best set of a job under a budget [cents].

    Raises: Refused where there is nothing to choose, or something in it has no price yet.
    """
    units = Units(replace(job, packages=()))
    if not units.all:
        raise Refused("There is nothing to choose among yet: draw zones, or offer options.")
    if estimate(units.job_of(_every_way(units, 0)), basis).unpriced:
        raise Refused("Something has no price yet, so no set can be fitted. Type the missing prices first.")
    search = _Search(units, basis, solve, budget_cents)
    none = (OUT,) * len(units.all)
    least = estimate(units.job_of(none), basis).price_cents
    found = _first(search) or ((none, least) if least <= budget_cents else None)
    if found is not None:
        return _improved(search, found, least)
    return Fit(
        picks=None,
        price_cents=least,
        budget_cents=budget_cents,
        least_cents=least,
        priced=search.priced,
        proven=not search.tired,
    )


def _first(search: _Search) -> tuple[Picks, int] | None:
    """A set that fits: the best by stand-alone prices, held lower by what full prices were seen above them."""
    budget = search.budget / 100
    while not search.tired:
        picks = search.best(budget - search.above)
        if picks is None:
            return None
        cents = search.price(picks)
        if cents <= search.budget:
            return picks, cents
    return None


def _improved(search: _Search, found: tuple[Picks, int], least: int) -> Fit:
    """Ask for the cheapest set of more worth until none is left that could fit."""
    picks, cents = found
    window = search.budget / 100 + search.prices.off
    while not search.tired:
        better = search.cheapest(window, search.units.worth(picks) + 1)
        if better is None:
            break
        price = search.price(better)
        if price <= search.budget:
            picks, cents = better, price
    could = None
    if search.tired:
        picks, cents = _put_back(search, picks, cents)
        could = search.best(window)
        if could is not None and search.units.worth(could) <= search.units.worth(picks):
            could = None
    return Fit(
        picks=picks,
        price_cents=cents,
        budget_cents=search.budget,
        least_cents=least,
        priced=search.priced,
        proven=could is None,
        could=could,
    )


def _put_back(search: _Search, picks: Picks, cents: int) -> tuple[Picks, int]:
    """What is out, or done otherwise than now, put back while the whole still fits at its full price."""
    units, room = search.units, (search.budget - cents) / 100 + search.prices.off
    steps = [
        (at, way, search.prices.units[at][way] - (search.prices.units[at][picks[at]] if picks[at] != OUT else 0.0))
        for at, way in search.cells
        if way != picks[at]
    ]
    steps = sorted((step for step in steps if step[2] <= room), key=lambda step: (step[2], step))
    for at, way, _ in steps[:MOST_PUT_BACK]:
        more = (*picks[:at], way, *picks[at + 1 :])
        if units.stands(more) and units.worth(more) > units.worth(picks):
            price = search.price(more)
            if price <= search.budget:
                picks, cents = more, price
    return picks, cents
