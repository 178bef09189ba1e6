"""What the next invoice bills: draws of reached milestones, signed changes, retainage; the last one takes what is left.

After the last draw all lines add up to the contract sum and its changes to the cent, whatever shares and roundings did
before: draws, retainage, design fee and tax each end with exactly what is left of them.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from app.domain.billing.contract import ChangeToBill, Contract, Milestone
from app.domain.billing.invoice import HELD_BACK, OF_THE_CONTRACT, Invoice, InvoiceLine, LineKind, standing
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.money import cents
from app.domain.units import format_share


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What goes on an invoice beside the contract [cents, 0 or more]: a credit, and late charges by invoice."""

    credit_cents: int = 0
    credit_words: str = ""
    late: tuple[InvoiceLine, ...] = ()


NOTHING_BESIDE = Beside()


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnUp:
    """An invoice before it has a number: its lines, the sales tax in them [cents], whether it is the last draw."""

    lines: tuple[InvoiceLine, ...]
    tax_cents: int
    is_last: bool

    @property
    def total_cents(self) -> int:
        """What is asked for."""
        return sum(one.cents for one in self.lines)


def draw_up(
    contract: Contract, invoices: Sequence[Invoice], keys: Collection[str], beside: Beside = NOTHING_BESIDE
) -> DrawnUp:
    """The lines that bill these milestones on top of the invoices there are.

    Changes signed since go with them; without a milestone they are billed alone.
    Raises: NotFound for a milestone of another contract; Refused where one is billed already, or nothing is to bill;
    BadValue for a credit without words.
    """
    there = standing(invoices)
    wanted = _wanted(contract, there, keys)
    left = [one for one in contract.milestones if one not in wanted and one.key not in _of(there, LineKind.DRAW)]
    is_last = not left
    draws = _draws(contract, there, wanted, is_last=is_last)
    changes = [_change_line(one) for one in changes_to_bill(contract, there, wanted, is_last=is_last)]
    lines = [*draws, *changes, *_fee(contract, there, wanted, is_last=is_last)]
    lines += _retainage(contract, there, sum(one.cents for one in (*draws, *changes)), is_last=is_last)
    lines += [*beside.late, *_credit(beside)]
    lines = [one for one in lines if one.cents or one.kind in OF_THE_CONTRACT]
    if not lines:
        raise Refused("There is nothing to bill. Mark a milestone as reached first.")
    tax = _tax(contract, there, draws, changes, is_last=is_last)
    return DrawnUp(lines=tuple(lines), tax_cents=tax, is_last=is_last and bool(wanted))


def left_to_bill(contract: Contract, invoices: Sequence[Invoice]) -> int:
    """What of the contract sum and its changes is on no invoice yet [cents]."""
    there = standing(invoices)
    return contract.total_cents - sum(one.sum_of(LineKind.DRAW, LineKind.CHANGE) for one in there)


def held_back(invoices: Sequence[Invoice]) -> int:
    """What is held back of what was billed, to be released with the last invoice [cents]."""
    return -sum(one.sum_of(*HELD_BACK) for one in standing(invoices))


def changes_to_bill(
    contract: Contract, invoices: Sequence[Invoice], wanted: Sequence[Milestone], *, is_last: bool
) -> tuple[ChangeToBill, ...]:
    """Signed changes that go with these draws: those on no invoice yet, but for those that go with a later one."""
    billed = _of(standing(invoices), LineKind.CHANGE)
    drawn = _of(standing(invoices), LineKind.DRAW)
    later = {
        words
        for one in contract.milestones
        if one not in wanted and one.key not in drawn
        for words in (one.words, f"{one.event} {one.phase}".strip())
    }
    return tuple(one for one in contract.changes if one.key not in billed and (is_last or one.paid_with not in later))


def _of(invoices: Sequence[Invoice], kind: LineKind) -> set[str]:
    return {key for one in invoices for key in one.of(kind)}


def _wanted(contract: Contract, there: Sequence[Invoice], keys: Collection[str]) -> tuple[Milestone, ...]:
    """The milestones of these keys, in the order of the contract."""
    if unknown := set(keys) - {one.key for one in contract.milestones}:
        raise NotFound(f"{len(unknown)} of these milestones are not in the signed payments (any more).")
    by_key = {key: one for one in there for key in one.of(LineKind.DRAW)}
    wanted = tuple(one for one in contract.milestones if one.key in keys)
    billed = next((one for one in wanted if one.key in by_key), None)
    if billed:
        raise Refused(f"“{billed.words}” is on invoice {by_key[billed.key].number} already.")
    return wanted


def _draws(
    contract: Contract, there: Sequence[Invoice], wanted: Sequence[Milestone], *, is_last: bool
) -> list[InvoiceLine]:
    left = contract.cents - sum(one.sum_of(LineKind.DRAW) for one in there)
    lines = []
    for one in wanted:
        takes_rest = is_last and one is wanted[-1]
        amount = left if takes_rest else max(0, min(one.cents, left))
        left -= amount
        lines.append(InvoiceLine(kind=LineKind.DRAW, words=one.words, cents=amount, of=one.key))
    return lines


def _change_line(one: ChangeToBill) -> InvoiceLine:
    return InvoiceLine(kind=LineKind.CHANGE, words=one.title, cents=one.cents, of=one.key)


def _fee(
    contract: Contract, there: Sequence[Invoice], wanted: Sequence[Milestone], *, is_last: bool
) -> list[InvoiceLine]:
    left = contract.fee_cents + sum(one.sum_of(LineKind.FEE) for one in there)
    taken = left if is_last else min(left, sum(one.fee for one in wanted))
    return [InvoiceLine(kind=LineKind.FEE, words="Design fee, paid before", cents=-taken)]


def _retainage(contract: Contract, there: Sequence[Invoice], billed: int, *, is_last: bool) -> list[InvoiceLine]:
    held = held_back(there)
    if is_last:
        return [InvoiceLine(kind=LineKind.RELEASED, words="Retainage held back before, now due", cents=held)]
    kept = cents(Decimal(billed) * contract.retainage / 100)
    words = f"Retainage of {format_share(contract.retainage, 2)}, due with the last invoice"
    return [InvoiceLine(kind=LineKind.RETAINED, words=words, cents=-kept)]


def _credit(beside: Beside) -> list[InvoiceLine]:
    if not beside.credit_cents:
        return []
    if beside.credit_cents < 0:
        raise BadValue("A credit is typed without a minus: it comes off the invoice.", field="credit")
    if not beside.credit_words.strip():
        raise BadValue("Say what the credit is for: the client reads it on the invoice.", field="credit_words")
    return [InvoiceLine(kind=LineKind.CREDIT, words=beside.credit_words.strip(), cents=-beside.credit_cents)]


def _tax(
    contract: Contract,
    there: Sequence[Invoice],
    draws: Sequence[InvoiceLine],
    changes: Sequence[InvoiceLine],
    *,
    is_last: bool,
) -> int:
    """The sales tax in these lines: each draw's share of the contract's; the last one takes what is left."""
    known = {one.key: one.tax_cents for one in contract.changes}
    of_changes = sum(known.get(one.of, 0) for one in changes)
    billed = _of(there, LineKind.CHANGE)
    if is_last:
        before = sum(one.tax_cents for one in there) - sum(known.get(key, 0) for key in billed)
        return contract.tax_cents - before + of_changes
    drawn = sum(one.cents for one in draws)
    return (cents(Fraction(contract.tax_cents * drawn, contract.cents * 100)) if contract.cents else 0) + of_changes
