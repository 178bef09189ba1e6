"""What the page of the switch says: where the pages are shared, until when, who came through, what is still to do."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from app.documents.qr_codes import qr_svg
from app.domain.sharing import TRUST_STEP, Ended, Network, Over, Plain, Share, is_unheard
from app.services import networks
from app.services.office import Office

ENDED = {
    Ended.SWITCH: "Sharing was switched off at {time}.",
    Ended.IDLE: "Sharing ended by itself at {time}: no other device had asked for twelve hours.",
    Ended.NETWORK: "Sharing ended at {time}: this laptop left the network it was shared on.",
    Ended.QUIT: "Sharing ended when Outlay was stopped.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SharePage:
    """The page. `heard` is "waiting", "unheard" (something may keep devices apart) or "came"."""

    share: Share | None
    networks: tuple[Network, ...]
    ended: str = ""
    since: str = ""
    ends: str = ""
    heard: str = "waiting"
    heard_at: str = ""
    code: str = ""  # the address as a QR code, SVG
    trust_link: str = ""
    trust_code: str = ""
    trust_ends: str = ""


def share_page(office: Office, share: Share | None, ended: Ended | None, ended_at: datetime | None) -> SharePage:
    """The page as it stands now; times are those of the firm's clock."""
    found = networks.networks()
    if share is None:
        said = ENDED[ended].format(time=_clock(office, ended_at)) if ended and ended_at else ""
        return SharePage(share=None, networks=found, ended=said)
    trust_link = f"{share.link(Over.PLAIN)}/trust"
    opened = share.plain is not Plain.CLOSED
    return SharePage(
        share=share,
        networks=found,
        since=_clock(office, share.since),
        ends=_clock(office, share.ends_at),
        heard="came" if share.first_asked else "unheard" if is_unheard(share, office.clock()) else "waiting",
        heard_at=_clock(office, share.first_asked),
        code=qr_svg(share.link(Over.SECURE), "The address as a code for a camera"),
        trust_link=trust_link if opened else "",
        trust_code=qr_svg(trust_link, "The address of the trust step as a code for a camera") if opened else "",
        trust_ends=_clock(office, share.plain_since + TRUST_STEP) if share.plain_since else "",
    )


def _clock(office: Office, moment: datetime | None) -> str:
    """A moment on the firm's clock, with its day unless that is today.

    As in: `14:05`, or `Wednesday 02:14`.
    """
    if moment is None:
        return ""
    zone = ZoneInfo(office.firm().time_zone)
    there, today = moment.astimezone(zone), office.clock().astimezone(zone).date()
    return there.strftime("%H:%M" if there.date() == today else "%A %H:%M")
