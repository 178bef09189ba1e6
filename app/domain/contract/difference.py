"""The difference between what is signed and today's plan: work by work and zone by zone, exact to the cent.

Both sides are full estimates on signed terms (`terms_kept`). A work counts as changed when what it needs differs: works
are matched by their id, their needs by amount. What did not change keeps its signed price. What the change moves of the
job as a whole (crew days, supervision, deliveries, the rounding) is worked out beside it, and is in the difference only
where the owner takes it in: then it goes to the zones that caused it, never to work that stayed as it was.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from typing import Literal
from uuid import UUID

from app.domain.basis import Basis
from app.domain.contract.change_words import name_of, what_changed
from app.domain.contract.found import FoundItem, found_items
from app.domain.contract.standing import Standing, by_work, cells_in_contract, is_allowance, outside_of
from app.domain.contract.terms_kept import Terms, at_signed_terms, with_quotes_of, with_todays
from app.domain.costing.compared import sold_of
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.lines import WHOLE_JOB, Line
from app.domain.job import Job, PlaceKind, Work, only_included
from app.domain.money import share

Happens = Literal["added", "removed", "changed"]
NEAR = 1e-9  # amounts this near one another (as a share) are the same


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One work or allowance that is not as it was signed, with its part of the difference [cents].

    `was_cents` is its signed price; None where it is new, as `will_cents` is where it goes. `todays` are titles of what
    the signed basis does not have, with the day of today's price; `unpriced` those that have no price at all.
    """

    key: str  # id of the work or the allowance
    happens: Happens
    zone: str
    title: str
    words: tuple[str, ...]
    was_cents: int | None
    will_cents: int | None
    todays: tuple[tuple[str, date | None], ...] = ()
    unpriced: tuple[str, ...] = ()

    @property
    def by(self) -> int:
        """What it adds to the contract sum [cents]."""
        return (self.will_cents or 0) - (self.was_cents or 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneDifference:
    """A zone (`job`: the job as a whole) that is not as it was signed. `with_it` goes with it for the whole job."""

    zone: str
    letter: str
    title: str
    was_cents: int
    items: tuple[Item, ...]
    found: tuple[FoundItem, ...] = ()
    with_it: int = 0

    @property
    def by(self) -> int:
        """What the zone adds to the contract sum [cents]."""
        return sum(one.by for one in self.items) + sum(one.by for one in self.found) + self.with_it

    @property
    def will_cents(self) -> int:
        """The zone's part of the contract sum with it [cents]."""
        return self.was_cents + self.by


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Difference:
    """All of it. `job` on `basis` is what will stand signed; `before` and `after` are both sides on signed terms.

    `whole_job` is what the change moves of the job as a whole beside the items [cents], whether it is taken in or not.
    """

    job: Job
    basis: Basis
    before: Estimate
    after: Estimate
    before_cents: int
    zones: tuple[ZoneDifference, ...]
    whole_job: int = 0

    @property
    def by(self) -> int:
        """What is added to the contract sum [cents]."""
        return sum(one.by for one in self.zones)

    @property
    def after_cents(self) -> int:
        """The new contract sum [cents]."""
        return self.before_cents + self.by

    @property
    def any(self) -> bool:
        """Whether anything differs."""
        return bool(self.zones)

    @property
    def items(self) -> tuple[Item, ...]:
        """Every item, zone by zone."""
        return tuple(item for zone in self.zones for item in zone.items)

    @property
    def found(self) -> tuple[FoundItem, ...]:
        """Everything that was found, zone by zone."""
        return tuple(item for zone in self.zones for item in zone.found)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What has no price yet, by title: until then the difference says too little."""
        named = [title for item in self.items for title in item.unpriced]
        return tuple(dict.fromkeys((*named, *(one.title for one in self.found if one.unpriced))))


def difference(
    standing: Standing,
    now: Job,
    today: Basis,
    not_yet: Iterable[UUID] = (),
    *,
    with_whole: bool = False,
    before: Estimate | None = None,
) -> Difference:
    """What today's plan changes of the contract as it stands; `today` is the basis the draft follows.

    `with_whole` takes in what the job as a whole moves by. `not_yet`: options ticked at a printed price that still
    holds, which are signed on a page of their own. `before` is the estimate of the contract where it is at hand.
    """
    was = only_included(standing.job)
    plan = at_signed_terms(now, standing.job, not_yet)
    terms = with_todays(standing.basis, today, standing.job, plan)
    before = before or estimate(standing.job, standing.basis)
    first = estimate(plan, terms.basis)
    changed = _changed(was, before, only_included(plan), first)
    quoted = with_quotes_of(plan, standing.job, changed)
    same = (quoted.packets, quoted.quotes) == (plan.packets, plan.quotes)
    plan, after = (plan, first) if same else (quoted, estimate(quoted, terms.basis))
    sides = _Sides(standing, was, before, only_included(plan), after, terms)
    found = found_items(now.found_conditions, standing)
    items = sides.items(changed)
    rest = sides.moved_by() - sum(one.by for one in items) if items else 0
    return Difference(
        job=plan,
        basis=terms.basis,
        before=before,
        after=after,
        before_cents=standing.sum_cents,
        zones=_by_zone(sides, items, found, rest if with_whole else 0),
        whole_job=rest,
    )


def _changed(was: Job, before: Estimate, now: Job, after: Estimate) -> AbstractSet[UUID]:
    """Works whose needs, or whose treatment for tax, are others than were signed.

    A work of the whole job nobody edited is not changed when only its amounts follow the rest.
    """
    old, new = _needs(was, before), _needs(now, after)
    works_before, works_after = ({one.id: one for one in job.works} for job in (was, now))
    return {
        one
        for one in old.keys() | new.keys()
        if _differs(works_before.get(one), works_after.get(one), old.get(one, ()), new.get(one, ()))
    }


_Need = tuple[str, str, float, str, str]


def _needs(job: Job, worked: Estimate) -> Mapping[UUID, tuple[_Need, ...]]:
    outside = outside_of(job)
    found: dict[UUID, list[_Need]] = {}
    for one in worked.requirements:
        if one.phase not in outside:
            found.setdefault(one.work_id, []).append((one.kind, one.key, one.amount, one.zone, one.phase))
    return {work: tuple(rows) for work, rows in found.items()}


def _differs(was: Work | None, now: Work | None, old: Sequence[_Need], new: Sequence[_Need]) -> bool:
    if was is None or now is None:
        return bool(old or new)
    if now.place is PlaceKind.JOB and _content(was) == _content(now):
        return False
    return was.tax != now.tax or len(old) != len(new) or not all(map(_alike, old, new))


def _content(work: Work) -> tuple[object, ...]:
    return (work.assembly, work.assembly_hash, work.parameters, work.finishes, work.laying, work.phase_id, work.tax)


def _alike(one: _Need, other: _Need) -> bool:
    near = abs(one[2] - other[2]) <= NEAR * max(abs(one[2]), abs(other[2]))
    return near and (one[:2], one[3:]) == (other[:2], other[3:])


@dataclass(frozen=True, slots=True)
class _Sides:
    """The contract and today's plan, both estimated on signed terms."""

    standing: Standing
    was: Job
    before: Estimate
    now: Job
    after: Estimate
    terms: Terms

    def items(self, changed: AbstractSet[UUID]) -> list[Item]:
        """Works in the order of the plan, those that go after them; allowances last."""
        order = [one.id for one in self.now.works]
        order += [one.id for one in self.was.works if one.id not in set(order)]
        rows = [row for work in order if work in changed for row in self._of_work(str(work))]
        return [*rows, *self._allowances()]

    def _of_work(self, key: str) -> list[Item]:
        """A work's item; two where it moved to another zone: what goes there, what comes here."""
        old = [line for line, _ in self._cells(self.was, self.before) if line.work_id == key]
        new = [line for line, _ in self._cells(self.now, self.after) if line.work_id == key]
        if old and new and old[0].zone != new[0].zone:
            return [self._gone(key, old[0].zone), self._come(key, new)]
        if old and new:
            return [self._other(key, new)]
        return [self._come(key, new)] if new else [self._gone(key, old[0].zone)] if old else []

    def moved_by(self) -> int:
        """By how much the full estimate of the contract moves [cents]."""
        sides = ((self.was, self.before), (self.now, self.after))
        before, after = (sum(cents for _, cents in self._cells(*side)) for side in sides)
        return after - before

    def _cells(self, job: Job, worked: Estimate) -> list[tuple[Line, int]]:
        return cells_in_contract(job, sold_of(worked))

    def _gone(self, key: str, zone: str) -> Item:
        """What is taken out is credited at its signed price."""
        was, title = self._signed(key), name_of(self.was, self.standing.basis, key)
        return Item(key=key, happens="removed", zone=zone, title=title, words=(), was_cents=was, will_cents=None)

    def _come(self, key: str, lines: Sequence[Line]) -> Item:
        will = by_work(self._cells(self.now, self.after)).get(key, 0)
        return self._item(key, "added", lines, None, will)

    def _other(self, key: str, lines: Sequence[Line]) -> Item:
        old, new = (by_work(self._cells(*side)) for side in ((self.was, self.before), (self.now, self.after)))
        was = self._signed(key)
        return self._item(key, "changed", lines, was, was + new.get(key, 0) - old.get(key, 0))

    def _signed(self, key: str) -> int:
        return self.standing.works.get(key, 0)

    def _item(self, key: str, happens: Happens, lines: Sequence[Line], was: int | None, will: int) -> Item:
        sides = (self.was, self.standing.basis, self.before), (self.now, self.terms.basis, self.after)
        beyond = {line.title: self.terms.todays[line.key] for line in lines if line.key in self.terms.todays}
        return Item(
            key=key,
            happens=happens,
            zone=lines[0].zone,
            title=name_of(self.now, self.terms.basis, key),
            words=what_changed(*sides, key, new=was is None),
            was_cents=was,
            will_cents=will,
            todays=tuple(beyond.items()),
            unpriced=tuple(dict.fromkeys(line.title for line in lines if not line.priced)),
        )

    def _allowances(self) -> list[Item]:
        """Money set aside that came, went, or is another amount."""
        pairs = ((self.was, self.before), (self.now, self.after))
        old, new = ({line.work_id: line for line, _ in self._cells(*side) if is_allowance(line)} for side in pairs)
        rows = []
        for key in dict.fromkeys((*new, *old)):
            was, will = old.get(key), new.get(key)
            if was and will and (was.cents, was.zone) == (will.cents, will.zone):
                continue
            rows += [self._aside(one, happens="removed") for one in (was,) if one and (not will or _moved(one, will))]
            if will:
                signed = self._signed(key) if was and not _moved(was, will) else None
                rows.append(self._aside(will, happens="added" if signed is None else "changed", signed=signed))
        return rows

    def _aside(self, line: Line, *, happens: Happens, signed: int | None = None) -> Item:
        was = self._signed(line.work_id) if happens == "removed" else signed
        moved = line.cents - by_work(self._cells(self.was, self.before)).get(line.work_id, 0)
        will = {"removed": None, "added": line.cents, "changed": (signed or 0) + moved}[happens]
        words = ("Money set aside",)
        title = line.title
        return Item(
            key=line.work_id, happens=happens, zone=line.zone, title=title, words=words, was_cents=was, will_cents=will
        )


def _moved(was: Line, will: Line) -> bool:
    return was.zone != will.zone


def _by_zone(
    sides: _Sides, items: Sequence[Item], found: Sequence[FoundItem], whole: int
) -> tuple[ZoneDifference, ...]:
    """Items by zone; what is taken in for the whole job goes to the zones by how far each moved itself."""
    moved = [*dict.fromkeys(one.zone for one in items)]
    weights = [sum(abs(one.by) for one in items if one.zone == zone) for zone in moved]
    beside = dict(zip(moved, share(whole, weights), strict=True))
    known = {str(zone.id): zone for job in (sides.was, sides.now) for zone in job.zones}
    order = [*known, WHOLE_JOB]
    zones = sorted({*moved, *(one.zone for one in found)}, key=lambda one: _place(order, one))
    return tuple(
        ZoneDifference(
            zone=zone,
            letter=known[zone].letter if zone in known else "",
            title=known[zone].title if zone in known else "The job as a whole",
            was_cents=sides.standing.zones.get(zone, 0),
            items=tuple(one for one in items if one.zone == zone),
            found=tuple(one for one in found if one.zone == zone),
            with_it=beside.get(zone, 0),
        )
        for zone in zones
    )


def _place(order: Collection[str], zone: str) -> int:
    listed = list(order)
    return listed.index(zone) if zone in listed else len(listed)
