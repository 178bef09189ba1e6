"""Change orders: worked out against the contract as it stands, offered as bytes, declined; their states with dates."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

from app.db.repositories.revisions import Revision, next_number
from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.checks import open_points, ready_to_sign
from app.domain.codec import to_plain
from app.domain.contract.change_order import (
    ChangeOrder,
    change_order,
    refuse_unready,
    standing_after,
)
from app.domain.contract.days import DaysAdded, days_added, not_yet_asked
from app.domain.contract.difference import Difference
from app.domain.contract.explain_change import explain_change
from app.domain.contract.standing import Standing, parts_of
from app.domain.costing.lines import WHOLE_JOB
from app.domain.errors import NotFound, Refused
from app.domain.job import ChangeDraft
from app.domain.joblog.delays import days_to_ask_for
from app.domain.moments import day_at
from app.domain.takeoff.trace import Trace
from app.interchange.log_lists import log_lists
from app.services import revisions
from app.services.agreed import Agreed, agreed_of
from app.services.checks import Going, settle
from app.services.closing_offers import close
from app.services.jobs import Order
from app.services.office import Office
from app.services.proposals import mark_address, places
from app.services.revisions import CHANGE_ORDER, Offer
from app.services.scheduling import working_days
from app.services.sheets import Sheet
from app.services.unsigned_work import difference_of

NO_DRAFT = UUID(int=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A change order that was offered, the state it is in, since which day, and why."""

    revision: Revision
    state: str  # offered, signed, declined, expired, superseded, withdrawn
    since: date | None
    why: str = ""

    @property
    def open(self) -> bool:
        """Whether it may still be signed."""
        return self.state == "offered"


@dataclass(frozen=True, slots=True, kw_only=True)
class InHand:
    """The change order in hand: the difference, what the owner says of it, and the paper as it would be offered.

    `draft.id` is `NO_DRAFT` while nothing is typed. `refused` says why it cannot be offered yet.
    """

    agreed: Agreed
    found: Difference
    draft: ChangeDraft
    days: DaysAdded
    made: ChangeOrder
    refused: str

    @property
    def begun(self) -> bool:
        """Whether the owner has typed anything."""
        return self.draft.id != NO_DRAFT


def states_of(office: Office, view: Sheet) -> tuple[State, ...]:
    """All change orders of a job, the newest first."""
    known = revisions.of_job(office, view.job.head.id)
    return tuple(state_of(office, view, one) for one in known if one.kind == CHANGE_ORDER)


def state_of(office: Office, view: Sheet, one: Revision) -> State:
    """The state of an offer with its day at the site: an open one that has run out is expired."""
    zone = view.job.head.time_zone
    if one.state == "offered" and one.holds_until and revisions.has_run_out(office, one, zone):
        return State(revision=one, state="expired", since=one.holds_until + timedelta(days=1))
    if one.state == "signed":
        return State(revision=one, state="signed", since=_day(max(s.signed_at for s in one.signers), zone))
    since = one.issued_at if one.state == "offered" else one.closed_at
    return State(revision=one, state=one.state, since=_day(since, zone), why=one.closed_why)


def _day(moment: str, zone: str) -> date | None:
    return day_at(moment, zone) if moment else None


def in_hand(office: Office, view: Sheet) -> InHand | None:
    """The change order in hand; None while no proposal is signed."""
    agreed = agreed_of(office, view.job.head.id)
    if agreed is None:
        return None
    draft = draft_of(agreed, view)
    found = difference_of(office, view.opened, view.today, agreed, with_whole=draft.with_whole)
    days = _days(office, view, agreed, draft)
    with office.database.read() as connection:
        number = next_number(connection, str(view.job.head.id), CHANGE_ORDER)
    made = change_order(
        agreed.contract, found, draft, days, number=number, made_on=view.today, cautions=_caution_words(office)
    )
    refused = _refused(found, days, draft)
    return InHand(agreed=agreed, found=found, draft=draft, days=days, made=made, refused=refused)


def draft_of(agreed: Agreed, view: Sheet) -> ChangeDraft:
    """What the owner says of the change order in hand: the draft that no signed one holds."""
    done = {one.id for one in agreed.contract.standing.job.change_drafts}
    drafts = [one for one in view.job.change_drafts if one.id not in done]
    draft = drafts[-1] if drafts else ChangeDraft(id=NO_DRAFT, reached=_at_signing(agreed.contract.standing))
    return replace(draft, reached=tuple(dict.fromkeys((*draft.reached, *_billed(agreed, view)))))


def _billed(agreed: Agreed, view: Sheet) -> tuple[str, ...]:
    """Places, from 1, of the payments that the Money sheet knows to be reached."""
    key = f"{agreed.papers[0].id}."
    reached = (one.milestone for one in view.job.reached_milestones if one.milestone.startswith(key))
    return tuple(str(int(place) + 1) for one in reached if (place := one.removeprefix(key)).isdecimal())


def _at_signing(standing: Standing) -> tuple[str, ...]:
    """The place of a payment that was due at signing: it is reached, whatever else is."""
    first = standing.payments[0].event.lower() if standing.payments else ""
    return ("1",) if "sign" in first and "1" not in standing.reached else ()


