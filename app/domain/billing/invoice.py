"""An invoice: numbered, frozen when it is issued; what is wrong in one is put right by a void and a new one."""

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID


class LineKind(StrEnum):
    """What a line of an invoice is."""

    DRAW = "draw"  # the payment of a milestone
    CHANGE = "change"  # a change the client signed
    RETAINED = "retained"  # held back until the last invoice, below 0
    RELEASED = "released"  # what was held back before
    FEE = "design fee"  # paid before and counted toward the build, below 0
    CREDIT = "credit"  # given to the client, below 0
    LATE = "late charge"


OF_THE_CONTRACT = (LineKind.DRAW, LineKind.CHANGE)
HELD_BACK = (LineKind.RETAINED, LineKind.RELEASED)


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoiceLine:
    """A line: what it is in words, its amount [cents], and what it is of (a milestone, a change, an invoice)."""

    kind: LineKind
    words: str
    cents: int
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Invoice:
    """An issued invoice. `tax_cents` of its lines are sales tax. One that is void counts no more from that day."""

    id: str
    number: int
    issued_on: date
    due_on: date
    lines: tuple[InvoiceLine, ...]
    tax_cents: int = 0
    photo_ids: tuple[UUID, ...] = ()
    void_on: date | None = None
    void_reason: str = ""

    @property
    def total_cents(self) -> int:
        """What is asked for; below 0 it is a credit to the client."""
        return sum(one.cents for one in self.lines)

    def sum_of(self, *kinds: LineKind) -> int:
        """What the lines of these kinds come to [cents]."""
        return sum(one.cents for one in self.lines if one.kind in kinds)

    def of(self, kind: LineKind) -> AbstractSet[str]:
        """What its lines of a kind are of."""
        return {one.of for one in self.lines if one.kind is kind}

    def stands(self, day: date | None = None) -> bool:
        """Whether it counts: on a day, else now."""
        if day is not None and self.issued_on > day:
            return False
        return self.void_on is None or (day is not None and self.void_on > day)


def standing(invoices: Iterable[Invoice], day: date | None = None) -> tuple[Invoice, ...]:
    """The invoices that count, on a day or now, by number."""
    return tuple(sorted((one for one in invoices if one.stands(day)), key=lambda one: one.number))


def total_of(invoices: Sequence[Invoice], *kinds: LineKind) -> int:
    """What lines of these kinds come to on invoices that stand [cents]."""
    return sum(one.sum_of(*kinds) for one in invoices if one.stands())


def next_number(last: int, first: int) -> int:
    """The number after the last one given; the first of all where none was given yet.

    >>> next_number(0, 1200), next_number(1200, 1)
    (1200, 1201)
    """
    return last + 1 if last else max(1, first)
