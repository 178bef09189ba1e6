"""Options taken after a proposal was signed: ticked at their printed prices, offered on a page of their own, signed."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from app.db.repositories.revisions import Revision, next_number
from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.checks import open_points, ready_to_sign
from app.domain.choices import letters_of, option_title
from app.domain.codec import to_plain
from app.domain.costing.estimate import estimate
from app.domain.errors import NotFound, Refused
from app.domain.job import Job, Option
from app.domain.later import LaterChange, Printed, later_change, taken_in, with_ticks
from app.domain.takeoff.trace import Trace
from app.services import revisions
from app.services.agreed import Agreed, agreed_of
from app.services.held_offers import job_of, printed_of
from app.services.jobs import Order
from app.services.office import Office
from app.services.proposals import mark_address
from app.services.revisions import CHANGE, CHANGE_ORDER, PROPOSAL, Offer
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterOption:
    """An option of a signed proposal: its printed price [cents], whether it is signed, and whether it is ticked now."""

    option_id: UUID
    title: str
    words: str
    letters: tuple[str, ...]
    cents: int
    signed: bool
    ticked: bool
    initials: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Later:
    """What may still be taken of a signed proposal: sums [cents] as signed and with the new ticks.

    `waiting` is the page offered for just these ticks that not everybody has signed.
    """

    printed: Printed
    holds: bool
    options: tuple[LaterOption, ...]
    signed_cents: int
    together_cents: int
    standing: Job
    changed: Job
    waiting: Revision | None

    @property
    def any_new(self) -> bool:
        """Whether something is ticked beyond what is signed."""
        return self.changed is not self.standing

    @property
    def added_cents(self) -> int:
        """What the new ticks add [cents]."""
        return self.together_cents - self.signed_cents


def later(office: Office, view: Sheet) -> Later | None:
    """What may still be taken of the signed proposal of a job; None where none is signed or nothing is optional."""
    known = revisions.of_job(office, view.job.head.id)
    signed = [one for one in known if one.state == "signed"]
    one = next((one for one in signed if one.kind == PROPOSAL), None)
    printed = printed_of(office, one) if one else None
    if one is None or printed is None or not printed.prices:
        return None
    agreed = agreed_of(office, view.job.head.id)
    standing = _standing(office, one, signed, printed)
    printed = _with_change_orders(printed, agreed)
    changed = with_ticks(standing, view.job, printed)
    today = revisions.today_at(office, view.job.head.time_zone)
    waiting = next((one for one in known if one.kind == CHANGE and one.state == "offered"), None)
    if waiting and taken_in(job_of(office, waiting)) != taken_in(changed):
        waiting = None
    return Later(
        printed=printed,
        holds=printed.holds(today),
        options=tuple(
            _row(option, printed, standing, changed)
            for option in printed.job.options
            if any(one.id == option.id for one in changed.options)
        ),
        signed_cents=printed.sum_of(standing),
        together_cents=printed.sum_of(changed),
        standing=standing,
        changed=changed,
        waiting=waiting,
    )


def _standing(office: Office, proposal: Revision, signed: list[Revision], printed: Printed) -> Job:
    """The job as the newest signed page has it: of what was signed after the proposal, else the proposal."""
    since = [one for one in signed if one.kind in (CHANGE, CHANGE_ORDER) and one.issued_at > proposal.issued_at]
    return job_of(office, since[0]) if since else printed.job


def _with_change_orders(printed: Printed, agreed: Agreed | None) -> Printed:
    """What was printed, with the change orders signed since: their sum, and the basis they brought."""
    rows = agreed.contract.summed.changes if agreed else ()
    beside = [one.cents for one in rows if one.kind == CHANGE_ORDER]
    if agreed is None or not beside:
        return printed
    return replace(printed, beside_cents=sum(beside), basis=agreed.contract.standing.basis)


def _row(option: Option, printed: Printed, standing: Job, changed: Job) -> LaterOption:
    now = next(one for one in changed.options if one.id == option.id)
    return LaterOption(
        option_id=option.id,
        title=option_title(printed.job, option),
        words=option.words,
        letters=letters_of(printed.job, option),
        cents=printed.prices.get(option.id, 0),
        signed=option.id in taken_in(standing) and now.taken,
        ticked=now.taken,
        initials=now.initials,
    )


def may_tick(office: Office, view: Sheet, option_id: UUID) -> None:
    """Whether an option may be ticked, or a new tick taken out, once the proposal is signed.

    Raises: Refused, saying why not.
    """
    found = later(office, view)
    one = next((one for one in found.options if one.option_id == option_id), None) if found else None
    if found is None or one is None or option_id not in found.printed.prices:
        raise Refused("The proposal is signed. What changes now is priced and signed as a change to it.")
    if one.signed:
        raise Refused(f"“{one.title}” is part of what was signed. Taking it out is a change to agree on first.")
    if not found.holds:
        day = found.printed.holds_until
        raise Refused(f"The prices of options held until {day:%B} {day.day}. “{one.title}” is priced anew first.")


def explain_later(office: Office, view: Sheet, _rest: str) -> Trace:
    """The contract sum with what was ticked since signing. Raises: NotFound where nothing may be taken (any more)."""
    found = later(office, view)
    if found is None:
        raise NotFound("Nothing is taken beyond what is signed. Open the proposal again.")
    unit = found.printed.basis.firm.currency
    new = [one for one in found.options if one.ticked and not one.signed]
    rows = [("Contract sum as signed", found.signed_cents), *((one.title, one.cents) for one in new)]
    return Trace(
        label="Contract sum with what was taken",
        expression="as signed + the printed price of each option taken",
        filled="",
        result=found.together_cents / 100,
        unit=unit,
        steps=tuple(
            Trace(label=label, expression="", filled="", result=cents / 100, unit=unit) for label, cents in rows
        ),
    )


def change_draft(office: Office, view: Sheet, found: Later) -> LaterChange:
    """The page for what is ticked beyond what is signed, as it would be offered today."""
    with office.database.read() as connection:
        number = next_number(connection, str(view.job.head.id), CHANGE)
    words: Mapping[str, tuple[str, str]] = {
        key: (one.title, one.words) for key, one in office.cautions.items() if not one.crew_only
    }
    today = revisions.today_at(office, view.job.head.time_zone)
    return later_change(found.printed, found.standing, found.changed, number=number, made_on=today, cautions=words)


async def offer_change(office: Office, view: Sheet, order: Order) -> Revision:
    """Offer what is ticked beyond what is signed, as a page of its own at the printed prices.

    Raises: Refused where nothing is ticked, the prices have run out, or law or safety stops it.
    """
    found = later(office, view)
    if found is None or not found.any_new:
        raise Refused("Nothing is ticked beyond what is signed. Tick an option first.")
    if not found.holds:
        day = found.printed.holds_until
        raise Refused(f"The prices of options held until {day:%B} {day.day}. They are priced anew first.")
    _refuse_by_law(found)
    made = change_draft(office, view, found)
    at_signed = replace(view, opened=replace(view.opened, job=found.changed, basis=found.printed.basis))
    offer = Offer(
        kind=CHANGE,
        pdf=_pdf(office, at_signed, made),
        price_cents=made.after_cents,
        holds_until=made.holds_until,
        signers=made.signers,
        results={"change": to_plain(made)},
    )
    return await revisions.issue(office, at_signed, offer, order)


def _refuse_by_law(found: Later) -> None:
    job, basis = found.changed, found.printed.basis
    stops = ready_to_sign(open_points(job, basis, estimate(job, basis)), job).law
    if stops:
        said = "; ".join(one.what.rstrip(".") for one in stops[:3])
        raise Refused(f"This can't be built as it is drawn: {said}. It is settled on Checks first.")


def _pdf(office: Office, view: Sheet, made: LaterChange) -> PdfOrder:
    firm, job = view.basis.firm, view.job
    values = {"act": made, "mark": mark_address(office, made.mark)}
    return PdfOrder(
        html=document(office.settings.templates, "later_change", firm, values),
        paper="a4" if (job.head.paper or firm.paper) == "a4" else "letter",
        title=f"Change {made.number} to proposal {made.proposal}, {job.head.title}",
        language=firm.language,
        identifier=f"change-{job.head.id}-{made.number}-{view.opened.counter}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
