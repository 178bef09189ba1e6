"""What is still to be ordered: what a job needs of each material and phase, less what is on order, in whole packs.

What was sent is never changed by this: where the plan needs more, more is to order; where it needs less, too much is.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from app.domain.ordering.standing import HAIR, OrderStanding, OrderState
from app.domain.orders import OrderKind, OrderLine, OrderList
from app.domain.takeoff.whole import whole_up

ORDERED = (OrderKind.MATERIALS, OrderKind.RENT, OrderKind.HAULING)  # the others are booked, paid or chosen elsewhere
Place = tuple[str, str]  # a material and the phase it is for


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededLine:
    """One line of a list beside what is on order for it. Amounts in bought units, `more` in whole packs."""

    line: OrderLine
    ordered: float
    more: float
    more_packs: int
    over: float
    waits: bool  # a substitute for it waits for the client
    planned: float | None = None  # what today's plan, not signed yet, needs, where that is another amount

    @property
    def settled(self) -> bool:
        """Whether what is on order is what is needed."""
        return self.more <= HAIR and self.over <= HAIR


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededList:
    """A list with its lines beside what is on order."""

    of: OrderList
    lines: tuple[NeededLine, ...]

    @property
    def to_order(self) -> tuple[NeededLine, ...]:
        """What can be ordered now: lines that wait for the client are not among them."""
        return tuple(one for one in self.lines if one.more > HAIR and not one.waits)

    @property
    def pressing(self) -> bool:
        """Whether what was ordered is not what is needed, or waits for the client."""
        return any(one.waits or one.over > HAIR or (one.ordered > HAIR and one.more > HAIR) for one in self.lines)

    @property
    def can_be_ordered(self) -> bool:
        """Whether it is a list that orders are made of, and somebody sells it."""
        return self.of.kind in ORDERED and bool(self.of.supplier)


def needed(
    lists: Sequence[OrderList], orders: Iterable[OrderStanding], planned: Sequence[OrderList] | None = None
) -> tuple[NeededList, ...]:
    """Each list beside what is on order for its phase; `planned` are the lists of today's plan, where it is another."""
    ordered, waits = on_order(orders)
    plan = _bought(planned) if planned is not None else None
    return tuple(
        NeededList(
            of=one, lines=tuple(_line(line, one.phase_id, ordered, waits=waits, plan=plan) for line in one.lines)
        )
        for one in lists
    )


def no_longer_needed(
    lists: Sequence[OrderList], orders: Iterable[OrderStanding]
) -> tuple[tuple[OrderStanding, str, float], ...]:
    """What is on order that nothing needs any more: the order, the title, the amount."""
    there = {(line.material, one.phase_id) for one in lists for line in one.lines}
    return tuple(
        (standing, line.sent.title, line.on_order)
        for standing in orders
        if standing.order.sent_on and standing.state is not OrderState.CALLED_OFF
        for line in standing.lines
        if (line.sent.material, standing.order.phase) not in there and line.on_order > HAIR
    )


def on_order(orders: Iterable[OrderStanding]) -> tuple[Mapping[Place, float], frozenset[Place]]:
    """What is on order by material and phase, and of what a substitute waits for the client."""
    amounts: dict[Place, list[float]] = {}
    waits = set()
    for standing in orders:
        if not standing.order.sent_on or standing.state is OrderState.CALLED_OFF:
            continue
        for line in standing.lines:
            place = (line.sent.material, standing.order.phase)
            amounts.setdefault(place, []).append(min(line.good, line.sent.amount) if line.waits else line.on_order)
            if line.waits:
                waits.add(place)
    return {place: fsum(held) for place, held in amounts.items()}, frozenset(waits)


def _bought(lists: Iterable[OrderList]) -> Mapping[Place, float]:
    return {(line.material, one.phase_id): line.bought for one in lists for line in one.lines}


def _line(
    line: OrderLine,
    phase: str,
    ordered: Mapping[Place, float],
    *,
    waits: frozenset[Place],
    plan: Mapping[Place, float] | None,
) -> NeededLine:
    place = (line.material, phase)
    there = ordered.get(place, 0.0)
    packs = _more_packs(line, there)
    planned = plan.get(place, 0.0) if plan is not None else line.bought
    return NeededLine(
        line=line,
        ordered=there,
        more=packs * _pack(line, there),
        more_packs=packs,
        over=max(0.0, there - line.bought) if not packs and there - line.bought > HAIR else 0.0,
        waits=place in waits,
        planned=planned if abs(planned - line.bought) > HAIR else None,
    )


def _pack(line: OrderLine, there: float) -> float:
    """Bought units in a pack; what is hired longer than it was ordered for is so by whole units."""
    if line.hire and there > HAIR:
        return 1.0
    return line.bought / line.packs if line.packs else line.bought


def _more_packs(line: OrderLine, there: float) -> int:
    """Whole packs still to order; while nothing is on order, all that is bought, with the least order in it."""
    if there <= HAIR:
        return line.packs or 1
    lacks, pack = line.wanted - there, _pack(line, there)
    return whole_up(lacks / pack) if lacks > HAIR and pack > 0 else 0
