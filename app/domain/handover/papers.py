"""Papers of the hand-over: completion with its punch list, the firm's release of lien, what may be shown of the job."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.domain.errors import BadValue, Refused
from app.domain.handover.signing_tests import SignedRow
from app.domain.job import HandedOver, Job, Photo, PunchItem, ShowPermission
from app.domain.letterhead import Letterhead

FINE, COARSE, LARGE = 100_000, 500_000, 5_000_000  # cents: bands in $1,000 up to $50,000, then in $5,000
WIDE = 10  # a band lies a tenth around the price


@dataclass(frozen=True, slots=True, kw_only=True)
class CompletionPaper(Letterhead):
    """What is signed when the yard goes over: tests, what is still to do, from when warranty runs."""

    handed_over: date
    tests: tuple[SignedRow, ...]
    open_items: tuple[PunchItem, ...]
    proposal: int
    signed_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleasePaper(Letterhead):
    """The firm's own final release of lien, for work up to a day; while `open_cents` is owed it is conditional."""

    proposal: int
    signed_on: date
    through: date
    contract_cents: int
    open_cents: int
    owner: str

    @property
    def conditional(self) -> bool:
        """Whether it waits for a payment."""
        return self.open_cents > 0


def refuse_release(handed_over: HandedOver | None, *, signed: bool) -> None:
    """A final release is for a yard that is handed over and signed for. Raises: Refused."""
    if not signed:
        raise Refused("Nothing is signed, so there is no contract whose lien could be released.")
    if handed_over is None:
        raise Refused("The final release is given once the yard is handed over.")


def price_band(cents: int) -> tuple[int, int]:
    """A price [cents] as a rounded band: a tenth to either side, to $1,000 outward, above $50,000 to $5,000.

    >>> price_band(4_271_300), price_band(8_310_000)
    ((3800000, 4700000), (7000000, 9500000))
    """
    step = FINE if cents <= LARGE else COARSE
    low, high = cents - cents // WIDE, cents + cents // WIDE
    return low // step * step, -(-high // step) * step


def permission_of(job: Job) -> ShowPermission | None:
    """The newest permission that stands; None where none was given, or it was withdrawn."""
    standing = [one for one in job.show_permissions if one.withdrawn_on is None]
    return max(standing, key=lambda one: (one.day, str(one.said_at), str(one.id))) if standing else None


def refuse_permission(job: Job, one: ShowPermission, today: date) -> None:
    """Refuse a permission that says not who, when or what. Raises: Refused, BadValue beside what is missing."""
    if not job.handed_over:
        raise Refused("A show sheet is of a finished yard. Hand it over first.")
    if not one.given_by:
        raise BadValue("Type who of the client gave the permission.", field="given_by")
    if one.day > today:
        raise BadValue("That day has not been yet. Choose the day on which they said so.", field="day")
    if not one.words:
        raise BadValue("Say what the yard is called where it is shown, without name or street.", field="words")
    if private := _private(job, one.words):
        raise BadValue(f"“{private}” says whose yard it is. Leave it out.", field="words")
    known = {photo.id for photo in job.photos}
    if not one.photo_ids or not known.issuperset(one.photo_ids):
        raise BadValue("Choose the pictures that may be shown.", field="photo_ids")


def _private(job: Job, words: str) -> str:
    """A name or street of the client that stands in words."""
    said = words.casefold()
    parts = [job.client.name, job.client.second_name, job.head.street, job.client.street]
    names = [name.rsplit(" ", 1)[-1] for name in parts[:2] if name]
    return next((one for one in (*parts, *names) if one and one.casefold() in said), "")


def before_and_after(job: Job, one: ShowPermission) -> tuple[Sequence[Photo], Sequence[Photo]]:
    """The pictures that may be shown: from before, and from after."""
    chosen = [photo for photo in job.photos if photo.id in one.photo_ids and photo.when not in ("receipt", "sample")]
    return [it for it in chosen if it.when == "before"], [it for it in chosen if it.when != "before"]
