"""Hidden conditions: what was found, at the unit price that was agreed for it when the contract was signed.

Where none was agreed the price is today's, and marked so. What a signed change order holds already is not asked twice.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from app.domain.contract.standing import Standing
from app.domain.costing.lines import WHOLE_JOB
from app.domain.job import FoundCondition, UnitPrice


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundItem:
    """What was found: quantity × price of a unit [cents], and what of it was signed before [cents]."""

    key: str
    zone: str
    title: str
    words: str
    quantity: Decimal
    unit: str
    each_cents: int
    agreed: bool
    was_cents: int
    will_cents: int
    unpriced: bool = False

    @property
    def by(self) -> int:
        """What it adds to the contract sum [cents]."""
        return self.will_cents - self.was_cents


def found_items(found: Iterable[FoundCondition], standing: Standing) -> tuple[FoundItem, ...]:
    """What was found and is not signed as it is now, in its order; what was signed and is gone is credited."""
    signed = {one.id: one for one in standing.job.found_conditions if str(one.id) in standing.found}
    agreed = {str(one.id): one for one in standing.job.unit_prices}
    zones = {str(zone.id) for zone in standing.job.zones}
    rows, there = [], set()
    for one in sorted(found, key=lambda one: one.position):
        there.add(one.id)
        row = _item(one, agreed.get(one.agreed), standing.found.get(str(one.id), 0), zones)
        if row.by or one.id not in signed:
            rows.append(row)
    gone = (one for one in signed.values() if one.id not in there)
    rows += [_credited(one, agreed.get(one.agreed), standing.found[str(one.id)], zones) for one in gone]
    return tuple(rows)


def found_cents(quantity: Decimal, each_cents: int) -> int:
    """Quantity × price of a unit, in whole cents, halves up.

    >>> found_cents(Decimal("2.5"), 145_01)
    36253
    """
    return int((quantity * each_cents).to_integral_value(ROUND_HALF_UP))


def _item(one: FoundCondition, agreed: UnitPrice | None, was: int, zones: set[str]) -> FoundItem:
    each = agreed.cents if agreed else one.cents
    return FoundItem(
        key=str(one.id),
        zone=one.zone if one.zone in zones else WHOLE_JOB,
        title=one.title or (agreed.title if agreed else ""),
        words=one.words,
        quantity=one.quantity,
        unit=agreed.unit if agreed else one.unit,
        each_cents=each or 0,
        agreed=agreed is not None,
        was_cents=was,
        will_cents=found_cents(one.quantity, each or 0),
        unpriced=each is None,
    )


def _credited(one: FoundCondition, agreed: UnitPrice | None, was: int, zones: set[str]) -> FoundItem:
    row = _item(one, agreed, was, zones)
    return FoundItem(
        key=row.key,
        zone=row.zone,
        title=row.title,
        words="Not found after all",
        quantity=Decimal(0),
        unit=row.unit,
        each_cents=row.each_cents,
        agreed=row.agreed,
        was_cents=was,
        will_cents=0,
    )
