"""Which of the usual cautions belong to which place of a job. The words stand in the library, by key."""

from collections.abc import Collection, Iterable, Mapping

from app.domain.basis import Basis
from app.domain.checks.yard import Yard
from app.domain.job import Job

WHOLE_JOB = "job"


def cautions(job: Job, basis: Basis) -> Mapping[str, tuple[str, ...]]:
    """Keys of the cautions by place (`zone:ID`, `run:ID`, `feature:ID`, `edge:ID`, `existing:ID`, `job`).

    Those of included recipes count; works on alternatives that are not chosen do not.
    """
    yard = Yard(job, basis)
    return _gathered((placed.where, yard.cautions(placed)) for placed in yard.placed)


def cautions_by_zone(job: Job, basis: Basis) -> Mapping[str, tuple[str, ...]]:
    """Keys of the cautions by zone id, with those of its runs, features and edges; `job` for what is in no zone."""
    yard = Yard(job, basis)
    return _gathered(
        (str(placed.zone.id) if placed.zone else WHOLE_JOB, yard.cautions(placed)) for placed in yard.placed
    )


def every_caution(job: Job, basis: Basis) -> tuple[str, ...]:
    """Keys of all cautions of a job, each once, in the order of its works."""
    return tuple(dict.fromkeys(key for keys in cautions(job, basis).values() for key in keys))


def cautions_of_works(job: Job, basis: Basis, works: Collection[str]) -> tuple[str, ...]:
    """Keys of the cautions of some works (by id as text), each once, in the order of the works."""
    yard = Yard(job, basis)
    found = (yard.cautions(placed) for placed in yard.placed if str(placed.work.id) in works)
    return tuple(dict.fromkeys(key for keys in found for key in keys))


def _gathered(pairs: Iterable[tuple[str, tuple[str, ...]]]) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, dict[str, None]] = {}
    for place, keys in pairs:
        if keys:
            found.setdefault(place, {}).update(dict.fromkeys(keys))
    return {place: tuple(keys) for place, keys in found.items()}
