"""The next thing out and the next thing in: by what the client asked for, with what the whole then costs."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.fitting_units import OUT, Picks, Unit, Units
from app.domain.costing.options import Difference

MOST_ALIKE = 8  # things worth the same that are priced to tell the cheapest


@dataclass(frozen=True, slots=True, kw_only=True)
class NextThing:
    """A thing that goes out or comes in next; with it goes what rests on it. `difference` is with it and without it."""

    at: int
    unit: Unit
    picks: Picks
    difference: Difference

    @property
    def then_cents(self) -> int:
        """The price of the job after that."""
        now_in = self.picks[self.at] != OUT
        return self.difference.with_cents if now_in else self.difference.without_cents


def next_out(units: Units, basis: Basis, worked: Estimate) -> NextThing | None:
    """The thing whose going costs the client the least; of several that which frees the most money.

    `worked` is the estimate of the job as it stands. None where nothing is in.
    """
    now = units.picks_now
    steps = [(units.worth(now) - units.worth(then), at, then) for at, then in _outs(units, now)]
    return _told(units, basis, worked, steps, going=True)


def next_in(units: Units, basis: Basis, worked: Estimate) -> NextThing | None:
    """The thing whose coming gives the client the most; of several the cheapest. None where nothing is out."""
    now = units.picks_now
    steps = [(units.worth(now) - units.worth(then), at, then) for at, then in _ins(units, now)]
    return _told(units, basis, worked, steps, going=False)


def _told(
    units: Units, basis: Basis, worked: Estimate, steps: list[tuple[int, int, Picks]], *, going: bool
) -> NextThing | None:
    least = min((step[0] for step in steps), default=None)
    alike = [(at, then) for loss, at, then in steps if loss == least][:MOST_ALIKE]
    now = worked.price_cents
    priced = [(at, then, estimate(units.job_of(then), basis).price_cents) for at, then in alike]
    if not priced:
        return None
    at, picks, cents = min(priced, key=lambda one: (one[2], one[0]))
    with_it, without_it = (now, cents) if going else (cents, now)
    pair = Difference(with_cents=with_it, without_cents=without_it)
    return NextThing(unit=units.all[at], picks=picks, difference=pair, at=at)


def _outs(units: Units, now: Picks) -> Iterator[tuple[int, Picks]]:
    for at, pick in enumerate(now):
        if pick != OUT:
            yield at, without(units, now, at)


def without(units: Units, picks: Picks, at: int) -> Picks:
    """A set without one unit, and without what rests on it."""
    gone = {at} | {place for place, unit in enumerate(units.all) if at in unit.rests_on}
    return tuple(OUT if place in gone else pick for place, pick in enumerate(picks))


def _ins(units: Units, now: Picks) -> Iterator[tuple[int, Picks]]:
    for at, pick in enumerate(now):
        then = with_unit(units, now, at)
        if pick == OUT and units.stands(then):
            yield at, then


def with_unit(units: Units, picks: Picks, at: int) -> Picks:
    """A set with one more unit, done the way it is done now."""
    return (*picks[:at], units.all[at].now, *picks[at + 1 :])


def left_out_of(units: Units, basis: Basis, picks: Picks, price_cents: int) -> tuple[NextThing, ...]:
    """Everything that a set leaves out, with what the whole would cost with it."""
    found = []
    for at, then in _ins(units, picks):
        pair = Difference(with_cents=estimate(units.job_of(then), basis).price_cents, without_cents=price_cents)
        found.append(NextThing(unit=units.all[at], picks=then, difference=pair, at=at))
    return tuple(found)