def _days(office: Office, view: Sheet, agreed: Agreed, draft: ChangeDraft) -> DaysAdded:
    standing = agreed.contract.standing
    waiting = not_yet_asked(view.job.logged_delays, standing.delay_ids)
    asked = days_to_ask_for(waiting, log_lists(office.settings.library).causes)
    around = standing.first_last_day or view.today
    working = working_days(standing.basis.firm, around)
    return days_added(draft, asked, standing.first_last_day, standing.half_days, working)


def _caution_words(office: Office) -> Mapping[str, tuple[str, str]]:
    return {key: (one.title, one.words) for key, one in office.cautions.items() if not one.crew_only}


def _refused(found: Difference, days: DaysAdded, draft: ChangeDraft) -> str:
    try:
        refuse_unready(found, days)
    except Refused as why:
        return why.sentence
    stops = ready_to_sign(open_points(found.job, found.basis, found.after), found.job).law if found.items else ()
    if stops:
        said = "; ".join(one.what.rstrip(".") for one in stops[:3])
        return f"This can't be built as it is drawn: {said}. It is settled on Checks first."
    if days.half_days and not (draft.days_words or days.delays or found.any):
        return "Say what the days are for: the client signs them."
    return ""


async def offer(office: Office, view: Sheet, order: Order) -> Revision:
    """Offer the change order in hand: its pages as bytes, with the job and the basis it is measured on.

    Raises: Refused while nothing is signed, nothing differs, something has no price, or law or safety stops it.
    """
    known = in_hand(office, view)
    if known is None:
        raise Refused("Nothing is signed yet. A change order changes a signed proposal; offer the proposal instead.")
    if known.refused:
        raise Refused(known.refused)
    standing = standing_after(known.agreed.contract.standing, known.found, known.draft, known.days, known.made.number)
    at_signed = replace(view, opened=replace(view.opened, job=standing.job, basis=standing.basis))
    results = {
        "change_order": to_plain(known.made),
        "standing": to_plain(parts_of(standing)),
        "measured_on": known.agreed.newest.id,
        "by_cents": known.found.by,
    }
    return await revisions.issue(
        office,
        at_signed,
        Offer(
            kind=CHANGE_ORDER,
            pdf=pdf_order(office, at_signed, known.made),
            price_cents=known.made.after_cents,
            holds_until=known.made.holds_until,
            signers=known.made.signers,
            results=results,
        ),
        order,
    )


def read_html(office: Office, view: Sheet, made: ChangeOrder) -> str:
    """The pages of a change order as HTML; `view` is the job as it will stand signed."""
    drawings = places(view.job, view.basis)
    changed = [one.zone_id for one in made.zones if one.zone_id != WHOLE_JOB]
    values = {
        "act": made,
        "places": {key: drawings[key] for key in changed if key in drawings},
        "mark": mark_address(office, made.mark),
    }
    return document(office.settings.templates, "change_order", view.basis.firm, values)


def draft_html(office: Office, view: Sheet) -> str:
    """The change order in hand as it would be printed. Raises: Refused while nothing is signed."""
    known = in_hand(office, view)
    if known is None:
        raise Refused("Nothing is signed yet, so there is no change order to read.")
    at_signed = replace(view, opened=replace(view.opened, job=known.found.job, basis=known.found.basis))
    return read_html(office, at_signed, known.made)


def pdf_order(office: Office, view: Sheet, made: ChangeOrder) -> PdfOrder:
    """What the printed change order depends on."""
    firm, job = view.basis.firm, view.job
    return PdfOrder(
        html=read_html(office, view, made),
        paper="a4" if (job.head.paper or firm.paper) == "a4" else "letter",
        title=f"Change order {made.number} to proposal {made.proposal}, {job.head.title}",
        language=firm.language,
        identifier=f"change-order-{job.head.id}-{made.number}-{view.opened.counter}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )


def decline(office: Office, view: Sheet, revision_id: str, why: str, order: Order) -> Revision:
    """Write down that the client does not agree, and why. Its pages are kept.

    Raises: Refused for what is not open (any more); NotFound.
    """
    one = revisions.of_this_job(office, view.job.head.id, revision_id)
    if one.kind != CHANGE_ORDER or not state_of(office, view, one).open:
        raise Refused("This change order is not open any more. Look at the list again.")
    return close(office, one, "declined", why.strip(), order)


def explain_in_hand(office: Office, view: Sheet, figure: str) -> Trace:
    """A figure of the change order in hand. Raises: NotFound for one that is not there (any more)."""
    known = in_hand(office, view)
    contract = known.agreed.contract if known else None
    found = explain_change(known.found, contract.standing, contract.summed, figure) if known and contract else None
    if found is None:
        raise NotFound("This figure is not in the change order any more. Open the change orders again.")
    return found


def start_unsigned(office: Office, view: Sheet, finding_key: str, going: Going, order: Order) -> None:
    """Write down why work starts that is not signed for. Raises: BadValue without a name or reason, NotFound."""
    settle(office, view.job.head.id, finding_key, going, order)
