"""Packets given to subcontractors: what stands between them and their work or their money, and what was paid."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid4, uuid5

from app.db.files import FileStore
from app.domain.basis import Subcontractor
from app.domain.change import Edit
from app.domain.checks.sub_standing import Standing, outstanding, payment_stops, release_stops, standings, wanted_kind
from app.domain.costing.quoted import Deal, deals
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.findings import Finding, Stop
from app.domain.job import LIEN_RELEASES, LienRelease, Packet, PaidOut, ReleasedPacket, Settlement
from app.services import jobs
from app.services.changes import Applied
from app.services.checks import Going
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.receiving import refuse_day
from app.services.sheets import Sheet
from app.services.sub_papers import keep_paper

NO_WAY_ROUND = (
    "There is no way round this one: the law asks for it. Get the paper, and type its last day in their book."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Payment:
    """A payment with the lien releases that came for it; `wants`: the unconditional one that is outstanding."""

    paid: PaidOut
    releases: Sequence[LienRelease]
    wants: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A packet with its accepted quote: whose it is, how their papers stand, what was released and paid."""

    packet: Packet
    who: str
    sub: Subcontractor | None
    papers: Sequence[Standing]
    agreed_cents: int
    payments: Sequence[Payment]
    released: ReleasedPacket | None
    stops: Sequence[Finding]  # of releasing the work, not gone on with
    payment_stops: Sequence[Finding]  # of the next payment, not gone on with
    gone_on: Sequence[Settlement]

    @property
    def paid_cents(self) -> int:
        """What was paid so far."""
        return sum(one.paid.cents for one in self.payments)

    @property
    def left_cents(self) -> int:
        """What of the quote is not paid yet."""
        return self.agreed_cents - self.paid_cents

    @property
    def law(self) -> tuple[Finding, ...]:
        """What the law stops."""
        return tuple(one for one in self.stops if one.stop is Stop.LAW)

    @property
    def is_final(self) -> bool:
        """Whether the final payment was made."""
        return any(one.paid.final for one in self.payments)


def given_packets(view: Sheet) -> tuple[Given, ...]:
    """Every packet with an accepted quote, as it stands today at the site."""
    found = deals(view.job)
    return tuple(_given(view, one) for one in found.all) if found else ()


def packet_of(view: Sheet, packet_id: UUID) -> Given:
    """A packet that was given away. Raises: NotFound."""
    found = next((one for one in given_packets(view) if one.packet.id == packet_id), None)
    if found is None:
        raise NotFound("This packet is not given to anybody (any more): accept a quote first.")
    return found


def _given(view: Sheet, deal: Deal) -> Given:
    job, packet = view.job, str(deal.packet.id)
    sub = view.basis.subcontractors.get(deal.quote.subcontractor)
    settled = {one.finding: one for one in job.settlements}
    paid = sorted((one for one in job.paid_out if one.packet == packet), key=lambda one: (one.day, str(one.said_at)))
    ids = {str(one.id) for one in paid}
    releases = [one for one in job.lien_releases if one.payment in ids]
    wants = {str(one.id): wanted_kind(one) for one in outstanding(paid, releases)}
    work = list(release_stops(sub, packet, view.today)) if sub else []
    money = list(payment_stops(sub, packet, view.today, paid, releases)) if sub else []
    return Given(
        packet=deal.packet,
        who=sub.title if sub else deal.quote.subcontractor,
        sub=sub,
        papers=standings(sub, view.today) if sub else (),
        agreed_cents=deal.cents,
        payments=[
            Payment(
                paid=one,
                releases=[it for it in releases if it.payment == str(one.id)],
                wants=wants.get(str(one.id), ""),
            )
            for one in paid
        ],
        released=next((one for one in job.released_packets if one.packet == packet), None),
        stops=[one for one in work if one.stop is Stop.LAW or one.key not in settled],
        payment_stops=[one for one in money if one.stop is Stop.LAW or one.key not in settled],
        gone_on=[settled[key] for key in dict.fromkeys(one.key for one in (*work, *money)) if key in settled],
    )


def release(office: Office, view: Sheet, packet_id: UUID, going: Going, order: Order) -> Applied | None:
    """Release a packet to whom it was given: they may begin.

    Raises: Refused where the law stops it; BadValue where money does and nobody says why it goes on; NotFound.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    given = packet_of(view, packet_id)
    if given.released:
        raise Refused(f"{given.packet.title or 'This packet'} is released already.")
    new = ReleasedPacket(
        id=uuid5(order.change_id, "released"),
        packet=str(packet_id),
        subcontractor=_known(given).key,
        day=view.today,
        said_by=office.who(),
        said_at=office.clock(),
    )
    edits = (made("released_packet", new), *_going_on(office, given.stops, going))
    what = f"Released to {given.who}: {given.packet.title}"[:120]
    return jobs.save(office, view.job.head.id, edits, replace(order, what=what))


def hold_back(office: Office, view: Sheet, packet_id: UUID, order: Order) -> Applied | None:
    """Take the release of a packet back. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    given = packet_of(view, packet_id)
    if given.released is None:
        raise NotFound("This packet is not released (any more).")
    edits = jobs.removal(view.opened, "released_packet", given.released.id)
    what = f"Not released to {given.who} any more: {given.packet.title}"[:120]
    return jobs.save(office, view.job.head.id, edits, replace(order, what=what))


