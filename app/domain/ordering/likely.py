"""Which receipt or payment is likely the same money as a supplier's bill though its cents differ: offered, never taken.

A crew types a receipt without the tax, or with the pallets; a bill comes with another delivery charge. The same money
to the cent is taken for one by itself (`spending`); what differs is said with the difference, and a person decides.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from app.domain.job import SupplierBill, SupplyOrder
from app.domain.ordering.bills import bill_total
from app.domain.ordering.spending import NEAR, OrderSpent, Told

NEAR_UNNAMED = 7  # days, where nobody wrote down who was paid (assumption)
ALIKE = 0.15  # as a share of the larger: by so much two papers of one delivery may differ (assumption)
ALIKE_UNNAMED = 0.05
OF_ANY = frozenset({"yard", "supply", "stone", "company", "materials", "masonry", "landscape", "garden", "center"})
LEAST_WORD = 4
BESIDE: Mapping[str, str] = {
    "tax_cents": "the sales tax on the bill",
    "delivery_cents": "its delivery",
    "charges_cents": "its charges",
    "deposits_cents": "its deposits on pallets",
    "paid_ahead_cents": "what was paid ahead",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """A bill and what is likely the same money. `by` [cents] is how much more the bill asks for; `why` what that is."""

    bill: SupplierBill
    told: Told
    by: int
    why: str = ""


def likely_same(
    orders: Iterable[SupplyOrder], bills: Sequence[SupplierBill], told: Sequence[Told], spent: Iterable[OrderSpent]
) -> Mapping[str, Likely]:
    """By the id of a bill that nothing tells of yet, what likely does; each receipt is offered to one bill.

    `spent` is what is known of the same bills: what tells of one already is offered to no other.
    """
    joined = {one.bill: str(one.told.id) for one in spent if one.told is not None}
    names = {one.id: one.supplier_title for one in orders}
    free = [one for one in told if str(one.id) not in joined.values()]
    waiting = [one for one in bills if not one.told_in and str(one.id) not in joined]
    pairs = [pair for bill in waiting for pair in _pairs(bill, names.get(bill.order_id, ""), free)]
    found: dict[str, Likely] = {}
    given: set[str] = set()
    for one in sorted(pairs, key=_place):
        key = str(one.bill.id)
        if key not in found and str(one.told.id) not in given:
            found[key] = one
            given.add(str(one.told.id))
    return found


def _place(one: Likely) -> tuple[bool, int, int, str, str]:
    apart = abs((one.told.day - one.bill.day).days)
    return not one.why, abs(one.by), apart, str(one.bill.id), str(one.told.id)


def _pairs(bill: SupplierBill, supplier: str, free: Iterable[Told]) -> Iterator[Likely]:
    total = bill_total(bill)
    for one in free:
        by, why = total - one.cents, ""
        if not by or total <= 0 or one.cents <= 0:
            continue
        named, apart = _merchant(one), abs((one.day - bill.day).days)
        if named and not _alike(named, supplier):
            continue
        why = _why(bill, by)
        share = abs(by) / max(total, one.cents)
        near, most = (NEAR, ALIKE) if named else (NEAR_UNNAMED, ALIKE_UNNAMED)
        if apart <= near and (why or share <= most):
            yield Likely(bill=bill, told=one, by=by, why=why)


def _merchant(one: Told) -> str:
    return str(getattr(one, "merchant", "") or getattr(one, "to", ""))


def _alike(one: str, other: str) -> bool:
    """Whether two names share a word that is not of any yard: `Farrowmere` and `Farrowmere Masonry Yard`."""
    return bool(_words(one) & _words(other))


def _words(name: str) -> set[str]:
    words = {"".join(sign for sign in word if sign.isalnum()) for word in name.casefold().split()}
    return {word for word in words if len(word) >= LEAST_WORD and word not in OF_ANY}


def _why(bill: SupplierBill, by: int) -> str:
    """What of the bill makes the difference to the cent, alone or two together; empty where nothing does."""
    there = [name for name in BESIDE if getattr(bill, name)]
    for some in (*combinations(there, 1), *combinations(there, 2)):
        asked = sum(-getattr(bill, name) if name == "paid_ahead_cents" else getattr(bill, name) for name in some)
        if asked == by:
            return " and ".join(BESIDE[name] for name in some)
    return ""
