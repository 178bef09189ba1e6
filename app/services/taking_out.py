"""Taking a thing out of a job: with all that hangs on it, and with no other thing left that names it."""

from collections.abc import Collection, Iterator
from dataclasses import fields
from typing import Any

from app.domain.change import Edit
from app.domain.job import JOB_THINGS
from app.services.jobs import OpenJob, changed, removal


def taking_out(opened: OpenJob, kind: str, thing_id: object) -> tuple[Edit, ...]:
    """The edits that remove a thing, what hangs on it, and its id wherever else it stands."""
    gone = removal(opened, kind, thing_id)
    return (*unnamed(opened, {edit.thing_id for edit in gone}), *gone)


def unnamed(opened: OpenJob, gone: Collection[str], *, but: Collection[str] = ()) -> Iterator[Edit]:
    """The edits after which no thing names one that is gone; `but` are things that are changed already."""
    for kind, (_, place) in JOB_THINGS.items():
        held = getattr(opened.job, place)
        for thing in held if isinstance(held, tuple) else (held,):
            fresh = _without(thing, gone)
            if fresh and str(thing.id) not in gone and str(thing.id) not in but:
                yield changed(kind, thing.id, opened.version(kind, thing.id), fresh)


def _without(thing: Any, gone: Collection[str]) -> dict[str, Any]:
    fresh: dict[str, Any] = {}
    for field in fields(thing):
        value = getattr(thing, field.name)
        if field.name.endswith("_ids") and any(str(one) in gone for one in value):
            fresh[field.name] = tuple(one for one in value if str(one) not in gone)
        elif field.name.endswith("_id") and value is not None and str(value) in gone:
            fresh[field.name] = None
    return fresh
