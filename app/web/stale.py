"""A save that somebody else was ahead of, as a page shows it: both values, and the form to send mine again."""

from dataclasses import dataclass
from typing import Any, Protocol

from fastapi import Request

from app.web.forms.fields import as_uuid
from app.web.forms.saving import Saved


class Versioned(Protocol):
    """What knows the version of each thing as it was read."""

    def version(self, kind: str, thing_id: object, /) -> int:
        """The version of a thing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """The address and version to send the same fields to again; values in words: field, theirs, yours."""

    action: str
    version: int
    values: tuple[tuple[str, str, str], ...]
    sent: tuple[tuple[str, str], ...]
    back: str


def again_of(request: Request, view: Versioned, saved: Saved[Any], *, back: str) -> Again | None:
    """What to choose between; None when nothing is stale."""
    if saved.stale is None:
        return None
    theirs, yours = saved.stale.theirs, saved.stale.yours
    kind, thing_id = _thing_of(request.url.path)
    return Again(
        action=request.url.path,
        version=saved.stale.version or view.version(kind, thing_id),
        values=tuple((name.replace("_", " "), _words(theirs.get(name)), _words(yours[name])) for name in yours),
        sent=tuple(saved.form.typed.items()),
        back=back,
    )


def _thing_of(path: str) -> tuple[str, str]:
    """The kind and id that an address names last: behind a job's own id, or by a key at its end.

    >>> _thing_of("/jobs/6f9619ff-8b86-d011-b42d-00c04fc964ff/prices/material/sand")
    ('material', 'sand')
    """
    parts = ["", "", *path.removesuffix("/remove").split("/")]
    behind = [place for place in range(5, len(parts)) if as_uuid(parts[place])]  # the job's id comes first
    return (parts[behind[-1] - 1], parts[behind[-1]]) if behind else (parts[-2], parts[-1])


def _words(value: object) -> str:
    """A plain value in words."""
    if value is None or value == "":
        return "nothing"
    if isinstance(value, dict):
        return "an outline" if "wkt" in value else ", ".join(f"{key}: {one}" for key, one in value.items())
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
