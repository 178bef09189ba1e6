"""The warranty reserve: money kept back for going back, by kind of work where the firm says so, shared to the cells."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from app.domain.basis import Firm
from app.domain.costing.sharing import Cents, shared
from app.domain.money import cents
from app.domain.units import format_share


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserve:
    """The reserve of one kind of work (a group of the library; empty: what belongs to none)."""

    kind: str
    direct_cents: int
    share: Decimal
    cents: int


def reserved(priced: Cents, kinds: Sequence[str], firm: Firm) -> tuple[Cents, str]:
    """Each cell's share of the reserve [cents], and the words for it.

    One share for everything while the firm has none by kind; else each kind's own, the firm's usual for all others.
    Each kind's reserve is rounded once and carried by its own cells, so the kinds add up.
    """
    if not firm.warranty_by_group or not kinds:
        whole = _part(int(priced.sum()), firm.warranty_reserve)
        return shared(whole, priced), format_share(firm.warranty_reserve, 4)
    found = np.zeros(len(priced), dtype=np.int64)
    column = np.array(kinds)
    for one in by_kind(priced, kinds, firm):
        found = found + shared(one.cents, priced * (column == one.kind))
    return found, "by kind of work"


def by_kind(priced: Cents, kinds: Sequence[str], firm: Firm) -> tuple[Reserve, ...]:
    """The reserve of each kind of work that has cost, in the order of their names."""
    column = np.array(kinds)
    made = []
    for kind in sorted(set(kinds)):
        direct = int(priced[column == kind].sum())
        share = firm.warranty_by_group.get(kind, firm.warranty_reserve)
        if direct:
            made.append(Reserve(kind=kind, direct_cents=direct, share=share, cents=_part(direct, share)))
    return tuple(made)


def _part(amount_cents: int, share: Decimal) -> int:
    return cents(Decimal(amount_cents) * share / 100)
