"""Two estimates of a job line by line: what came, what went, what changed its amount or its price, zone by zone.

Every line of both stands in one row, so that the rows of a zone add up to what the zone moved by, and the zones to what
the price moved by.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import Line

Why = Literal["new", "gone", "amount", "price of a unit", "amount and price", "by the rest", "as it was"]
REASONS: tuple[Why, ...] = ("new", "gone", "amount", "price of a unit", "amount and price", "by the rest")
SHOWN = 8  # rows of a zone shown at once; what moved less is unfolded
NEAR = 1e-6  # amounts and prices of a unit this near one another (as a share) are the same


@dataclass(frozen=True, slots=True)
class Sold:
    """Lines and what each sells for [cents], as worked out now or as kept with what was offered."""

    lines: tuple[Line, ...]
    selling: tuple[int, ...]

    @property
    def price_cents(self) -> int:
        """The price of everything."""
        return sum(self.selling)


def sold_of(worked: Estimate) -> Sold:
    """The lines of an estimate with what they sell for."""
    return Sold(worked.lines, worked.selling)


@dataclass(frozen=True, slots=True)
class Row:
    """One line on both sides: `before` or `after` is None where it is not there; cents are selling price."""

    before: Line | None
    after: Line | None
    before_cents: int
    after_cents: int
    why: Why

    @property
    def line(self) -> Line:
        """The line as it is, or as it was where it is gone."""
        found = self.after or self.before
        assert found is not None
        return found

    @property
    def by(self) -> int:
        """How far it moved [cents]."""
        return self.after_cents - self.before_cents


@dataclass(frozen=True, slots=True)
class ZoneRows:
    """The rows of a zone (`job`: of the whole job), the furthest moved first."""

    zone: str
    rows: tuple[Row, ...]

    @property
    def before_cents(self) -> int:
        """What the zone sold for."""
        return sum(row.before_cents for row in self.rows)

    @property
    def after_cents(self) -> int:
        """What it sells for."""
        return sum(row.after_cents for row in self.rows)

    @property
    def by(self) -> int:
        """How far it moved [cents]."""
        return self.after_cents - self.before_cents

    @property
    def changed(self) -> tuple[Row, ...]:
        """Rows whose line itself is another: come, gone, or changed in amount or price."""
        return tuple(row for row in self.rows if row.why not in ("by the rest", "as it was"))

    @property
    def shown(self) -> tuple[Row, ...]:
        """The changed rows that moved furthest."""
        return self.changed[:SHOWN]

    @property
    def further(self) -> tuple[Row, ...]:
        """The changed rows after those."""
        return self.changed[SHOWN:]

    @property
    def further_by(self) -> int:
        """How far those moved [cents]."""
        return sum(row.by for row in self.further)

    @property
    def unchanged(self) -> int:
        """How many rows are as they were, but for their share of the rest."""
        return len(self.rows) - len(self.changed)

    @property
    def rest_by(self) -> int:
        """How far the other rows moved: their share of overhead, profit and tax [cents]."""
        return self.by - sum(row.by for row in self.changed)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two sides, zone by zone in the order given; and how far each reason moved the price [cents]."""

    zones: tuple[ZoneRows, ...]

    @property
    def before_cents(self) -> int:
        """The price before."""
        return sum(zone.before_cents for zone in self.zones)

    @property
    def after_cents(self) -> int:
        """The price after."""
        return sum(zone.after_cents for zone in self.zones)

    @property
    def by(self) -> int:
        """How far the price moved [cents]."""
        return self.after_cents - self.before_cents

    @property
    def by_reason(self) -> Mapping[Why, int]:
        """How far each reason moved the price; they add up to what it moved."""
        sums: dict[Why, int] = {}
        for zone in self.zones:
            for row in zone.rows:
                sums[row.why] = sums.get(row.why, 0) + row.by
        return {why: sums[why] for why in REASONS if sums.get(why)}


def compared(before: Sold, after: Sold, order: Sequence[str]) -> Comparison:
    """Line by line; `order` are zone ids in their order, those it does not name come last.

    Lines are the same where kind, key, work (or phase) and place in it are, whatever zone they lie in now.
    """
    old, new = _by_name(before), _by_name(after)
    by_zone: dict[str, list[Row]] = {}
    for name in dict.fromkeys((*new, *old)):
        row = _row(old.get(name), new.get(name))
        by_zone.setdefault(name[4], []).append(row)
    place = {zone: at for at, zone in enumerate(order)}
    zones = [
        ZoneRows(zone, tuple(sorted(rows, key=lambda row: (-abs(row.by), row.line.title, row.line.index))))
        for zone, rows in by_zone.items()
    ]
    return Comparison(tuple(sorted(zones, key=lambda one: (place.get(one.zone, len(place)), one.zone))))


_Sold = tuple[Line, int]
_Name = tuple[str, str, str, int, str]


def _by_name(one: Sold) -> Mapping[_Name, _Sold]:
    return {
        (line.kind, line.key, line.work_id or line.phase, line.index, line.zone): (line, cents)
        for line, cents in zip(one.lines, one.selling, strict=True)
    }


def _row(old: _Sold | None, new: _Sold | None) -> Row:
    before, before_cents = old or (None, 0)
    after, after_cents = new or (None, 0)
    return Row(before, after, before_cents, after_cents, _why(before, after, after_cents - before_cents))


def _why(before: Line | None, after: Line | None, by: int) -> Why:
    if before is None or after is None:
        return "new" if before is None else "gone"
    amount = _apart(before.amount, after.amount) or _apart(before.hours, after.hours)
    if before.cents != after.cents and not amount:
        return "price of a unit"
    if amount:
        per_unit = _apart(before.cents * after.amount, after.cents * before.amount, most=0.002)
        return "amount and price" if per_unit else "amount"
    return "by the rest" if by else "as it was"


def _apart(one: float, other: float, *, most: float = NEAR) -> bool:
    return abs(one - other) > most * max(abs(one), abs(other))
