"""At whose prices a change is priced: the signed basis where it has the item, else today's, with its day.

What is built is as today's plan has it: recipes are design, not price. Firm settings, wages, rules, margin, tax and all
that the site slows are as signed.
"""

from collections.abc import Collection, Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar
from uuid import UUID

from app.domain.basis import Assembly, Basis
from app.domain.job import Job, Phase, Site, unlogged
from app.domain.job.choosing import rivals_of, set_now, with_set
from app.domain.takeoff.included import with_included

T = TypeVar("T")
AS_TODAY = {  # what of the site is drawn, and not what slows the work
    "lot", "house", "openings", "north", "datum", "private_lines", "private_lines_note", "baseline_ids", "setbacks",
    "easements", "lot_lines", "coverage_limit", "coverage_before", "sun_note", "water_note", "seen_on",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """The basis a change is priced on, and what of it is today's: by key of the material or task, its day if known."""

    basis: Basis
    todays: Mapping[str, date | None]


def with_todays(signed: Basis, today: Basis, was: Job, now: Job) -> Terms:
    """The signed basis with what today's plan needs beyond it. What is signed is never replaced.

    A recipe is today's where the plan took another edition of it than was signed.
    """
    recipes = _recipes(signed, today, was, now)
    parts = {part.material for one in recipes.values() for part in one.parts}
    chosen = {key for work in now.works for key in work.finishes.values()}
    wanted = parts | chosen | {choice.material for choice in now.choices}
    materials = _beyond(signed.materials, today.materials, wanted)
    prices = {key: today.prices[key] for key in materials if key in today.prices}
    tasks = _beyond(signed.tasks, today.tasks, {use.task for one in recipes.values() for use in one.tasks})
    paid = {one.crew for one in signed.tasks.values()}
    crews = _beyond(signed.labor_classes, today.labor_classes, {one.crew for one in tasks.values()} - paid)
    sellers = _beyond(signed.suppliers, today.suppliers, {one.supplier for one in prices.values()})
    subs = _beyond(signed.subcontractors, today.subcontractors, {one.subcontractor for one in now.quotes})
    basis = replace(
        signed,
        assemblies={**signed.assemblies, **recipes},
        materials={**signed.materials, **materials},
        prices={**signed.prices, **prices},
        tasks={**signed.tasks, **tasks},
        labor_classes={**signed.labor_classes, **crews},
        suppliers={**signed.suppliers, **sellers},
        subcontractors={**signed.subcontractors, **subs},
    )
    priced = {key: prices[key].priced_on if key in prices else None for key in materials}
    return Terms(basis=basis, todays={**priced, **dict.fromkeys(tasks)})


def _recipes(signed: Basis, today: Basis, was: Job, now: Job) -> Mapping[str, Assembly]:
    before, after = _editions(was), _editions(now)
    found: dict[str, Assembly] = {}
    for key, editions in after.items():
        newer = key in before and before[key] != editions and "" not in before[key] | editions
        source = today if key not in signed.assemblies or newer else signed
        found |= with_included(source.assemblies, key)
    return found


def _editions(job: Job) -> Mapping[str, AbstractSet[str]]:
    found: dict[str, set[str]] = {}
    for work in job.works:
        found.setdefault(work.assembly, set()).add(work.assembly_hash)
    return found


def _beyond(signed: Mapping[str, T], today: Mapping[str, T], wanted: Collection[str]) -> Mapping[str, T]:
    return {key: today[key] for key in sorted(wanted) if key not in signed and key in today}


def at_signed_terms(now: Job, was: Job, not_yet: Iterable[UUID] = ()) -> Job:
    """Today's plan on the terms that were signed: what is built as today, what prices it as signed.

    `not_yet` are options whose printed price still holds: they are taken on a page of their own.
    """
    now = _unticked(unlogged(now), was, frozenset(not_yet))
    head = replace(
        was.head,
        title=now.head.title,
        stage=now.head.stage,
        holds_days=now.head.holds_days,
        paper=now.head.paper,
        exclusions=now.head.exclusions,
    )
    return replace(
        now,
        head=head,
        site=_site(now.site, was.site),
        phases=_on_signed_days(now.phases, was.phases),
        risks=was.risks,
        unit_prices=was.unit_prices,
        payments=was.payments,
    )


def _unticked(now: Job, was: Job, not_yet: AbstractSet[UUID]) -> Job:
    """The job without those ticks; a way that one of them took the place of is done again as it was signed."""
    new = tuple(one for one in now.options if one.id in not_yet and one.taken)
    if not new:
        return now
    signed = {one.id for one in was.options if one.taken}
    back = {rival for one in new for rival in rivals_of(now, one) if rival in signed}
    taken = {one.id for one in now.options if one.taken} - not_yet
    return with_set(now, replace(set_now(now), options=taken | back))


def _site(now: Site, was: Site) -> Site:
    return replace(was, **{name: getattr(now, name) for name in sorted(AS_TODAY)})


def _on_signed_days(now: tuple[Phase, ...], was: tuple[Phase, ...]) -> tuple[Phase, ...]:
    """Phases with the days that were signed: the month a phase begins in slows its work, and moving it is no change."""
    days = {one.id: (one.start, one.done) for one in was}
    return tuple(replace(one, start=days[one.id][0], done=days[one.id][1]) if one.id in days else one for one in now)


def with_quotes_of(now: Job, was: Job, changed: AbstractSet[UUID]) -> Job:
    """The job with the quotes of subcontractors that were signed on, and today's for packets with changed work."""
    open_ones = {one.id for one in now.packets if changed & set(one.work_ids)}
    packets = (
        *(one for one in was.packets if one.id not in open_ones),
        *(one for one in now.packets if one.id in open_ones),
    )
    quotes = (
        *(one for one in was.quotes if one.packet_id not in open_ones),
        *(one for one in now.quotes if one.packet_id in open_ones),
    )
    return replace(now, packets=packets, quotes=quotes)
