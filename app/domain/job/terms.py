"""What was chosen and agreed: finishes, options, packages, phases, money, points that were settled."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID

from app.domain.job.kinds import Covers, Firmness, Reply


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A finish the client chose: for which role, from which sample, on which day."""

    id: UUID
    role: str
    material: str
    zone_id: UUID | None = None  # None: wherever the role occurs
    chosen_on: date | None = None
    chosen_by: str = ""
    sample: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """What is built when. `firmness` says how its price holds; `rise` is a share (0.04 = 4%)."""

    id: UUID
    number: int = 1
    title: str = ""
    start: date | None = None
    done: date | None = None
    firmness: Firmness = Firmness.FIRM
    firm_until: date | None = None
    rise: Decimal = Decimal(0)
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """Money set aside for a thing that is not chosen yet; printed with its true-up rule.

    `material` names a material without a price that this money stands for: it is then not missing.
    """

    id: UUID
    title: str = ""
    cents: int = 0
    zone_id: UUID | None = None
    phase_id: UUID | None = None
    words: str = ""  # what is in it
    material: str = ""
    covers: Covers = Covers.BUILT
    markup: Decimal = Decimal(0)  # share added to what it costs beyond the amount; what is saved comes off in full
    choose_by: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPrice:
    """A price agreed for what may be found in the ground, per unit, at selling price."""

    id: UUID
    title: str = ""
    unit: str = ""
    cents: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """What may happen on this job, and what it would then cost the firm [cents, at cost]. It never leaves the firm.

    An end that is not told is the likely one. What is carried by `us` is in the price as chance × cost.
    """

    id: UUID
    title: str = ""
    chance: Decimal = Decimal(0)  # 0 to 1
    low_cents: int | None = None
    likely_cents: int = 0
    high_cents: int | None = None
    carried_by: str = "us"  # key of `CARRIERS`
    zone_id: UUID | None = None  # None: it may happen anywhere
    words: str = ""
    offer: str = ""  # key of the offered risk it was taken from
    position: int = 0


CARRIERS: Mapping[str, str] = {
    "us": "We do: in the price",
    "unit price": "The client, at an agreed unit price",
    "allowance": "An allowance, trued up",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Payment:
    """A payment due at a visible event: a share of its phase (or of the whole), or fixed cents."""

    id: UUID
    event: str = ""
    phase_id: UUID | None = None
    share: Decimal | None = None  # 0 to 1; None with no cents: what is left
    cents: int | None = None
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Approval:
    """A permit, or an association's yes, that work waits for. `days` [of the calendar] is how long an answer takes.

    `phase_id` names the phase that waits; None: the first, and so all. Comments wait for an answer: what is asked for
    again on a later day has the whole time before it once more.
    """

    id: UUID
    title: str = ""
    kind: str = "permit"  # "permit", "association", "other"
    phase_id: UUID | None = None
    submitted: date | None = None
    days: int = 21
    approved: date | None = None
    words: str = ""
    position: int = 0
    decided_by: str = ""  # office or board, and whom to call there
    commented: date | None = None
    comments: str = ""
    number: str = ""  # of the permit
    expires: date | None = None
    inspected: tuple[str, ...] = ()  # stages after which its inspector looks, before anything covers them

    @property
    def has_comments(self) -> bool:
        """Whether comments came that were not answered by asking again, nor by a yes."""
        asked = self.submitted or date.min
        return self.approved is None and self.commented is not None and self.commented >= asked

    def has_run_out(self, today: date) -> bool:
        """Whether what was approved no longer holds on a day."""
        return self.approved is not None and self.expires is not None and self.expires < today

    def there_on(self, today: date) -> date:
        """The day it is there: when it was approved, else when an answer is due; never a day before today unapproved.

        >>> from uuid import UUID
        >>> asked = Approval(id=UUID(int=1), submitted=date(2027, 3, 1), days=21)
        >>> asked.there_on(date(2027, 3, 5)), asked.there_on(date(2027, 4, 1))
        (datetime.date(2027, 3, 22), datetime.date(2027, 4, 1))
        """
        if self.approved is not None:
            return self.approved
        asked = today if self.submitted is None or self.has_comments else self.submitted
        return max(today, asked + timedelta(days=max(0, self.days)))


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSheet:
    """A maker's sheet that goes with an approval: what it is of, its finish (a material's key, or none), its file."""

    id: UUID
    approval_id: UUID
    title: str = ""
    material: str = ""
    file: str = ""  # hash of a PDF or a picture
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedDays:
    """How long an activity of the schedule takes by the owner's word, in place of the estimate's hours [working days].

    It names the activity: phase (None: none, or whichever its zone is in), zone (None: the whole job), stage, trade.
    """

    id: UUID
    phase_id: UUID | None = None
    zone_id: UUID | None = None
    stage: str = ""
    trade: str = ""
    days: float = 1.0
    reason: str = ""
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Settlement:
    """A finding somebody decided to go on with: who, when, why. It rests on the finding's key."""

    id: UUID
    finding: str
    by: str
    reason: str
    on: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ReminderAnswer:
    """What a job answers to one reminder: not needed, with the reason, or that the client does it.

    `words` say to the client what is left to the client; the reason stays ours.
    """

    id: UUID
    reminder: str
    reply: Reply = Reply.NOT_NEEDED
    reason: str = ""
    words: str = ""
