"""The page of devices: who is in, what each shows, when it was seen; and the pairing under way."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from app.db.repositories.things import JobLine
from app.domain.devices import Device, Showing, has_lapsed, shown_by
from app.domain.pairing import Pairing, Stands, ends_at, is_live, shown
from app.services import devices, pairing
from app.services.book import own
from app.services.home import every_job
from app.services.office import Office


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceLine:
    """A device as a line of the page; times at the firm's clock."""

    device: Device
    shows: Showing
    job: str  # the title of the job it shows
    paired_at: datetime
    last_seen: datetime
    revoked_at: datetime | None
    lapsed: bool  # not seen for so long that it must be paired anew


@dataclass(frozen=True, slots=True, kw_only=True)
class PairingNow:
    """The pairing that was begun last: live, or how it ended."""

    pairing: Pairing
    live: bool
    job: str
    code: str  # as it is read aloud; empty once it is used or dead
    ends_at: datetime
    words: tuple[str, str]

    @property
    def open(self) -> bool:
        """Whether its code waits to be typed."""
        return self.live and self.pairing.stands is Stands.OPEN

    @property
    def asked(self) -> bool:
        """Whether a device waits for the owner's word."""
        return self.live and self.pairing.stands is Stands.ASKED


@dataclass(frozen=True, slots=True, kw_only=True)
class DevicesSheet:
    """What the page shows."""

    inside: Sequence[DeviceLine]
    outside: Sequence[DeviceLine]  # those that were revoked
    now: PairingNow | None
    jobs: Sequence[JobLine]
    unseen_days: int  # after which a device is paired anew
    firm_version: int


def devices_sheet(office: Office) -> DevicesSheet:
    """The page as it is now."""
    jobs = every_job(office)
    titles = {line.job_id: line.title for line in jobs}
    lines = [_line(office, one, titles) for one in devices.every_device(office)]
    return DevicesSheet(
        inside=[line for line in lines if line.revoked_at is None],
        outside=[line for line in lines if line.revoked_at is not None],
        now=pairing_now(office, titles),
        jobs=jobs,
        unseen_days=office.firm().unseen_days,
        firm_version=own(office, "firm").version("firm", office.firm_id),
    )


def pairing_now(office: Office, titles: dict[str, str] | None = None) -> PairingNow | None:
    """The pairing that was begun last; None before the first."""
    one = pairing.newest(office)
    if one is None:
        return None
    known = titles if titles is not None else {line.job_id: line.title for line in every_job(office)}
    live = is_live(one, office.clock())
    code = shown(pairing.code_of(office, one)) if live and one.stands is Stands.OPEN else ""
    return PairingNow(
        pairing=one,
        live=live,
        job=known.get(str(one.job_id), ""),
        code=code,
        ends_at=_here(office, ends_at(one)),
        words=pairing.words_of(office, one),
    )


def _line(office: Office, one: Device, titles: dict[str, str]) -> DeviceLine:
    shows = shown_by(one, office.clock())
    return DeviceLine(
        device=one,
        shows=shows,
        job=titles.get(str(shows.job_id or one.job_id), ""),
        paired_at=_here(office, one.paired_at),
        last_seen=_here(office, one.last_seen),
        revoked_at=_here(office, one.revoked_at) if one.revoked_at else None,
        lapsed=has_lapsed(one, office.clock(), office.firm().unseen_days),
    )


def _here(office: Office, moment: datetime) -> datetime:
    return moment.astimezone(ZoneInfo(office.firm().time_zone))
