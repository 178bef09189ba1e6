"""What is written down once a job is built: tests signed, punch list, hand-over, as-built notes, warranty, closing.

Each is a thing of its own. Places are named by their ids as text, as in the daily log: what is taken out of the draft
later takes no test and no call along.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from app.domain.job.daily import WHOLE_JOB

PASSED, NOT_PASSED, LEFT_OUT = "passed", "not passed", "left out"
CAUSES: Mapping[str, str] = {
    "ours": "How it was built",
    "subcontractor": "A subcontractor's work",
    "material": "The material",
    "settling": "The ground settled",
    "plant": "A plant that died",
    "use": "How it was used or cared for",
    "weather": "Weather beyond the usual",
    "other": "Something else",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedTest:
    """A test before hand-over, signed by name. The newest one of a test and place counts.

    What it was called and held against (`title`, `limit`) stands here by value: a signed test says later what it said
    then. `values` are in the canonical unit of what is measured. `left out` carries the owner's reason in `words`.
    """

    id: UUID
    test: str  # key of the library's list
    place: str = WHOLE_JOB
    day: date
    result: str = PASSED
    title: str = ""
    limit: str = ""
    values: tuple[float, ...] = ()
    name: str = ""
    license: str = ""  # of the licensed trade, where the test is theirs
    words: str = ""
    photo_id: UUID | None = None
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PunchItem:
    """What is still to be done before or after hand-over: who, by when, done; the client's word when it is accepted."""

    id: UUID
    day: date
    what: str
    zone: str = WHOLE_JOB
    who: str = ""
    due: date | None = None
    test: str = ""  # the test it comes from, and that test's place
    place: str = ""
    photo_id: UUID | None = None
    done_on: date | None = None
    done_by: str = ""
    done_photo_id: UUID | None = None
    client_on: date | None = None  # the client looked at it and accepted it
    client_words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver:
    """The day on which the finished yard went over to the client. Warranty runs from it."""

    id: UUID
    day: date
    by: str = ""  # who walked it with the client
    client: str = ""  # who signed the paper of it
    photo_id: UUID | None = None  # of the signed paper
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltNote:
    """How something was built that nobody sees any more: depth to its top [ft], batch of a material, words, a photo."""

    id: UUID
    thing: str  # id of the zone, run, feature or existing thing; `job`: of the whole job
    day: date
    depth: float | None = None  # ft, finished surface to the top of it
    material: str = ""
    batch: str = ""
    words: str = ""
    photo_id: UUID | None = None
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WarrantyVisit:
    """A visit after hand-over that was moved to another day, or made."""

    id: UUID
    after_days: int
    day: date
    done_on: date | None = None
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WarrantyCall:
    """A call after hand-over: what is wrong, where, of which recipe, crew, subcontractor and batch, what it cost.

    Hours are in quarters; `cents` is what was bought or paid beside them. `covered`: the firm bears it.
    """

    id: UUID
    day: date
    what: str
    zone: str = WHOLE_JOB
    assembly: str = ""
    cause: str = "ours"  # key of `CAUSES`
    crew: str = ""  # who built it, by name
    subcontractor: str = ""  # key of the book
    batch: str = ""
    covered: bool = True
    quarters: int = 0
    cents: int = 0
    done_on: date | None = None
    words: str = ""
    photo_id: UUID | None = None
    visit: int = 0  # the visit at which it was or is to be seen, in days after hand-over; 0: the client called
    question: bool = False  # the client wants to know something; nothing is wrong
    asked_by: str = ""  # who sent it from the client's own device
    answer: str = ""  # to who sent it: it stands on their page
    answered_on: date | None = None
    said_by: str = ""
    said_at: datetime | None = None

    @property
    def hours(self) -> float:
        """The same in hours."""
        return self.quarters / 4


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowPermission:
    """What of a finished job the client lets the firm show, who said so and when; withdrawn from a day on."""

    id: UUID
    day: date
    given_by: str
    words: str = ""  # what the yard is called where it is shown: no name, no street
    photo_ids: tuple[UUID, ...] = ()
    with_price: bool = False
    with_town: bool = False
    withdrawn_on: date | None = None
    withdrawn_why: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """A job closed: the day, by whom, what stood open then, and why it was closed all the same."""

    id: UUID
    day: date
    by: str = ""
    open: tuple[str, ...] = ()
    reason: str = ""
    said_by: str = ""
    said_at: datetime | None = None
