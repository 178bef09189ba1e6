"""What is written down each day while a job is built: hours by person and task, and how far a task is.

Each is a thing of its own, made once and never together with another's, so what two phones write without a network
never collides. Zone and phase are named by their ids as text, not by reference: a zone that is taken out of the draft
later does not take the hours that were worked in it along.
"""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

WHOLE_JOB = "job"  # the zone of what belongs to none
PERCENTS = (0, 25, 50, 75, 100)  # how far a task is, as a crew lead says it


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedHours:
    """Hours of one person on one day at one task, in quarters of an hour so that sums are exact.

    A `task` without a key is not in the bid; `words` then say what it was.
    """

    id: UUID
    day: date
    person: str
    quarters: int
    zone: str = WHOLE_JOB
    phase: str = ""
    task: str = ""
    words: str = ""
    said_by: str = ""  # the device it was written on
    said_at: datetime | None = None

    @property
    def hours(self) -> float:
        """The same in hours."""
        return self.quarters / 4


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidDone:
    """How far a task of a zone is by the end of a day, as the crew lead says it [percent]. The newest one counts."""

    id: UUID
    day: date
    percent: int
    zone: str = WHOLE_JOB
    phase: str = ""
    task: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedWeather:
    """The weather of a day as somebody there saw it."""

    id: UUID
    day: date
    sky: str = ""  # key of the library's list
    degrees: int | None = None  # in the firm's own unit: Fahrenheit with feet, Celsius with meters
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedDelay:
    """What held the work up on a day: working days lost in halves, hours people waited in quarters, and whose it is."""

    id: UUID
    day: date
    cause: str  # key of the library's list
    whose: str = ""
    half_days: int = 0
    quarters: int = 0
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedVisit:
    """Who came: a visitor, or an inspector with what was looked at and what came of it."""

    id: UUID
    day: date
    who: str
    what: str = ""  # what it was about; of an inspection, what was inspected
    inspection: bool = False
    result: str = ""  # of an inspection: key of `RESULTS`
    inspects: str = ""  # which inspection of the schedule it was: place and stage, as `place/stage`
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


RESULTS = ("passed", "passed with remarks", "not passed", "not done")  # of an inspection


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedReceipt:
    """What was bought on the way: the amount paid, at which merchant, for which zone, and its picture.

    `material` is the key of what was bought, where it is one of the book's; `batch` as its label says.
    """

    id: UUID
    day: date
    cents: int
    merchant: str = ""
    material: str = ""
    batch: str = ""
    zone: str = WHOLE_JOB
    words: str = ""
    photo_id: UUID | None = None
    said_by: str = ""
    said_at: datetime | None = None
