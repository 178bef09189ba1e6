"""A change order: what the client reads and signs of a change to the contract, as one value. It holds no cost.

Not legal advice: what a change order must say is for the firm's lawyer and its state.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from app.domain.checks import cautions_of_works
from app.domain.contract.contract_sum import ContractSum, SignedChange
from app.domain.contract.days import DaysAdded
from app.domain.contract.difference import Difference, Item, ZoneDifference
from app.domain.contract.found import FoundItem
from app.domain.contract.payment_table import payments_after
from app.domain.contract.standing import Standing, outside_of
from app.domain.costing.payments import Due
from app.domain.errors import Refused
from app.domain.job import REASONS, ChangeDraft, Job, PriceShown, only_included
from app.domain.letterhead import Letterhead, head_fields, letterhead


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemRow:
    """A work that changes: what happens to it, in words, and its amounts [cents] where the proposal told them."""

    happens: str
    title: str
    words: tuple[str, ...]
    was_cents: int | None
    will_cents: int | None
    by_cents: int
    todays: tuple[tuple[str, date | None], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundRow:
    """What was found: quantity, unit, price of a unit [cents], and whether that price was agreed at signing."""

    title: str
    words: str
    quantity: Decimal
    unit: str
    each_cents: int
    agreed: bool
    by_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneRow:
    """A zone that changes; `was_cents` and `will_cents` only where the proposal told prices by zone."""

    zone_id: str
    letter: str
    title: str
    items: tuple[ItemRow, ...]
    found: tuple[FoundRow, ...]
    with_it_cents: int
    was_cents: int | None
    will_cents: int | None
    by_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PayRow:
    """A payment before and after [cents]; what is reached stays as it was."""

    event: str
    phase: str
    was_cents: int | None
    cents: int
    reached: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeOrder(Letterhead):
    """Everything printed, in the order it is printed."""

    proposal: int
    signed_on: date
    reason: str
    words: str
    zones: tuple[ZoneRow, ...]
    first_cents: int  # the sum of the signed proposal
    earlier: tuple[SignedChange, ...]
    before_cents: int
    after_cents: int
    days: DaysAdded
    payments: tuple[PayRow, ...]
    tax_cents: int = 0  # of the difference, sales tax that the client pays
    cautions: tuple[tuple[str, str], ...]  # title, words: those of the zones that change

    @property
    def by_cents(self) -> int:
        """What it adds to the contract sum [cents]."""
        return self.after_cents - self.before_cents


@dataclass(frozen=True, slots=True, kw_only=True)
class Contract:
    """The contract a change order is measured against: its standing, its sum by date, the proposal's number."""

    standing: Standing
    summed: ContractSum
    proposal: int


def change_order(
    contract: Contract,
    found: Difference,
    draft: ChangeDraft,
    days: DaysAdded,
    *,
    number: int,
    made_on: date,
    cautions: Mapping[str, tuple[str, str]],
) -> ChangeOrder:
    """Gather a change order. `cautions` gives title and words by key."""
    head = letterhead(found.job, found.basis.firm, number=number, made_on=made_on)
    shown = contract.standing.job.head.price_shown
    return ChangeOrder(
        **{**head_fields(head), "holds_until": date.fromordinal(made_on.toordinal() + draft.holds_days)},
        proposal=contract.proposal,
        signed_on=contract.summed.signed_on,
        reason=REASONS.get(draft.reason, ""),
        words=draft.words,
        zones=tuple(_zone_row(one, shown) for one in found.zones),
        first_cents=contract.summed.signed_cents,
        earlier=contract.summed.changes,
        before_cents=found.before_cents,
        after_cents=found.after_cents,
        days=days,
        payments=pay_rows(contract.standing, found.by, draft, number),
        tax_cents=_client_tax(found, contract.standing.job),
        cautions=_cautions(found, cautions),
    )


def refuse_unready(found: Difference, days: DaysAdded) -> None:
    """Raises: Refused where nothing differs, something has no price, or a credit passes the contract sum."""
    if not found.any and not days.half_days:
        raise Refused(
            "Today's plan is what is signed: nothing differs, nothing was found, no day is added. "
            "Change the plan first, then offer the change order."
        )
    if found.unpriced:
        named = ", ".join(found.unpriced[:3])
        raise Refused(f"Without a price so far: {named}. Type the price, then offer the change order.")
    if found.after_cents < 0:
        raise Refused("This takes more off than the contract sum. Look at what is taken out again.")


def own_event(draft: ChangeDraft, number: int) -> str:
    """The event of a payment of its own; empty where the difference goes to the payments not reached."""
    if draft.pay != "own":
        return ""
    return draft.pay_event or f"Change order {number}, with the next payment"


