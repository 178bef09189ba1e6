"""What is open about the orders of a job: late, not here in time, waiting for the client, not approved as a sample."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from app.domain.findings import Finding, Severity, Stop
from app.domain.job import ApprovedSample
from app.domain.ordering.needed import NeededList
from app.domain.ordering.standing import OrderStanding, OrderState, StandingLine

SAMPLE = "sample-not-approved"
SOON = timedelta(days=14)  # a phase that begins within this wants its orders confirmed. Assumption


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """What orders are held against: today, and when work first wants a material (else the start of its phase)."""

    today: date
    wanted: Mapping[tuple[str, str], date] = field(default_factory=dict)
    starts: Mapping[str, date] = field(default_factory=dict)

    def wanted_on(self, material: str, phase: str) -> date | None:
        """The day on which something must be there; None while nothing is planned."""
        return self.wanted.get((material, phase)) or self.starts.get(phase)


def order_points(lists: Iterable[NeededList], orders: Iterable[OrderStanding], days: Days) -> tuple[Finding, ...]:
    """Every open point of the orders, in the order of lists and orders."""
    found = [point for one in lists if one.can_be_ordered for point in _not_ordered(one, days)]
    for standing in orders:
        if standing.order.called_off_on:
            continue
        if not standing.order.sent_on:
            found += _prepared(standing, days)
        elif standing.is_open:
            found += [*_late(standing, days), *_waiting(standing), *_deposit(standing)]
    return tuple(found)


def _not_ordered(one: NeededList, days: Days) -> Iterator[Finding]:
    """What should have been ordered by today, as one point a list."""
    late = [line.line for line in one.to_order if line.line.order_by and line.line.order_by < days.today]
    if late:
        first = min(line.order_by for line in late if line.order_by)
        yield Finding(
            rule="ordered-late",
            severity=Severity.WARN,
            where=f"phase:{one.of.phase_id}",
            what=f"{one.of.supplier_title}: {_named([line.title for line in late])} should have been ordered by "
            f"{_day(first)}.",
            measured=f"{(days.today - first).days} days late",
            limit=_day(first),
            remedy="Order now, or move the start of the phase.",
        )


def _prepared(standing: OrderStanding, days: Days) -> Iterator[Finding]:
    order = standing.order
    if order.price_until and order.price_until < days.today:
        yield Finding(
            rule="order-price-ran-out",
            severity=Severity.WARN,
            where=f"order:{order.id}",
            what=f"{_name(standing)} is not sent, and its price was held until {_day(order.price_until)}.",
            measured=order.price_until.isoformat(),
            remedy="Ask the supplier again, and type until when the price now holds.",
        )


def _late(standing: OrderStanding, days: Days) -> Iterator[Finding]:
    """What is promised after work wants it, and what should be here by now."""
    for line in standing.lines:
        due = _expected(line, standing)
        if not line.to_come or due is None:
            continue
        wanted = days.wanted_on(line.sent.material, standing.order.phase)
        if wanted and due > wanted:
            yield Finding(
                rule="comes-after-start",
                severity=Severity.WARN,
                where=f"order:{standing.order.id}",
                what=f"{_name(standing)}: {line.title} is expected on {_day(due)}, and work with it begins on "
                f"{_day(wanted)}.",
                measured=due.isoformat(),
                limit=wanted.isoformat(),
                remedy="Ask for an earlier day, begin later, or propose a substitute to the client.",
            )
        elif due < days.today:
            yield Finding(
                rule="delivery-overdue",
                severity=Severity.WARN,
                where=f"order:{standing.order.id}",
                what=f"{_name(standing)}: {line.title} was expected on {_day(due)} and is not all here.",
                measured=due.isoformat(),
                remedy="Call the supplier; write down what came, or the day it is expected now.",
            )


def _expected(line: StandingLine, standing: OrderStanding) -> date | None:
    own = line.backorder.expected_on if line.backorder else None
    return own or standing.order.promised_on or standing.order.deliver_on


def _waiting(standing: OrderStanding) -> Iterator[Finding]:
    for line in standing.lines:
        if line.waits and line.substitute:
            yield Finding(
                rule="substitute-waits",
                severity=Severity.WARN,
                where=f"order:{standing.order.id}",
                what=f"{_name(standing)}: {line.substitute.title} in place of {line.sent.title} waits for the client.",
                measured=str(line.substitute.id),
                remedy="It is not ordered before the client has approved it by name.",
            )


def _deposit(standing: OrderStanding) -> Iterator[Finding]:
    order = standing.order
    if order.deposit_cents and not order.deposit_on and standing.state is not OrderState.DELIVERED:
        yield Finding(
            rule="order-deposit-unpaid",
            severity=Severity.NOTE,
            where=f"order:{order.id}",
            what=f"{_name(standing)}: the deposit of a special order is not written down as paid.",
            measured=str(order.deposit_cents),
            remedy="Suppliers begin a special order when its deposit is in.",
        )


def sample_point(material: str, title: str) -> Finding:
    """The stop of a special order whose sample the client has not put a name on."""
    return Finding(
        rule=SAMPLE,
        severity=Severity.STOP,
        where=f"material:{material}",
        what=f"{title} is a special order, and the client's name is not on a sample of it.",
        measured=material,
        remedy="Have the client sign the physical sample and write it down here, or go on with the reason.",
        stop=Stop.MONEY,
    )


def samples_missing(
    materials: Mapping[str, str], samples: Iterable[ApprovedSample], settled: Iterable[str]
) -> tuple[Finding, ...]:
    """The stops of special orders (title by material) that have neither an approved sample nor a reason."""
    signed, gone_on = {one.material for one in samples if one.name.strip()}, set(settled)
    points = (sample_point(key, title) for key, title in materials.items() if key not in signed)
    return tuple(one for one in points if one.key not in gone_on)


def release_points(
    lists: Iterable[NeededList], orders: Iterable[OrderStanding], days: Days, *, phased: bool
) -> Iterator[Finding]:
    """What the crew would stand without: lists of a phase that begins soon, not ordered; orders nobody confirmed.

    Where the job has no phases (`phased` false) all of it is for now.
    """
    soon = {phase for phase, start in days.starts.items() if start <= days.today + SOON}
    missing: dict[str, list[NeededList]] = {}
    for one in lists:
        if one.can_be_ordered and one.to_order and (one.of.phase_id in soon or not phased):
            missing.setdefault(one.of.phase_id, []).append(one)
    for phase, own in missing.items():
        number = own[0].of.phase_number
        when = f"Phase {number} begins on {_day(days.starts[phase])}, and not" if phase in soon else "Not"
        names = [f"{one.of.supplier_title} ({len(one.to_order)})" for one in own]
        yield Finding(
            rule="not-ordered",
            severity=Severity.STOP,
            where="orders",
            what=f"{when} all of it is ordered: {', '.join(names)}.",
            measured=", ".join(sorted(names)),
            limit="ordered and confirmed before the crew comes",
            source="Common practice, no source: a crew that waits for stone costs more than the stone",
            remedy="Send the orders, or say why the crew may begin without.",
            stop=Stop.MONEY,
        )
    for standing in orders:
        order = standing.order
        near = order.phase in soon or not phased
        if near and order.sent_on and not order.confirmed_on and standing.is_open and not standing.deliveries:
            yield Finding(
                rule="not-confirmed",
                severity=Severity.STOP,
                where=f"order:{order.id}",
                what=f"{_name(standing)}, sent on {_day(order.sent_on)}, is not confirmed.",
                measured=order.sent_on.isoformat(),
                limit="confirmed with a day",
                source="Common practice, no source",
                remedy="Call the supplier, and write down who confirmed it and which day was promised.",
                stop=Stop.MONEY,
            )


def _name(standing: OrderStanding) -> str:
    return f"Order {standing.order.number}, {standing.order.supplier_title}"


def _named(titles: list[str]) -> str:
    return titles[0] if len(titles) == 1 else f"{titles[0]} and {len(titles) - 1} more"


def _day(day: date) -> str:
    return f"{day:%B} {day.day}"
