"""What a change is, in plain words: how a work was and how it will be, as the client sees it."""

import re
from collections.abc import Iterator

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate
from app.domain.job import Job, PlaceKind, Work
from app.domain.palette import finishes_named
from app.domain.plan.measures import area
from app.domain.proposal import work_name
from app.domain.takeoff.requirements import Requirement
from app.domain.units import format_area, format_length

NEAR = 1e-6
UNITS = ((r"\*\s*inch(es)?\b", " in"), (r"\*\s*(foot|feet)\b", " ft"), (r"\*\s*hours?\b", " h"))
OTHERWISE = "In other amounts, as the plan now has it"


def name_of(job: Job, basis: Basis, key: str) -> str:
    """A work by its id as the client knows it."""
    work = _work(job, key)
    assembly = basis.assemblies.get(work.assembly) if work else None
    if work is None:
        return ""
    return work_name(job, work, assembly)[0] if assembly else work.title or work.assembly


Side = tuple[Job, Basis, Estimate]


def what_changed(before: Side, after: Side, key: str, *, new: bool = False) -> tuple[str, ...]:
    """How a work was and will be, one sentence a difference; of a `new` one only what it is.

    Sizes are told in feet, as they were drawn.
    """
    was, now = _work(before[0], key), _work(after[0], key)
    if now is None:
        return ()
    if was is None or new:
        return tuple(_new(after, now))
    said = [*_built_as(before, after, was, now), *_size(before[0], after[0], was, now)]
    said += _finishes(before, after, was, now)
    said += _parameters(before[1], was, now)
    said += _phase(before, after, now)
    return tuple(said) or (OTHERWISE,)


def _work(job: Job, key: str) -> Work | None:
    return next((one for one in job.works if str(one.id) == key), None)


def _new(side: Side, work: Work) -> Iterator[str]:
    size = _sized(side[0], work)
    if size:
        yield size[1]
    finishes = finishes_named(side[1], side[2], work)
    if finishes:
        yield ", ".join(finishes)


def _built_as(before: Side, after: Side, was: Work, now: Work) -> Iterator[str]:
    if was.assembly != now.assembly:
        titles = [side[1].assemblies[one.assembly].title for side, one in ((before, was), (after, now))]
        yield f"{titles[1]} instead of {titles[0]}"


def _size(was_job: Job, now_job: Job, was: Work, now: Work) -> Iterator[str]:
    old, new = _sized(was_job, was), _sized(now_job, now)
    if old and new and abs(old[0] - new[0]) > NEAR and old[1] != new[1]:
        yield f"{old[1]} before, {new[1]} now"


def _sized(job: Job, work: Work) -> tuple[float, str] | None:
    """How large a work's place is, where it is drawn or typed."""
    if work.place is PlaceKind.ALTERNATIVE:
        outline = next((one.outline for one in job.alternatives if one.id == work.place_id), None)
        return (area(outline), format_area(area(outline))) if outline else None
    if work.place is PlaceKind.FEATURE:
        count = next((one.count for one in job.features if one.id == work.place_id), 0)
        return (float(count), f"{count} of them") if count > 1 else (float(count), "one")
    length = next((one.length for one in job.runs if one.id == work.place_id), None)
    return (length, format_length(length)) if length else None


def _finishes(before: Side, after: Side, was: Work, now: Work) -> Iterator[str]:
    old, new = (finishes_named(side[1], side[2], one) for side, one in ((before, was), (after, now)))
    come, gone = [one for one in new if one not in old], [one for one in old if one not in new]
    if come and gone:
        yield f"{', '.join(come)} instead of {', '.join(gone)}"
    elif come or gone:
        yield f"with {', '.join(come)}" if come else f"without {', '.join(gone)}"


def _parameters(basis: Basis, was: Work, now: Work) -> Iterator[str]:
    assembly = basis.assemblies.get(now.assembly)
    for name in sorted(was.parameters.keys() | now.parameters.keys()):
        own = assembly.parameters.get(name) if assembly and was.assembly == now.assembly else None
        old, new = (one.parameters.get(name, own.value if own else "") for one in (was, now))
        if own and old != new:
            yield f"{own.label}: {_shown(old)} before, {_shown(new)} now"


def _shown(formula: str) -> str:
    for pattern, word in UNITS:
        formula = re.sub(pattern, word, formula)
    return formula


def _phase(before: Side, after: Side, now: Work) -> Iterator[str]:
    old, new = (_phase_of(side[2].requirements, now) for side in (before, after))
    phases = {str(one.id): one.number for one in after[0].phases}
    if old != new and new in phases:
        yield f"Built in phase {phases[new]}"


def _phase_of(needed: tuple[Requirement, ...], work: Work) -> str:
    return next((one.phase for one in needed if one.work_id == work.id), "")
