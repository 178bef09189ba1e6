"""The shape of a thing on the plan, whatever kind it is: the walk of its points, and the fields that a new one sets."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from app.domain.change import Edit
from app.domain.errors import BadValue, NotFound
from app.domain.job import JOB_THINGS, Alternative, Job, Zone
from app.domain.plan.outline import Outline
from app.domain.plan.walks import Walk, line_of_walk, ring_of, walk_of_line, with_ring
from app.domain.plan.wkt import read_rings
from app.services.jobs import OpenJob, changed
from app.services.zones import find


@contextmanager
def said_beside(field: str) -> Iterator[None]:
    """Whatever is refused within is said beside a field of the form."""
    try:
        yield
    except BadValue as wrong:
        wrong.field = wrong.field or field
        raise


# what a shape is the shape of: the kind in an address → the kind of thing that holds it and the field of its outline
SHAPED: Mapping[str, tuple[str, str]] = {
    "zone": ("alternative", "outline"),
    "alternative": ("alternative", "outline"),
    "existing": ("existing", "outline"),
    "run": ("run", ""),
    "feature": ("feature", ""),
    "easement": ("easement", "outline"),
    "lot": ("site", "lot"),
    "house": ("site", "house"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A thing with the shape it has now: an outline, or a line's points and rises; neither while it is not drawn."""

    kind: str  # of the thing that is changed
    field: str  # of its outline; empty for a line
    thing: Any
    version: int
    title: str

    @property
    def outline(self) -> Outline | None:
        """Its outline, where it has one."""
        found: Outline | None = getattr(self.thing, self.field) if self.field else None
        return found

    @property
    def is_line(self) -> bool:
        """Whether it is an open line."""
        return self.outline is None and len(getattr(self.thing, "points", ())) > 1

    @property
    def rings(self) -> int:
        """How many walks it has: the outer ring and its openings, or one line."""
        return len(read_rings(self.outline.wkt)) if self.outline else int(self.is_line)

    def walk(self, ring: int = 0) -> Walk:
        """Its points in their order. Raises: BadValue while it is not drawn."""
        if self.outline is not None:
            return ring_of(self.outline, ring)
        if not self.is_line:
            raise BadValue(f"{self.title} is not drawn yet. Type or draw its shape first.")
        return walk_of_line(self.thing.points, self.thing.rises)

    def fields(self, walk: Walk, ring: int = 0) -> dict[str, Any]:
        """The fields that give it another walk. Raises: every refusal of an outline."""
        if self.outline is not None:
            return {self.field: with_ring(self.outline, walk, ring)}
        points, rises = line_of_walk(walk)
        return {"points": points, "rises": rises}

    def edit(self, fields: Mapping[str, Any], version: int | None = None) -> Edit:
        """The edit that sets fields of the thing, as it was read at `version` (as it is now where none is given)."""
        return changed(self.kind, self.thing.id, self.version if version is None else version, fields)


def drawn(opened: OpenJob, kind: str, thing_id: UUID) -> Drawn:
    """The shape of a thing by the kind and id of an address; a zone's is that of its chosen alternative.

    Raises: NotFound.
    """
    if kind not in SHAPED:
        raise NotFound("There is nothing of that kind on the plan.")
    thing_kind, field = SHAPED[kind]
    thing = _thing(opened.job, kind, thing_id)
    return Drawn(
        kind=thing_kind,
        field=field,
        thing=thing,
        version=opened.version(thing_kind, thing.id),
        title=title_of(opened.job, kind, thing),
    )


def _thing(job: Job, kind: str, thing_id: UUID) -> Any:
    if kind in {"lot", "house"}:
        return find((job.site,), thing_id, "site")
    if kind == "zone":
        return chosen_of(job, find(job.zones, thing_id, "zone"))
    return find(getattr(job, JOB_THINGS[kind][1]), thing_id, kind)


def chosen_of(job: Job, zone: Zone) -> Alternative:
    """The chosen alternative of a zone. Raises: NotFound where it has none."""
    chosen = job.chosen(zone)
    if chosen is None:
        raise NotFound("This zone has no way to do it any more. Add one first.")
    return chosen


def title_of(job: Job, kind: str, thing: Any) -> str:
    """What a thing is called in a sentence."""
    if kind in {"lot", "house"}:
        return f"the {kind}"
    if isinstance(thing, Alternative):
        zone = next((one for one in job.zones if one.id == thing.zone_id), None)
        return f"{zone.letter} {zone.title}".strip() if zone else thing.title
    return str(getattr(thing, "title", "") or getattr(thing, "words", "")[:40] or kind)
