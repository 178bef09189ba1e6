"""The one way to change anything: a typed value with fields before and after, and what becomes of it.

Undo, conflict, queue, replay, record and audit all read these values. Pure: the service that applies them loads and
saves the rows.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from app.domain.codec import as_stored
from app.domain.errors import Stale

Fields = Mapping[str, Any]  # plain values by field name


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """What happens to one thing. `before` None makes it, `after` None removes it; else both hold the changed fields.

    `version` is the thing's version as it was read (0 for a thing that is made).
    """

    kind: str
    thing_id: str
    version: int
    before: Fields | None
    after: Fields | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change: its id is made on the device, so that sending it twice changes nothing twice."""

    id: UUID
    job_id: UUID | None  # None: the firm, its book or its library
    edits: tuple[Edit, ...]
    who: str
    when: datetime
    what: str = ""  # "Width of the dining terrace", for the history and the undo button
    follows: UUID | None = None  # the change of the same device that this one was made after
    undoes: UUID | None = None
    salt: str = ""  # by chance, on record: once the rest is erased, no guess at it can be proved by its hash


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """What the record knows of one thing since some version: each later edit's version, change and fields before."""

    version: int
    change_id: UUID
    before: Fields | None


def inverse(change: Change, *, id: UUID, who: str, when: datetime, versions: Mapping[str, int]) -> Change:  # noqa: A002
    """The change that takes `change` back. `versions` are the things' versions now, by thing id."""
    edits = tuple(
        Edit(
            kind=edit.kind,
            thing_id=edit.thing_id,
            version=versions.get(edit.thing_id, 0),
            before=edit.after,
            after=edit.before,
        )
        for edit in reversed(change.edits)
    )
    return Change(id=id, job_id=change.job_id, edits=edits, who=who, when=when, what=change.what, undoes=change.id)


def settle(edit: Edit, current: Fields, since: Sequence[Past]) -> Edit | None:
    """Fit an edit of fields onto the thing as it is now.

    `since` lists what happened to the thing after `edit.version`, oldest first, without the edits that this one was
    made on top of. Fields that nobody else touched are applied; a field that was left as it was read is dropped.
    Returns None when nothing is left to do.
    Raises: Stale with both values, when a field was changed by both to different values.
    """
    after: dict[str, Any] = as_stored(edit.after or {})
    theirs: dict[str, Any] = {}
    for past in reversed(since):
        theirs.update(past.before or {})  # the oldest wins: the value as it was read
    mine = {name: value for name, value in after.items() if not (name in theirs and theirs[name] == value)}
    torn = {name for name in mine if name in theirs and current.get(name) != mine[name]}
    if torn:
        raise Stale(
            "Somebody changed this since you opened it. Both values are shown; choose one.",
            theirs={name: current.get(name) for name in sorted(torn)},
            yours={name: mine[name] for name in sorted(torn)},
        )
    kept = {name: value for name, value in mine.items() if current.get(name) != value}
    if not kept:
        return None
    before = {name: current.get(name) for name in kept}
    return Edit(kind=edit.kind, thing_id=edit.thing_id, version=edit.version, before=before, after=kept)