def pay(
    office: Office, view: Sheet, packet_id: UUID, values: Mapping[str, Any], going: Going, order: Order
) -> Applied | None:
    """Write down what a subcontractor was paid for a packet; sent twice, it is written once.

    Raises: Refused where the law stops it; BadValue beside what is missing, or where papers or a lien release are
    outstanding and nobody says why it goes on; NotFound.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    given, cents = packet_of(view, packet_id), values["cents"] or 0
    if cents <= 0:
        raise BadValue("The amount is nothing. Type what was paid.", field="cents")
    refuse_day(view, values["day"])
    if given.is_final:
        raise Refused("The final payment for this packet is written down already. Take it out first if it was none.")
    new = PaidOut(
        id=uuid5(order.change_id, "sub paid"),
        day=values["day"],
        cents=cents,
        to=given.who,
        paid_for="subcontractor",
        words=values.get("words") or "",
        packet=str(packet_id),
        subcontractor=_known(given).key,
        final=bool(values.get("final")),
        said_by=office.who(),
        said_at=office.clock(),
    )
    edits = (made("paid_out", new), *_going_on(office, given.payment_stops, going))
    what = f"{'Final payment' if new.final else 'Paid'} to {given.who}"[:120]
    return jobs.save(office, view.job.head.id, edits, replace(order, what=what))


def _known(given: Given) -> Subcontractor:
    if given.sub is None:
        raise Refused(f"{given.who} is not in the book of subcontractors: put them and their papers there first.")
    return given.sub


def _going_on(office: Office, stops: Sequence[Finding], going: Going) -> tuple[Edit, ...]:
    """The owner's name and reason for each stop of money. Raises: Refused, BadValue."""
    law = next((one for one in stops if one.stop is Stop.LAW), None)
    if law:
        raise Refused(f"{law.what} {NO_WAY_ROUND}")
    if not stops:
        return ()
    told = " ".join(one.what for one in stops)
    if not going.by.strip():
        raise BadValue(f"{told} To go on all the same, type who decides it.", field="by")
    if len(going.reason.strip()) < 3:
        raise BadValue(f"{told} To go on all the same, type why.", field="reason")
    by, reason, now = going.by.strip(), going.reason.strip(), office.clock()
    settled = (Settlement(id=uuid4(), finding=one.key, by=by, reason=reason, on=now) for one in stops)
    return tuple(made("settlement", one) for one in settled)


def receive_release(
    office: Office, view: Sheet, payment_id: UUID, values: Mapping[str, Any], paper: bytes, order: Order
) -> Applied | None:
    """Write down a lien release that came for a payment, with its paper where there is one.

    Raises: BadValue for a kind there is not, a day that has not been, or a paper that is none; NotFound.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    paid = _payment(view, payment_id)
    if values["kind"] not in LIEN_RELEASES:
        raise BadValue("Choose which release it is.", field="kind")
    if values["kind"].endswith("final") != paid.final:
        kind = "final" if paid.final else "progress"
        raise BadValue(f"This was a {kind} payment. Choose a release for a {kind} payment.", field="kind")
    refuse_day(view, values["day"])
    new = LienRelease(
        id=uuid5(order.change_id, "lien release"),
        payment=str(paid.id),
        kind=values["kind"],
        day=values["day"],
        through=values.get("through"),
        cents=values.get("release_cents"),
        file=keep_paper(office, paper) if paper else "",
        said_by=office.who(),
        said_at=office.clock(),
    )
    what = f"Lien release of {paid.to}: {new.kind}"[:120]
    return jobs.save(office, view.job.head.id, (made("lien_release", new),), replace(order, what=what))


def drop_release(office: Office, view: Sheet, release_id: UUID, order: Order) -> Applied | None:
    """Take a lien release out; its payment is open again. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    gone = _release(view, release_id)
    edits = jobs.removal(view.opened, "lien_release", release_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Lien release taken out: {gone.kind}"))


def release_paper(office: Office, view: Sheet, release_id: UUID) -> bytes:
    """The paper of a lien release. Raises: NotFound."""
    one = _release(view, release_id)
    if not one.file:
        raise NotFound("No paper was kept with this lien release.")
    return FileStore(office.settings.files).read(one.file)


def _payment(view: Sheet, payment_id: UUID) -> PaidOut:
    found = next((one for one in view.job.paid_out if one.id == payment_id and one.packet), None)
    if found is None:
        raise NotFound("This payment is not there (any more).")
    return found


def _release(view: Sheet, release_id: UUID) -> LienRelease:
    found = next((one for one in view.job.lien_releases if one.id == release_id), None)
    if found is None:
        raise NotFound("This lien release is not there (any more).")
    return found
