"""Options taken after a proposal was offered or signed: each at the price that was printed, while that price holds.

What did not change keeps its signed price to the cent: the new contract sum is the signed one and the printed prices of
what was taken, nothing else.
"""

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from app.domain.basis import Basis
from app.domain.checks import every_caution
from app.domain.choices import letters_of, option_title
from app.domain.costing.client_prices import client_prices
from app.domain.costing.estimate import estimate
from app.domain.costing.payments import schedule
from app.domain.job import Job, Option, only_included
from app.domain.job.choosing import ticked
from app.domain.letterhead import Letterhead, head_fields, letterhead


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A proposal as it was printed: contract sum and prices of its options [cents], and the day they hold until."""

    number: int
    contract_cents: int
    prices: Mapping[UUID, int]  # option → what it adds, as printed
    holds_until: date
    job: Job
    basis: Basis
    beside_cents: int = 0  # what signed change orders added to the contract sum

    def sum_of(self, job: Job) -> int:
        """The contract sum [cents] with what is ticked in a job: as printed, and the printed price of each new tick."""
        before = taken_in(self.job)
        return (
            self.contract_cents
            + self.beside_cents
            + sum(self.prices[one] for one in taken_in(job) - before if one in self.prices)
        )

    def holds(self, today: date) -> bool:
        """Whether the printed prices still hold."""
        return today <= self.holds_until


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenLater:
    """An option taken later, as printed: its price [cents], who initialed it, with which payment it is paid."""

    title: str
    words: str
    letters: tuple[str, ...]
    cents: int
    initials: str
    paid_with: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterChange(Letterhead):
    """The page that is signed for options taken later: nothing on it that a client may not see."""

    proposal: int
    before_cents: int
    after_cents: int
    options: tuple[TakenLater, ...]
    gone: tuple[str, ...]  # ways of which another now takes the place
    cautions: tuple[tuple[str, str], ...]  # title, words: those that come with what was taken


def taken_in(job: Job) -> AbstractSet[UUID]:
    """The options that are ticked."""
    return {one.id for one in job.options if one.taken}


def newly_ticked(standing: Job, live: Job, printed: Printed) -> tuple[Option, ...]:
    """What is ticked in a job beyond what stands signed, of what was printed."""
    known = taken_in(standing)
    there = {one.id for one in standing.options} & printed.prices.keys()
    return tuple(one for one in live.options if one.taken and one.id in there and one.id not in known)


def with_ticks(standing: Job, live: Job, printed: Printed) -> Job:
    """What stands signed with the new ticks of a job, and their initials; all else as it stands.

    A way that takes the place of another takes its tick.
    """
    changed = standing
    for option in newly_ticked(standing, live, printed):
        changed = ticked(changed, option.id, taken=True)
        changed = replace(changed, options=tuple(_initialed(one, option) for one in changed.options))
    return changed


def _initialed(one: Option, decided: Option) -> Option:
    """An option with the initials of a tick, where that is a tick of it."""
    if one.id != decided.id:
        return one
    return replace(one, initials=decided.initials, decided_on=decided.decided_on)


def later_change(
    printed: Printed,
    standing: Job,
    changed: Job,
    *,
    number: int,
    made_on: date,
    cautions: Mapping[str, tuple[str, str]],
) -> LaterChange:
    """The page for what is ticked in `changed` beyond what stands signed. `cautions` gives title and words by key."""
    head = letterhead(standing, printed.basis.firm, number=number, made_on=made_on)
    new, gone = taken_in(changed) - taken_in(standing), taken_in(standing) - taken_in(changed)
    before, after = printed.sum_of(standing), printed.sum_of(changed)
    known = set(every_caution(only_included(standing), printed.basis))
    come = [key for key in every_caution(only_included(changed), printed.basis) if key not in known]
    return LaterChange(
        **{**head_fields(head), "holds_until": printed.holds_until},
        proposal=printed.number,
        before_cents=before,
        after_cents=after,
        options=_taken(printed, standing, changed, new),
        gone=tuple(option_title(standing, one) for one in standing.options if one.id in gone),
        cautions=tuple(cautions[key] for key in come if key in cautions),
    )


def _taken(printed: Printed, standing: Job, changed: Job, new: AbstractSet[UUID]) -> tuple[TakenLater, ...]:
    """Each new tick with its own part of the difference, so that the parts add up to it."""
    rows, so_far = [], standing
    for option in changed.options:
        if option.id not in new:
            continue
        then = ticked(so_far, option.id, taken=True)
        rows.append(
            TakenLater(
                title=option_title(changed, option),
                words=option.words,
                letters=letters_of(changed, option),
                cents=printed.sum_of(then) - printed.sum_of(so_far),
                initials=option.initials,
                paid_with=_paid_with(printed, letters_of(changed, option)),
            )
        )
        so_far = then
    return tuple(rows)


def _paid_with(printed: Printed, letters: Sequence[str]) -> str:
    """The last payment of the phase in which it is built, else the last of all, by its event."""
    job = only_included(printed.job)
    due = schedule(job, printed.basis.firm, client_prices(job, estimate(printed.job, printed.basis)))
    phases = {one.phase_id for one in printed.job.zones if one.letter in letters}
    names = {f"Phase {one.number}" for one in job.phases if one.id in phases}
    own = [one for one in due if one.phase in names] or list(due)
    return " ".join(part for part in (own[-1].event, own[-1].phase) if part) if own else ""
