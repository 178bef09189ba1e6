"""What a job offers to choose among: options ticked one by one, and packages of zones, ways and options."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """What may be built or not: zones, runs and features by their ids, or another way to do a zone (`way_id`).

    `taken` says whether it is in the price; `initials` and `decided_on` who decided at the table, and when.
    """

    id: UUID
    title: str = ""
    words: str = ""
    thing_ids: tuple[UUID, ...] = ()
    way_id: UUID | None = None  # an option is a way or holds things, never both
    taken: bool = False
    initials: str = ""
    decided_on: date | None = None
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """One set that is shown beside others: the zones in it, the way each is done, the options ticked."""

    id: UUID
    title: str = ""
    words: str = ""
    zone_ids: tuple[UUID, ...] = ()
    way_ids: tuple[UUID, ...] = ()  # alternatives; a zone without one is done as chosen
    option_ids: tuple[UUID, ...] = ()
    position: int = 0
