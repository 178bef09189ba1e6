"""The contract of a job as it is billed: what was signed, its payments as they were printed, and what came after."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from app.db.repositories.revisions import Revision
from app.domain.billing import ChangeToBill, Contract, milestones_of
from app.domain.billing.change_orders import changes_of_order
from app.domain.codec import from_plain
from app.domain.costing.client_prices import client_prices, tax_in
from app.domain.costing.estimate import estimate
from app.domain.costing.payments import Due, schedule
from app.domain.errors import BadValue
from app.domain.job import only_included
from app.domain.keeping import KeptByInputs
from app.domain.moments import day_at
from app.interchange.job_file import read_job_file
from app.services import revisions
from app.services.agreed import order_of
from app.services.held_offers import results_of
from app.services.office import Office
from app.services.revisions import CHANGE, CHANGE_ORDER, PROPOSAL
from app.services.sheets import Sheet

KEPT = 32  # contracts


def contract_of(office: Office, view: Sheet) -> Contract | None:
    """The signed contract of a job with the changes signed since; None while nothing is signed."""
    signed = [one for one in revisions.of_job(office, view.job.head.id) if one.state == "signed"]
    proposal = next((one for one in signed if one.kind == PROPOSAL), None)
    if proposal is None:
        return None
    after = tuple(one for one in signed if one.kind in (CHANGE, CHANGE_ORDER) and one.issued_at > proposal.issued_at)
    memory: KeptByInputs[Contract] = office.database.memory.setdefault("contracts", KeptByInputs(KEPT, each=1))
    rests_on = (proposal.id, *(one.id for one in after))
    zone = view.job.head.time_zone
    return memory.get_or_make(view.job.head.id, rests_on, lambda: _contract(office, proposal, after, zone))


def _contract(office: Office, proposal: Revision, after: Sequence[Revision], zone: str) -> Contract:
    results = results_of(office, proposal)
    held = read_job_file(revisions.hand_out(office, proposal.id, "job"))
    cents = proposal.price_cents or 0
    firm = held.basis.firm
    if "payments" in results:
        due = [from_plain(row, Due) for row in results["payments"]]
        tax = int(results["contract_tax_cents"])
    else:  # offered by a release that did not keep them: they follow from what it kept
        worked = estimate(held.job, held.basis)
        due, tax = _due(held.job, firm, worked), tax_in(held.job, worked)
    return Contract(
        key=proposal.id,
        number=proposal.number,
        signed_on=signed_on(proposal, zone),
        cents=cents,
        milestones=milestones_of(proposal.id, due, cents),
        changes=tuple(change for one in reversed(after) for change in _changes(office, one, zone)),
        tax_cents=tax,
        retainage=firm.retainage,
        late_charge=firm.late_charge,
        late_after_days=firm.late_after_days,
    )


def _due(job: Any, firm: Any, worked: Any) -> list[Due]:
    included = only_included(job)
    try:
        return list(schedule(included, firm, client_prices(included, worked)))
    except BadValue:  # its own payments do not add up any more as this release reads them
        return []


def signed_on(one: Revision, zone: str) -> date:
    """The day at the site on which the last of its signers signed."""
    days = [day_at(signer.signed_at, zone) for signer in one.signers if signer.signed_at]
    return max(days) if days else day_at(one.issued_at, zone)


def _changes(office: Office, one: Revision, zone: str) -> tuple[ChangeToBill, ...]:
    if one.kind == CHANGE:
        return (_option_taken(office, one, zone),)
    return changes_of_order(order_of(office, one), one.id, signed_on(one, zone))


def _option_taken(office: Office, one: Revision, zone: str) -> ChangeToBill:
    """Options taken after signing, at their printed prices, paid with the payment that was printed beside them."""
    told: Mapping[str, Any] = results_of(office, one).get("change", {})
    options = told.get("options", [])
    with_events = {option["paid_with"] for option in options}
    titles = ", ".join(option["title"] for option in options)
    return ChangeToBill(
        key=one.id,
        title=f"Change {one.number}: {titles}" if titles else f"Change {one.number}",
        day=signed_on(one, zone),
        cents=told.get("after_cents", 0) - told.get("before_cents", 0),
        paid_with=with_events.pop() if len(with_events) == 1 else "",
    )
