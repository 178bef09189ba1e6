"""What an order of zones means in words and money: what is built when, what goes in early, what is paid again."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from app.domain.costing.estimate import Estimate
from app.domain.job import Existing, Feature, Job, Phase, Run, RunKind, Zone
from app.domain.phasing.planner.pieces import Assignment, Pieces, titles
from app.domain.takeoff.measures import zone_title

FEW = 100  # cents: less is told with the rest
LICENSED = {RunKind.GAS: "by the licensed fitter, capped and tested", RunKind.CONDUIT: "empty, with a string, capped"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Early:
    """Something of a later zone that goes in earlier, in a sentence."""

    thing: UUID
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedPhase:
    """A phase of a plan: `asked` is its number among those asked for, `phase` as it would be in the job."""

    phase: Phase
    asked: int
    zones: tuple[Zone, ...]
    early: tuple[Early, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """What phasing pays more for (or less), against building everything at once [cents]."""

    key: str
    title: str
    cents: int


def planned_phases(pieces: Pieces, assignment: Assignment) -> tuple[PlannedPhase, ...]:
    """The phases of a plan that hold anything, in their order."""
    job, found = pieces.job_of(assignment), []
    for number, place in enumerate(pieces.used(assignment)):
        zones = tuple(zone for zone, at in zip(pieces.zones, assignment, strict=True) if at == place)
        phase = job.phases[number]
        found.append(PlannedPhase(phase=phase, asked=place + 1, zones=zones, early=_early(pieces, assignment, place)))
    return tuple(found)


def _early(pieces: Pieces, assignment: Assignment, place: int) -> tuple[Early, ...]:
    numbers = {at: number + 1 for number, at in enumerate(pieces.used(assignment))}
    found = []
    for one in pieces.followers:
        later = [zone for zone in one.zones if assignment[zone] > place]
        if pieces.early(one, assignment) != place or not later:
            continue
        now = [pieces.zones[zone] for zone in one.zones if assignment[zone] == place]
        own = one.own if one.own is not None and assignment[one.own] > place else later[0]
        what = (pieces.zones[own], numbers[assignment[own]])
        found.append(Early(thing=one.thing.id, words=_words(one.thing, now, *what)))
    return tuple(found)


def _words(thing: Run | Feature | Existing, now: Sequence[Zone], later: Zone, number: int) -> str:
    here, there = titles(now), f"{zone_title(later)} in phase {number}"
    if isinstance(thing, Existing):
        return f"{thing.title or thing.kind} is taken out now, also where it makes room for {there}."
    if isinstance(thing, Feature):
        return f"{thing.title or 'A footing'} goes in before {here} is finished, for {there}."
    how = LICENSED.get(thing.kind, "as a stub, capped and marked on the plan")
    return f"{thing.title or thing.kind.value}, for {there}, goes in below {here}: {how}."


def paid_again(job: Job, phased: Estimate, at_once: Estimate, recipes: Mapping[str, str]) -> tuple[Again, ...]:
    """What is paid again, at selling price, the most first; the rest in one, so that all add up to the difference.

    `recipes` are titles by key. Lines without a work (rests of crew-days, rounding) go by their own title.
    """
    of_work = {
        str(work.id): (work.assembly, work.title or recipes.get(work.assembly, work.assembly)) for work in job.works
    }
    sums: dict[tuple[str, str], int] = defaultdict(int)
    for worked, sign in ((phased, 1), (at_once, -1)):
        for line, cents in zip(worked.lines, worked.selling, strict=True):
            sums[of_work.get(line.work_id) or (line.kind, line.title)] += sign * cents
    by_title: dict[str, int] = defaultdict(int)
    for (_, title), cents in sums.items():
        by_title[title] += cents
    more = {title: cents for title, cents in by_title.items() if cents >= FEW}
    shown = sorted(more.items(), key=lambda one: (-one[1], one[0]))[:8]
    rest = phased.price_cents - at_once.price_cents - sum(cents for _, cents in shown)
    rows = [Again(key=f"{at}", title=title, cents=cents) for at, (title, cents) in enumerate(shown)]
    if rest:
        rows.append(Again(key="rest", title="Packs, loads and rests of days, less what comes out cheaper", cents=rest))
    return tuple(rows)
