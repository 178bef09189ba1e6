"""How an order stands: line by line what was sent, what came of it whole, what is to come, what waits for whom."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from math import fsum
from typing import Protocol, TypeVar
from uuid import UUID

from app.domain.job import Backorder, Delivery, PalletsBack, SentLine, Substitute, SupplyOrder

HAIR = 1e-6  # bought units: less is nothing
OfOrder = TypeVar("OfOrder", Backorder, Substitute, Delivery, PalletsBack)
OfLine = TypeVar("OfLine", Backorder, Substitute)


class OrderState(StrEnum):
    """Where an order stands, from prepared to delivered."""

    TO_ORDER = "to order"
    SENT = "sent"
    CONFIRMED = "confirmed"
    BACKORDERED = "backordered"
    WAITS = "waits for the client"
    PARTLY = "partly delivered"
    DELIVERED = "delivered"
    CALLED_OFF = "called off"


class LineState(StrEnum):
    """Where one line of a sent order stands."""

    TO_COME = "to come"
    BACKORDERED = "backordered"
    WAITS = "waits for the client"
    SHORT = "short"
    BROKEN = "broken"
    WHOLE = "delivered whole"
    OFF = "taken off"


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingLine:
    """One sent line as it stands. Amounts in bought units; `good` is what came whole."""

    sent: SentLine
    came: float
    broken: float
    batches: tuple[str, ...]
    backorder: Backorder | None
    substitute: Substitute | None  # the newest; declined ones stand here, too
    state: LineState

    @property
    def good(self) -> float:
        """What came and is not broken."""
        return self.came - self.broken

    @property
    def off(self) -> bool:
        """Whether what has not come of it is on order no more."""
        return bool(self.backorder and self.backorder.off)

    @property
    def waits(self) -> bool:
        """Whether a substitute is proposed that the client has neither approved nor declined."""
        one = self.substitute
        return bool(one and not one.approved_on and not one.declined_on)

    @property
    def replaced(self) -> Substitute | None:
        """The substitute that the client approved."""
        return self.substitute if self.substitute and self.substitute.approved_on else None

    @property
    def title(self) -> str:
        """What comes: the substitute once it is approved."""
        return self.replaced.title if self.replaced else self.sent.title

    @property
    def on_order(self) -> float:
        """What of the need it stands for: all that was sent, or what came of a line that was taken off."""
        return min(self.good, self.sent.amount) if self.off else self.sent.amount

    @property
    def to_come(self) -> float:
        """What is still to come, broken ones to be brought again among it."""
        return 0.0 if self.off or self.sent.amount - self.good <= HAIR else self.sent.amount - self.good

    @property
    def other_batches(self) -> bool:
        """Whether a line that is to be of one batch came in several."""
        return self.sent.one_batch and len(self.batches) > 1


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderStanding:
    """One order with its lines as they stand, and its pallets."""

    order: SupplyOrder
    lines: tuple[StandingLine, ...]
    deliveries: tuple[Delivery, ...]
    pallets_in: int
    pallets_back: int
    state: OrderState

    @property
    def is_open(self) -> bool:
        """Whether it was sent and something of it is still to come."""
        return bool(self.order.sent_on) and self.state not in (OrderState.DELIVERED, OrderState.CALLED_OFF)

    @property
    def expected(self) -> date | None:
        """The latest day on which the rest is expected: promised, else asked for; backorders by their own."""
        if not self.is_open:
            return None
        whole = self.order.promised_on or self.order.deliver_on
        days = [one.backorder.expected_on if one.backorder else whole for one in self.lines if one.to_come]
        known = [day for day in days if day]
        return max(known) if known else whole

    @property
    def to_choose(self) -> tuple[tuple[str, str], ...]:
        """Lines of which something is to come: key and title."""
        return tuple((one.sent.material, one.title) for one in self.lines if one.to_come)

    def line(self, material: str) -> StandingLine | None:
        """The line of a material."""
        return next((one for one in self.lines if one.sent.material == material), None)


class WithOrders(Protocol):
    """A job, or as much of one as was written down of its orders."""

    @property
    def supply_orders(self) -> tuple[SupplyOrder, ...]:
        """The orders."""

    @property
    def backorders(self) -> tuple[Backorder, ...]:
        """What does not come with the rest."""

    @property
    def substitutes(self) -> tuple[Substitute, ...]:
        """What was proposed instead."""

    @property
    def deliveries(self) -> tuple[Delivery, ...]:
        """What came."""

    @property
    def pallets_back(self) -> tuple[PalletsBack, ...]:
        """Pallets that went back."""


def came_whole(orders: Iterable[OrderStanding]) -> tuple[Mapping[str, float], frozenset[str]]:
    """What came whole by all orders [bought units] by material, and of which materials something else came instead."""
    came: dict[str, list[float]] = {}
    replaced = set()
    for line in (line for standing in orders for line in standing.lines):
        came.setdefault(line.sent.material, []).append(line.good)
        if line.replaced:
            replaced.add(line.sent.material)
    return {material: fsum(held) for material, held in came.items()}, frozenset(replaced)


def standings(job: WithOrders) -> tuple[OrderStanding, ...]:
    """All orders of a job as they stand, by number."""
    come = _by_order(job.deliveries)
    back, pallets, others = _by_order(job.backorders), _by_order(job.pallets_back), _by_order(job.substitutes)
    found = []
    for one in sorted(job.supply_orders, key=lambda order: (order.number, str(order.id))):
        key = one.id
        deliveries = tuple(sorted(come.get(key, ()), key=lambda it: (it.day, str(it.said_at or ""), str(it.id))))
        lines = _lines(one, deliveries, back.get(key, ()), others.get(key, ()))
        found.append(
            OrderStanding(
                order=one,
                lines=lines,
                deliveries=deliveries,
                pallets_in=sum(it.pallets for it in deliveries),
                pallets_back=sum(it.count for it in pallets.get(key, ())),
                state=_state(one, lines),
            )
        )
    return tuple(found)


def _by_order(things: Iterable[OfOrder]) -> Mapping[UUID, Sequence[OfOrder]]:
    found: dict[UUID, list[OfOrder]] = {}
    for one in things:
        found.setdefault(one.order_id, []).append(one)
    return found


def _newest(things: Iterable[OfLine], material: str) -> OfLine | None:
    mine = (one for one in things if one.material == material)
    return max(mine, key=lambda one: (str(one.said_at or ""), str(one.id)), default=None)


def _lines(
    order: SupplyOrder, deliveries: Sequence[Delivery], back: Sequence[Backorder], others: Sequence[Substitute]
) -> tuple[StandingLine, ...]:
    came: dict[str, list[tuple[float, float, str]]] = {}
    for one in deliveries:
        for line in one.lines:
            came.setdefault(line.material, []).append((line.came, line.broken, line.batch.strip()))
    return tuple(
        _line(sent, came.get(sent.material, ()), _newest(back, sent.material), _newest(others, sent.material))
        for sent in order.lines
    )


def _line(
    sent: SentLine, came: Sequence[tuple[float, float, str]], back: Backorder | None, other: Substitute | None
) -> StandingLine:
    whole = StandingLine(
        sent=sent,
        came=fsum(amount for amount, _, _ in came),
        broken=fsum(broken for _, broken, _ in came),
        batches=tuple(dict.fromkeys(batch for _, _, batch in came if batch)),
        backorder=back,
        substitute=other,
        state=LineState.TO_COME,
    )
    return replace(whole, state=_line_state(whole))


def _line_state(one: StandingLine) -> LineState:
    if one.sent.amount - one.good <= HAIR:
        return LineState.WHOLE
    if one.off:
        return LineState.OFF
    if one.waits:
        return LineState.WAITS
    if one.backorder:
        return LineState.BACKORDERED
    if one.came <= HAIR:
        return LineState.TO_COME
    return LineState.BROKEN if one.sent.amount - one.came <= HAIR else LineState.SHORT


def _state(order: SupplyOrder, lines: Sequence[StandingLine]) -> OrderState:
    if order.called_off_on or not order.sent_on:
        return OrderState.CALLED_OFF if order.called_off_on else OrderState.TO_ORDER
    states = {one.state for one in lines}
    said = OrderState.CONFIRMED if order.confirmed_on else OrderState.SENT
    told = (
        (OrderState.DELIVERED, states <= {LineState.WHOLE, LineState.OFF}),
        (OrderState.WAITS, LineState.WAITS in states),
        (OrderState.PARTLY, any(one.came > HAIR for one in lines)),
        (OrderState.BACKORDERED, LineState.BACKORDERED in states),
    )
    return next((state for state, is_so in told if is_so), said)
