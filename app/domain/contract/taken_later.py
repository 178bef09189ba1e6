"""The contract once an option was taken at its printed price: the page of its own that was signed for it."""

from collections.abc import Iterable
from dataclasses import replace

from app.domain.contract.difference import difference
from app.domain.contract.standing import Standing
from app.domain.costing.lines import WHOLE_JOB
from app.domain.costing.payments import Due
from app.domain.job import Job

Printed = tuple[int, str]  # what an option adds [cents], and the event and phase of the payment it is paid with


def with_taken_later(standing: Standing, job: Job, options: Iterable[Printed]) -> Standing:
    """What stands signed with the options of a page taken: the printed prices are the whole of the difference.

    Works that came are worth what their lines sell for; what of a printed price no work holds stays with its zone.
    """
    listed = tuple(options)
    by = sum(cents for cents, _ in listed)
    found = difference(standing, job, standing.basis)
    zones, works = dict(standing.zones), dict(standing.works)
    for zone in found.zones:
        zones[zone.zone] = zones.get(zone.zone, 0) + zone.by
    first = found.zones[0].zone if found.zones else WHOLE_JOB
    zones[first] = zones.get(first, 0) + by - found.by
    for item in found.items:
        if item.will_cents is not None:
            works[item.key] = item.will_cents
        elif item.key in works:
            works.pop(item.key)
    payments = standing.payments
    for option in listed:
        payments = _paid_with(payments, *option)
    return replace(standing, job=job, sum_cents=standing.sum_cents + by, zones=zones, works=works, payments=payments)


def _paid_with(payments: tuple[Due, ...], cents: int, event: str) -> tuple[Due, ...]:
    """The payments with an option's price in the one it is printed beside, else in the last."""
    named = [at for at, one in enumerate(payments) if f"{one.event} {one.phase}".strip() == event]
    if not payments:
        return (Due(event=event, phase="", cents=cents),)
    at = named[-1] if named else len(payments) - 1
    return (*payments[:at], replace(payments[at], cents=payments[at].cents + cents), *payments[at + 1 :])
