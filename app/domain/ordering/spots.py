"""Where an order is put down: a point that was typed, or a thing of the plan, and the words for the driver."""

from dataclasses import dataclass

from app.domain.job import EXISTING_KINDS, SPRINKLERS, VALVE, Job, SupplyOrder
from app.domain.plan.measures import bounds
from app.domain.plan.outline import Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place in words and, where it is known, as a point of the plan [ft]."""

    words: str
    beside: str = ""  # the thing of the plan it is named by
    point: tuple[float, float] | None = None

    @property
    def known(self) -> bool:
        """Whether anything is said of it."""
        return bool(self.words or self.beside or self.point)

    @property
    def told(self) -> str:
        """All of it in words, without the point."""
        return ", ".join(part for part in (self.beside, self.words) if part)


def spots(job: Job) -> tuple[tuple[str, str, tuple[float, float] | None], ...]:
    """What of a plan an order can be put down at: id, name, point."""
    found: list[tuple[str, str, tuple[float, float] | None]] = []
    for zone in job.zones:
        chosen = job.chosen(zone)
        name = f"Zone {zone.letter}, {zone.title}" if zone.letter else zone.title
        found.append((str(zone.id), name.strip(", "), _middle(chosen.outline if chosen else None)))
    for mark in job.marks:
        point = (mark.x, mark.y) if mark.x is not None and mark.y is not None else None
        found.append((str(mark.id), f"Mark {mark.title}", point))
    for thing in job.features:
        point = (thing.x, thing.y) if thing.x is not None and thing.y is not None else None
        found.append((str(thing.id), thing.title, point))
    for one in job.existing:
        if one.kind in {SPRINKLERS, VALVE}:
            continue
        at = (one.x, one.y) if one.x is not None and one.y is not None else None
        found.append((str(one.id), one.title or EXISTING_KINDS.get(one.kind, one.kind), _middle(one.outline) or at))
    return tuple(row for row in found if row[1])


def spot_of(job: Job, order: SupplyOrder) -> Spot:
    """Where an order is put down; a typed point goes before that of the thing it is named by."""
    named = next((row for row in spots(job) if row[0] == str(order.spot_id)), None) if order.spot_id else None
    typed = (order.spot_x, order.spot_y) if order.spot_x is not None and order.spot_y is not None else None
    return Spot(words=order.spot, beside=named[1] if named else "", point=typed or (named[2] if named else None))


def _middle(outline: Outline | None) -> tuple[float, float] | None:
    """The middle of the box around an outline: near enough for a truck."""
    if outline is None or not outline.wkt:
        return None
    left, low, right, top = bounds(outline)
    return (left + right) / 2, (low + top) / 2
