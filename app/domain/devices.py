"""Devices that were let in, and the face each shows: ours, the field's, the client's at the table."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID

BACK_AFTER = timedelta(minutes=30)  # unused for so long, a device turned to ours by passcode shows its own face again
UNSEEN_LEAST, UNSEEN_MOST = 7, 365  # days: between them the firm says after how many a device is paired anew
SEEN_EVERY = timedelta(minutes=1)  # how often it is worth writing down that a device was seen


class Face(StrEnum):
    """What a device is shown."""

    OURS = "ours"  # everything
    FIELD = "field"  # what is built, and no money
    CLIENT = "client"  # the proposal of one job


@dataclass(frozen=True, slots=True)
class Showing:
    """The face a device shows now; on the client's, of which job."""

    face: Face = Face.OURS
    job_id: UUID | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A device that was paired. It knows a token; we know the token's hash alone.

    `face` is what it was paired as. `turned` is what it was turned to since, by a tap or a passcode.
    """

    id: UUID
    name: str
    face: Face
    job_id: UUID | None  # the job a client's device is bound to
    paired_at: datetime
    last_seen: datetime
    turned: Face | None = None
    turned_job: UUID | None = None  # the job it was turned to the client for
    revoked_at: datetime | None = None


def shown_by(device: Device, now: datetime) -> Showing:
    """What a device shows at a time: what it was turned to, else what it was paired as.

    One that was turned to more than it was paired as goes back by itself once it lay unused for BACK_AFTER. One without
    a job shows the client nothing, so a client's device is always bound to one.

    >>> from datetime import UTC
    >>> noon = datetime(2027, 3, 9, 12, tzinfo=UTC)
    >>> tablet = Device(id=UUID(int=1), name="Tablet", face=Face.FIELD, job_id=None, paired_at=noon, last_seen=noon,
    ...                 turned=Face.OURS)
    >>> [shown_by(tablet, noon + timedelta(minutes=after)).face.value for after in (29, 31)]
    ['ours', 'field']
    """
    own = own_showing(device)
    if device.turned is None:
        return own
    if device.turned is Face.OURS:
        return own if now - device.last_seen > BACK_AFTER else Showing()
    return Showing(device.turned, device.turned_job if device.turned is Face.CLIENT else None)


def has_lapsed(device: Device, now: datetime, days: int) -> bool:
    """Whether a device was not seen for so many days that it must be paired anew.

    Nothing is written down for it: a clock that was wrong for a day shuts nobody out for good.
    """
    return now - device.last_seen > timedelta(days=days)


def own_showing(device: Device) -> Showing:
    """What a device was paired as."""
    return Showing(device.face, device.job_id if device.face is Face.CLIENT else None)


def worth_noting(device: Device, now: datetime) -> bool:
    """Whether it is long enough since a device was last noted as seen; a clock set back counts, too."""
    return abs(now - device.last_seen) >= SEEN_EVERY
