"""Inspections: what an official looks at before it is covered, as a wait after the work and before what covers it."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID

from app.domain.basis import Basis
from app.domain.findings import Finding, Severity
from app.domain.job import Job, LoggedVisit
from app.domain.schedule.stages import Stages
from app.domain.takeoff.included import with_included

TRADE = "Inspection"  # who comes, where an activity says it
DAYS = 1  # of work, waited for an inspection that an approval asks for (assumption: called the day before)
_PASSED = frozenset({"passed", "passed with remarks"})
_FAILED = "not passed"


class Standing(StrEnum):
    """How an inspection stands. One that nobody wrote down, or that was not done, is waited for."""

    WAITED_FOR = "waited for"
    NOT_PASSED = "not passed"
    PASSED = "passed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """An inspection of a stage at a place: what is looked at, how it stands, and since when it does.

    `words` are the inspector's, as they were written down.
    """

    key: str  # place and stage
    what: tuple[str, ...]
    standing: Standing = Standing.WAITED_FOR
    day: date | None = None
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedFor:
    """What an approval asks to be looked at after a stage of a phase (its id)."""

    phase: str
    stage: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be looked at after one stage at one place of a phase, and the longest wait for it [days of work]."""

    what: tuple[str, ...]
    days: int
    works: tuple[UUID, ...]


Spot = tuple[str, str, str]  # phase, place, stage


def key_of(place: str, stage: str) -> str:
    """By what an inspection is named in what is written down of it: it stays when its place moves to another phase."""
    return f"{place}/{stage}"


def wanted_inspections(
    job: Job,
    basis: Basis,
    stages: Stages,
    at: Mapping[UUID, tuple[str, str]],
    spots: Iterable[Spot],
    asked: Iterable[AskedFor],
) -> Mapping[Spot, Wanted]:
    """Every inspection that recipes of the works and approvals ask for.

    `at` says in which phase and at which place a work is built; `spots` are all stages with work in them, of which an
    approval names some.
    """
    found: dict[Spot, Wanted] = {}
    for work in job.works:
        if work.id not in at:
            continue
        for recipe in with_included(basis.assemblies, work.assembly).values():
            for one in recipe.build.inspections:
                stage = stages.of_step_in(one.after, recipe) or stages.of_step(one.after) or stages.last(recipe)
                _want(found, (*at[work.id], stage), Wanted(what=(one.what,), days=one.days, works=(work.id,)))
    known = tuple(dict.fromkeys(spots))
    for asking in asked:
        for spot in known:
            if (spot[0], spot[2]) == (asking.phase, asking.stage):
                _want(found, spot, Wanted(what=(asking.what,), days=DAYS, works=()))
    return found


def _want(found: dict[Spot, Wanted], spot: Spot, more: Wanted) -> None:
    had = found.get(spot)
    if had is None:
        found[spot] = more
        return
    found[spot] = Wanted(
        what=tuple(dict.fromkeys((*had.what, *more.what))),
        days=max(had.days, more.days),
        works=tuple(dict.fromkeys((*had.works, *more.works))),
    )


def older_keys(spot: Spot, wanted: Collection[Spot], stages: Stages) -> tuple[str, ...]:
    """By what an inspection was named in older releases, where nothing else at its place is named so today."""
    phase, place, stage = spot
    before = stages.by_key[stage].formerly if stage in stages.by_key else ()
    return tuple(key_of(place, one) for one in before if (phase, place, one) not in wanted)


def standing_of(
    key: str, what: tuple[str, ...], visits: Iterable[LoggedVisit], *, older: Collection[str] = ()
) -> Inspected:
    """How an inspection stands by what was written down of it: the newest word counts.

    What was written down under one of its `older` names counts where nothing is under its own.
    """
    seen = [one for one in visits if one.inspection]
    mine = [one for one in seen if one.inspects == key] or [one for one in seen if one.inspects in older]
    if not mine:
        return Inspected(key=key, what=what)
    newest = max(mine, key=lambda one: (one.day, str(one.said_at), str(one.id)))
    standing = Standing.WAITED_FOR
    if newest.result in _PASSED:
        standing = Standing.PASSED
    elif newest.result == _FAILED:
        standing = Standing.NOT_PASSED
    return Inspected(key=key, what=what, standing=standing, day=newest.day, words=newest.words)


def overdue_points(rows: Iterable[tuple[str, Inspected]], overdue: Mapping[str, date]) -> Iterator[Finding]:
    """Inspections whose day has passed and of which nobody wrote down what came of it, each with its title."""
    for title, one in rows:
        if one.key in overdue:
            day = overdue[one.key]
            yield Finding(
                rule="inspection-overdue",
                severity=Severity.WARN,
                where=f"inspection:{one.key}",
                what=f"{title} was planned for {day:%B} {day.day}, and nobody wrote down what came of it.",
                measured=f"planned for {day.isoformat()}",
                limit="a result written down on the day",
                remedy="Write down what came of it, or call the inspector: until then it counts as coming on the next "
                "working day, and what covers it waits.",
            )


def inspection_points(rows: Iterable[tuple[str, Inspected]]) -> Iterator[Finding]:
    """Inspections that did not pass, each with its title: nothing covers them."""
    for title, one in rows:
        if one.standing is Standing.NOT_PASSED and one.day is not None:
            said = f": {one.words}" if one.words else ""
            yield Finding(
                rule="inspection-not-passed",
                severity=Severity.WARN,
                where=f"inspection:{one.key}",
                what=f"{title} did not pass on {one.day:%B} {one.day.day}{said}.",
                measured=one.day.isoformat(),
                limit="passed before anything covers it",
                remedy="Mend it, have it seen again, and write that inspection down. What covers it waits until then.",
            )
