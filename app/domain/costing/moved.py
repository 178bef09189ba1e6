"""What moved in money between two estimates of a job: since it was last seen, or by a change on trial."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One thing that moved [cents of selling price]; `why`: price of a unit, amount, new, gone, or by the rest."""

    what: str
    zone: str
    before: int
    after: int
    why: str

    @property
    def by(self) -> int:
        """How far it moved [cents]."""
        return self.after - self.before


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """All that moved, the furthest first. What the lines moved adds up to what the price moved."""

    price_before: int
    price_after: int
    lines: tuple[Moved, ...]
    zones: Mapping[str, int]  # cents each zone's price moved by

    @property
    def by(self) -> int:
        """How far the price moved [cents]."""
        return self.price_after - self.price_before


def moved(before: Estimate, after: Estimate) -> Movement:
    """What moved from one estimate to the other. Lines are the same where kind, key, work and place in it are."""
    old, new = _lines(before), _lines(after)
    lines = [_line(old.get(name), new.get(name)) for name in dict.fromkeys((*old, *new))]
    apart = [one for one in lines if one.by]
    zones: dict[str, int] = defaultdict(int)
    for one in apart:
        zones[one.zone] += one.by
    return Movement(
        price_before=before.price_cents,
        price_after=after.price_cents,
        lines=tuple(sorted(apart, key=lambda one: (-abs(one.by), one.what, one.zone))),
        zones={zone: by for zone, by in sorted(zones.items()) if by},
    )


_Sold = tuple[Line, int]


def _lines(worked: Estimate) -> dict[tuple[str, str, str, int, str], _Sold]:
    return {
        (line.kind, line.key, line.work_id or line.phase, line.index, line.zone): (line, sold)
        for line, sold in zip(worked.lines, worked.selling, strict=True)
    }


def _line(old: _Sold | None, new: _Sold | None) -> Moved:
    line = new[0] if new else old[0] if old else None
    return Moved(
        what=line.title if line else "",
        zone=line.zone if line else "",
        before=old[1] if old else 0,
        after=new[1] if new else 0,
        why=_why(old, new),
    )


def _why(old: _Sold | None, new: _Sold | None) -> str:
    if old is None or new is None:
        return "new" if old is None else "gone"
    if old[0].amount != new[0].amount or old[0].hours != new[0].hours:
        return "amount"
    return "price of a unit" if old[0].cents != new[0].cents else "by the rest"
