"""Work given to subcontractors: what is asked of several of them at once, and what each quotes."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from uuid import UUID


class Stands(StrEnum):
    """How a line of the scope stands in a quote. What is not said is not in it."""

    IN = "in"
    OUT = "out"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True, kw_only=True)
class Packet:
    """One scope of work that goes to several subcontractors for a price.

    The works of `work_ids` are given away whole, with all material and labor; `materials` are keys of trades hired by
    the hour or piece, wherever a work wants them. `extras` are further lines of the scope, in words; `words` are read
    by those who quote.
    """

    id: UUID
    title: str = ""
    trade: str = ""
    work_ids: tuple[UUID, ...] = ()
    materials: tuple[str, ...] = ()
    extras: tuple[str, ...] = ()
    words: str = ""
    answer_by: date | None = None
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """What one subcontractor asks for a packet. The accepted one is priced.

    `scope` says by line of the scope how it stands; `added` what a line costs beside the amount [cents], `elsewhere`
    where a line that is out is priced. `amounts` are those of the scope when the quote was accepted: a scope that grew
    is seen.
    """

    id: UUID
    packet_id: UUID
    subcontractor: str = ""  # key of the firm's book
    cents: int | None = None
    given_on: date | None = None
    valid_until: date | None = None
    scope: Mapping[str, Stands] = field(default_factory=dict)
    added: Mapping[str, int] = field(default_factory=dict)
    elsewhere: Mapping[str, str] = field(default_factory=dict)
    amounts: Mapping[str, float] = field(default_factory=dict)
    file: str = ""  # hash of what they sent
    note: str = ""
    accepted_on: date | None = None