def own_payment(made: ChangeOrder) -> str:
    """The event of the payment of its own that a change order is paid with; empty where it has none."""
    return next((one.event for one in made.payments if one.was_cents is None), "")


def new_payments(standing: Standing, by: int, draft: ChangeDraft, number: int) -> tuple[Due, ...]:
    """The payment table once the difference [cents] is signed."""
    return payments_after(standing.payments, by, reached_of(standing, draft), own_event(draft, number))


def reached_of(standing: Standing, draft: ChangeDraft) -> frozenset[str]:
    """Places in the payment table that are reached: as an earlier change order said, and as this one says."""
    known = {str(at + 1) for at in range(len(standing.payments))}
    return frozenset((*standing.reached, *draft.reached)) & known


def pay_rows(standing: Standing, by: int, draft: ChangeDraft, number: int) -> tuple[PayRow, ...]:
    """The payments side by side: as they stand, and with the difference [cents]."""
    reached, old = reached_of(standing, draft), standing.payments
    return tuple(
        PayRow(
            event=one.event,
            phase=one.phase,
            was_cents=old[at].cents if at < len(old) else None,
            cents=one.cents,
            reached=at < len(old) and str(at + 1) in reached,
        )
        for at, one in enumerate(new_payments(standing, by, draft, number))
    )


def standing_after(standing: Standing, found: Difference, draft: ChangeDraft, days: DaysAdded, number: int) -> Standing:
    """The contract once a change order is signed: what did not change stays to the cent."""
    zones, works, conditions = dict(standing.zones), dict(standing.works), dict(standing.found)
    for zone in found.zones:
        zones[zone.zone] = zones.get(zone.zone, 0) + zone.by
    gone = [one for one in found.items if one.will_cents is None]
    for item in (*gone, *(one for one in found.items if one.will_cents is not None)):
        if item.will_cents is None:
            works.pop(item.key, None)
        else:
            works[item.key] = item.will_cents
    for row in found.found:
        conditions[row.key] = row.will_cents
    payments = new_payments(standing, found.by, draft, number)
    return replace(
        standing,
        job=found.job,
        basis=found.basis,
        sum_cents=found.after_cents,
        zones=zones,
        works=works,
        found={key: cents for key, cents in conditions.items() if cents},
        payments=payments,
        reached=tuple(sorted(reached_of(standing, draft), key=int)),
        half_days=standing.half_days + days.half_days,
        delay_ids=(*standing.delay_ids, *days.delay_ids),
    )


def _zone_row(one: ZoneDifference, shown: PriceShown) -> ZoneRow:
    by_zone, by_line = shown in (PriceShown.ZONE, PriceShown.LINE), shown is PriceShown.LINE
    return ZoneRow(
        zone_id=one.zone,
        letter=one.letter,
        title=one.title,
        items=tuple(_item_row(item, told=by_line) for item in one.items),
        found=tuple(_found_row(row) for row in one.found),
        with_it_cents=one.with_it,
        was_cents=one.was_cents if by_zone else None,
        will_cents=one.will_cents if by_zone else None,
        by_cents=one.by,
    )


def _item_row(one: Item, *, told: bool) -> ItemRow:
    return ItemRow(
        happens=one.happens,
        title=one.title,
        words=one.words,
        was_cents=one.was_cents if told else None,
        will_cents=one.will_cents if told else None,
        by_cents=one.by,
        todays=one.todays,
    )


def _found_row(one: FoundItem) -> FoundRow:
    return FoundRow(
        title=one.title,
        words=one.words,
        quantity=one.quantity,
        unit=one.unit,
        each_cents=one.each_cents,
        agreed=one.agreed,
        by_cents=one.by,
    )


def _client_tax(found: Difference, signed: Job) -> int:
    """What of the works that change is sales tax the client pays [cents]: as they will be less as they were."""
    changed = {item.key for item in found.items}
    sides = ((only_included(signed), found.before), (only_included(found.job), found.after))
    before, after = (
        sum(
            cents
            for line, cents in zip(worked.lines, worked.build_up.step("sales tax").shares, strict=True)
            if line.work_id in changed and line.phase not in outside_of(job)
        )
        for job, worked in sides
    )
    return after - before


def _cautions(found: Difference, words: Mapping[str, tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """The cautions of the works that are added or changed, each once."""
    changed = {item.key for item in found.items if item.will_cents is not None}
    keys = cautions_of_works(only_included(found.job), found.basis, changed)
    return tuple(words[key] for key in keys if key in words)
